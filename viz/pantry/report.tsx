import { useEffect, useState } from "preact/hooks";
import { type Separation, separation } from "../../engine/kin/separation.ts";
import type { BalancedDrink, Source } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { figuresOf } from "./ingredient.tsx";
import { SheetTable } from "./table.tsx";
import { EVIDENCE, percent } from "./words.ts";

/** How many numbers, and how many classics, rest on what. */
export function EvidenceReport() {
  const { data } = useStore();
  const evidence = new Map(data.sources.value.map((source) => [source.id, source.evidence]));
  const count = (of: readonly { source: string; memory?: boolean | undefined }[]) => {
    const kinds = of.map(({ source, memory }) => (memory ? "memory" : evidence.get(source)));
    return (kind: Source["evidence"]) => kinds.filter((k) => k === kind).length;
  };
  const figures = data.pantry.flatMap((i) => figuresOf(i).map(({ value }) => value));
  const [ofFigures, ofDrinks] = [count(figures), count(data.drinks)];
  if (evidence.size === 0) return null;
  return (
    <SheetTable
      label="What the numbers rest on"
      heads={["Rests on", "Figures of composition", "Classic drinks"]}
    >
      {(Object.keys(EVIDENCE) as Source["evidence"][]).map((kind) => (
        <tr key={kind}>
          <th scope="row">{EVIDENCE[kind]}</th>
          <td class="figure">
            {ofFigures(kind)} ({percent(ofFigures(kind), figures.length)})
          </td>
          <td class="figure">
            {ofDrinks(kind)} ({percent(ofDrinks(kind), data.drinks.length)})
          </td>
        </tr>
      ))}
    </SheetTable>
  );
}

/** How well the ranges tell balanced drinks from spoiled ones, worked out here and now by the engine. */
export function SeparationReport({ balanced }: { balanced: readonly BalancedDrink[] }) {
  const { data } = useStore();
  const [found, setFound] = useState<readonly Separation[] | null>(null);
  useEffect(() => {
    const timer = setTimeout(() => setFound(separation({ ...data, balanced: [...balanced] })));
    return () => clearTimeout(timer);
  }, [data, balanced]);
  if (!found) return <p role="status">Judging {balanced.length} drinks and their spoils…</p>;
  const sum = (key: "inside" | "balanced" | "outside" | "spoiled") => found.reduce((s, f) => s + f[key], 0);
  const row = (name: string, [inside, all, outside, spoiled]: readonly [number, number, number, number]) => (
    <tr key={name}>
      <th scope="row">{name}</th>
      <td class="figure">
        {inside} of {all} ({percent(inside, all)})
      </td>
      <td class="figure">
        {outside} of {spoiled} ({percent(outside, spoiled)})
      </td>
    </tr>
  );
  return (
    <SheetTable
      label="Balanced drinks inside, spoiled drinks outside"
      heads={["Family", "Balanced, inside (sensitivity)", "Spoiled, outside (specificity)"]}
    >
      {found.map((f) =>
        row(data.families.find(({ id }) => id === f.family)?.name ?? f.family, [
          f.inside,
          f.balanced,
          f.outside,
          f.spoiled,
        ]),
      )}
      {row("All", [sum("inside"), sum("balanced"), sum("outside"), sum("spoiled")])}
    </SheetTable>
  );
}
