import { useEffect } from "preact/hooks";
import { SMALLEST_FAMILY } from "../../engine/targets/family-target.ts";
import type { Interval } from "../../engine/types.ts";
import { loadSources } from "../data/client.ts";
import { useStore } from "../house.ts";
import { Choice, Field, NumberInput } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { familyPart } from "../state/catalogue.ts";
import type { Store } from "../state/store.ts";
import type { TargetPart } from "../state/view.ts";
import { KinLine } from "./kin-line.tsx";

const COVERAGES = [
  { value: 0.5, label: "only the middle: half of such drinks" },
  { value: 0.75, label: "three in four such drinks" },
  { value: 0.9, label: "nine in ten such drinks" },
  { value: 0.95, label: "nearly all such drinks" },
];
function keyOf(part: TargetPart): string {
  if (part.kind === "family") return `family:${part.family}`;
  if (part.kind === "band") return `band:${part.band}`;
  if (part.kind === "near") return `near:${part.drink}`;
  return part.kind;
}

function partFor(key: string): TargetPart {
  const [kind, id] = key.split(":");
  if (kind === "family") return familyPart(id ?? "");
  if (kind === "band") return { kind, band: id ?? "" };
  if (kind === "near") return { kind, drink: id ?? "" };
  if (kind === "ratio") return { kind, min: 6, max: 10 };
  if (kind === "plane") return { kind, normal: [0, 0, 1], offset: 20 };
  return { kind: "box", sugar: [5, 9], acid: [0.6, 1], abv: [14, 20] };
}

/** Families with classics enough, and how many. */
function familiesOf({ data, references }: Store) {
  return data.families.flatMap((family) => {
    const n = references.value.filter(({ drink }) => drink.families.includes(family.id)).length;
    return n >= SMALLEST_FAMILY ? [{ ...family, n }] : [];
  });
}

/** The classics nearest to the drink, by pour and by point, and any already aimed at. */
function classicsNear({ kin, data, work }: Store): { id: string; name: string }[] {
  const aimed = work.value.target.flatMap((part) => (part.kind === "near" ? [part.drink] : []));
  const near = [...(kin.value?.byPour ?? []), ...(kin.value?.byPoint ?? [])].map(({ id }) => id);
  const ids = [...new Set([...aimed, ...near])];
  return ids.flatMap((id) => data.drinks.find((drink) => drink.id === id) ?? []);
}

/** What counts as in range: a family of classics, a published band, own limits, or several at once. */
export function TargetChooser() {
  const store = useStore();
  const parts = store.work.value.target;
  const put = (target: TargetPart[]) => store.edit({ target });
  const replace = (index: number, part: TargetPart) => put(parts.map((old, i) => (i === index ? part : old)));
  const problem = store.chosen.value.problem;
  return (
    <div class="target" id="target">
      {parts.map((part, index) => {
        const id = `target-${index}`;
        return (
          <div class="target-part" key={index}>
            <label for={id}>{index === 0 ? "In range means" : "and also"}</label>
            <select
              id={id}
              value={keyOf(part)}
              onChange={(event) => replace(index, partFor(event.currentTarget.value))}
            >
              <optgroup label="From the classics of a family">
                {familiesOf(store).map((family) => (
                  <option key={family.id} value={`family:${family.id}`}>
                    {family.name} ({family.n} drinks)
                  </option>
                ))}
              </optgroup>
              <optgroup label="Near one classic">
                {classicsNear(store).map(({ id: drink, name }) => (
                  <option key={drink} value={`near:${drink}`}>
                    {name}
                  </option>
                ))}
              </optgroup>
              <optgroup label="Published, one author's">
                {store.data.bands.map((band) => (
                  <option key={band.id} value={`band:${band.id}`}>
                    {band.name}
                  </option>
                ))}
              </optgroup>
              {part.kind === "table" && (
                <optgroup label="Learned from tasters">
                  <option value="table">The table's range</option>
                </optgroup>
              )}
              <optgroup label="My own">
                <option value="box">A box: least and most on each axis</option>
                <option value="ratio">A sugar : acid band</option>
                <option value="plane">A slanted limit across the axes</option>
              </optgroup>
            </select>
            {parts.length > 1 && (
              <button type="button" class="quiet" onClick={() => put(parts.filter((_, i) => i !== index))}>
                Remove
              </button>
            )}
            {part.kind !== "family" &&
              part.kind !== "near" &&
              part.kind !== "band" &&
              part.kind !== "table" && <PartFields part={part} onChange={(next) => replace(index, next)} />}
          </div>
        );
      })}
      <KinLine />
      {problem && (
        <p class="line-error" role="alert">
          {problem}
        </p>
      )}
      <Fold summary="How wide, how it was made, and other rules" class="quiet-fold">
        {() => (
          <div class="target-more">
            {parts.map((part, index) =>
              part.kind === "family" ? (
                <Field label="Wide enough to hold" key={part.family}>
                  {(ids) => (
                    <Choice
                      {...ids}
                      value={String(part.coverage)}
                      options={[
                        ...COVERAGES,
                        ...(COVERAGES.some(({ value }) => value === part.coverage)
                          ? []
                          : [
                              {
                                value: part.coverage,
                                label: `${Math.round(part.coverage * 100)} % of such drinks`,
                              },
                            ]),
                      ].map(({ value, label }) => ({ value: String(value), label }))}
                      onChoose={(coverage) => replace(index, { ...part, coverage: Number(coverage) })}
                    />
                  )}
                </Field>
              ) : null,
            )}
            <Notes />
            <button type="button" onClick={() => put([...parts, partFor("ratio")])}>
              Add another requirement
            </button>
          </div>
        )}
      </Fold>
    </div>
  );
}

/** How each part of the range was made, with the source of a published one. */
function Notes() {
  const store = useStore();
  useEffect(() => {
    // Without them a note names the source by its key.
    loadSources(store.data).catch(() => {});
  }, [store]);
  return (store.target.value?.notes ?? []).map((note) => (
    <p class="hint" key={note}>
      {note}
    </p>
  ));
}

type OwnPart = Exclude<TargetPart, { kind: "family" | "near" | "band" | "table" }>;

function PartFields({ part, onChange }: { part: OwnPart; onChange: (part: TargetPart) => void }) {
  const ends = (name: string, value: Interval, change: (value: Interval) => void) => (
    <fieldset class="ends">
      <legend>{name}</legend>
      {(["least", "most"] as const).map((which, i) => (
        <Field label={which} key={which}>
          {(ids) => (
            <NumberInput
              {...ids}
              placeholder="open"
              value={value[i] ?? null}
              onCommit={(x) => change(i === 0 ? [x, value[1]] : [value[0], x])}
            />
          )}
        </Field>
      ))}
    </fieldset>
  );
  if (part.kind === "box") {
    return (
      <div class="part-fields">
        {ends("Sugar, g/100 mL", part.sugar, (sugar) => onChange({ ...part, sugar }))}
        {ends("Acid, g/100 mL", part.acid, (acid) => onChange({ ...part, acid }))}
        {ends("Alcohol, % vol", part.abv, (abv) => onChange({ ...part, abv }))}
      </div>
    );
  }
  if (part.kind === "ratio") {
    return (
      <div class="part-fields">
        {ends("Sugar : acid, g per g", [part.min, part.max], ([min, max]) => {
          if (min !== null || max !== null) onChange({ kind: "ratio", min, max });
        })}
      </div>
    );
  }
  const values = [...part.normal, part.offset];
  return (
    <div class="part-fields">
      {["sugar ×", "+ acid ×", "+ alcohol ×", "is at most"].map((label, i) => (
        <Field label={label} key={label}>
          {(ids) => (
            <NumberInput
              {...ids}
              value={values[i] ?? 0}
              onCommit={(x) => {
                const [a, b, c, offset] = values.map((old, k) => (k === i ? (x ?? 0) : old)) as [
                  number,
                  number,
                  number,
                  number,
                ];
                if (a !== 0 || b !== 0 || c !== 0) onChange({ kind: "plane", normal: [a, b, c], offset });
              }}
            />
          )}
        </Field>
      ))}
    </div>
  );
}
