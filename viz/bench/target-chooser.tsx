import { useComputed } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { ERA_IDS } from "../../engine/ids.ts";
import { useStore } from "../house.ts";
import { Fold } from "../parts/fold.tsx";
import { later } from "../parts/later.tsx";
import { familiesToAimAt, familyPart, familyRegionId } from "../state/catalogue.ts";
import type { Store } from "../state/store.ts";
import type { TargetPart } from "../state/view.ts";
import { KinLine } from "./kin-line.tsx";

const RangeMore = later(async () => (await import("./target-fields.tsx")).RangeMore);
const PartFields = later(async () => (await import("./target-fields.tsx")).PartFields);

function keyOf(part: TargetPart): string {
  if (part.kind === "family") return familyRegionId(part.family, part.era);
  if (part.kind === "band") return `band:${part.band}`;
  if (part.kind === "near") return `near:${part.drink}`;
  return part.kind;
}

function partFor(key: string): TargetPart {
  const [kind, id, era] = key.split(":");
  if (kind === "family")
    return familyPart(
      id ?? "",
      ERA_IDS.find((known) => known === era),
    );
  if (kind === "band") return { kind, band: id ?? "" };
  if (kind === "near") return { kind, drink: id ?? "" };
  if (kind === "ratio") return { kind, min: 6, max: 10 };
  if (kind === "plane") return { kind, normal: [0, 0, 1], offset: 20 };
  return { kind: "box", sugar: [5, 9], acid: [0.6, 1], abv: [14, 20] };
}

/** Ids of the classics nearest to the drink, by pour and by point, and of any already aimed at, as one text. */
function idsNear({ kin, parts }: Store): string {
  const aimed = parts.target.value.flatMap((part) => (part.kind === "near" ? [part.drink] : []));
  const near = [...(kin.value?.byPour ?? []), ...(kin.value?.byPoint ?? [])].map(({ id }) => id);
  return [...new Set([...aimed, ...near])].join(" ");
}

/** What counts as in range: a family of classics, a published band, own limits, or several at once. */
export function TargetChooser() {
  const store = useStore();
  const parts = store.parts.target.value;
  // By its text: the list is made anew only when another classic comes near.
  const near = useComputed(() => idsNear(store)).value.split(" ");
  const families = useMemo(
    () => (
      <optgroup label="From the classics of a family">
        {familiesToAimAt(store.data).map(({ family, era, name, n }) => (
          <option key={name} value={familyRegionId(family, era)}>
            {name} ({n} drinks)
          </option>
        ))}
      </optgroup>
    ),
    [store],
  );
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
              {families}
              <optgroup label="Near one classic">
                {store.data.drinks
                  .filter((drink) => near.includes(drink.id))
                  .sort((a, b) => near.indexOf(a.id) - near.indexOf(b.id))
                  .map((drink) => (
                    <option key={drink.id} value={`near:${drink.id}`}>
                      {drink.name}
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
        {() => <RangeMore parts={parts} onChange={replace} onAdd={() => put([...parts, partFor("ratio")])} />}
      </Fold>
    </div>
  );
}
