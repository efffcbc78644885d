import { useEffect, useMemo } from "preact/hooks";
import { reasonOf } from "../../engine/errors.ts";
import type { Composition } from "../../engine/prep/types.ts";
import type { CautionId, SourcedValue } from "../../engine/types.ts";
import { loadSources } from "../data/client.ts";
import { useStore } from "../house.ts";
import type { Attempt } from "../state/derived.ts";
import { figure } from "./words.ts";

/** A value, or the reason there is none. */
export function attempt<T>(compute: () => T): Attempt<T> {
  try {
    return { value: compute(), problem: null };
  } catch (error) {
    return { value: null, problem: reasonOf(error) };
  }
}

/** The same, worked out again only when what it rests on changed. */
export const useAttempt = <T,>(compute: () => T, rests: readonly unknown[]): Attempt<T> =>
  useMemo(() => attempt(compute), rests);

export function Problem({ text }: { text: string | null }) {
  return text === null ? null : (
    <p class="line-error" role="alert">
      {text}
    </p>
  );
}

/** Sentences, each a line. */
export function Said({ words }: { words: readonly (string | null)[] }) {
  return (
    <>
      {words.map(
        (sentence) =>
          sentence !== null && (
            <p class="said" key={sentence}>
              {sentence}
            </p>
          ),
      )}
    </>
  );
}

/** One figure of a result: what, how much, how sure. */
export interface Row {
  what: string;
  value: SourcedValue;
  unit: string;
  digits: number;
}

/** What a liquid is, per 100 mL. */
export function compositionRows(c: Composition, ph: SourcedValue | null = null): Row[] {
  const rows: Row[] = [
    { what: "Sugar", value: c.sugarGPer100Ml, unit: "g/100 mL", digits: 1 },
    { what: "Acid, as citric", value: c.acidGPer100Ml, unit: "g/100 mL", digits: 2 },
    { what: "Strength", value: c.abvPercent, unit: "% vol", digits: 1 },
    { what: "Dissolved", value: c.solidsPercent, unit: "°Bx", digits: 1 },
    { what: "Density", value: c.densityGPerMl, unit: "g/mL", digits: 3 },
    ...(ph ? [{ what: "pH", value: ph, unit: "", digits: 2 }] : []),
  ];
  return rows.filter(({ value, digits }) => Number(value.value.toFixed(digits)) !== 0);
}

/** A short table of figures. */
export function Figures({ caption, rows }: { caption: string; rows: readonly Row[] }) {
  return (
    <table class="figures">
      <caption>{caption}</caption>
      <tbody>
        {rows.map(({ what, value, unit, digits }) => (
          <tr key={what}>
            <th scope="row">{what}</th>
            <td class="figure">{figure(value, digits)}</td>
            <td class="unit">{unit}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The cautions that go with what is made, each with its source. */
export function Cautions({ ids }: { ids: readonly CautionId[] }) {
  const { data } = useStore();
  useEffect(() => {
    loadSources(data).catch(() => {});
  }, [data]);
  const told = data.cautions.filter(({ id }) => ids.includes(id));
  if (told.length === 0) return null;
  return (
    <section class="take-care" aria-label="Take care">
      <h3>Take care</h3>
      <ul>
        {told.map(({ id, title, text, source }) => {
          const found = data.sources.value.find((s) => s.id === source);
          return (
            <li key={id}>
              <b>{title}.</b> {text}
              {found && <span class="hint"> {found.citation}</span>}
            </li>
          );
        })}
      </ul>
      <p class="hint">Follow your food code and licensing authority; local law comes first.</p>
    </section>
  );
}
