import { useEffect } from "preact/hooks";
import type { Interval } from "../../engine/types.ts";
import { loadSources } from "../data/client.ts";
import { useStore } from "../house.ts";
import { ChoiceField, NumberField } from "../parts/field.tsx";
import type { TargetPart } from "../state/view.ts";

const COVERAGES = [
  { value: 0.5, label: "only the middle: half of such drinks" },
  { value: 0.75, label: "three in four such drinks" },
  { value: 0.9, label: "nine in ten such drinks" },
  { value: 0.95, label: "nearly all such drinks" },
];

/** How wide each part of the range is, how it was made, and one more; it comes when its fold is opened. */
export function RangeMore({
  parts,
  onChange,
  onAdd,
}: {
  parts: readonly TargetPart[];
  onChange: (index: number, part: TargetPart) => void;
  onAdd: () => void;
}) {
  return (
    <div class="target-more">
      {parts.map((part, index) =>
        part.kind === "family" ? (
          <ChoiceField
            label="Wide enough to hold"
            key={part.family}
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
            onChoose={(coverage) => onChange(index, { ...part, coverage: Number(coverage) })}
          />
        ) : null,
      )}
      <Notes />
      <button type="button" onClick={onAdd}>
        Add another requirement
      </button>
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

/** A part of a range in the user's own numbers. */
type OwnPart = Exclude<TargetPart, { kind: "family" | "near" | "band" | "table" }>;

/** The numbers of a part of one's own. */
export function PartFields({ part, onChange }: { part: OwnPart; onChange: (part: TargetPart) => void }) {
  const ends = (name: string, value: Interval, change: (value: Interval) => void) => (
    <fieldset class="ends">
      <legend>{name}</legend>
      {(["least", "most"] as const).map((which, i) => (
        <NumberField
          label={which}
          key={which}
          placeholder="open"
          value={value[i] ?? null}
          onCommit={(x) => change(i === 0 ? [x, value[1]] : [value[0], x])}
        />
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
        <NumberField
          label={label}
          key={label}
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
      ))}
    </div>
  );
}
