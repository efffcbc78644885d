import type { Card } from "../../engine/card/types.ts";
import { STAGE_WORDS, shownWords } from "../../engine/card/words.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import { measuresOf } from "../bench/measures.ts";
import { useStore } from "../house.ts";
import { lineWords } from "../words/amounts.ts";

/** The same pour in the unit that the user does not work in. */
function otherUnit(shown: { ml: number; usFlOz: number } | undefined, units: "oz" | "ml"): string {
  if (!shown) return "";
  return units === "oz" ? `${Number(shown.ml.toFixed(1))} mL` : `${Number(shown.usFlOz.toFixed(2))} oz`;
}

/** The card itself: what is printed. */
export function CardSheet({ card, from }: { card: Card; from: string }) {
  const store = useStore();
  const measures = measuresOf(store);
  const { spec, shown, garnish, notes } = card;
  const glass = store.data.glasses.find(({ id }) => id === spec.glass);
  const cautions = (shown?.cautions ?? []).flatMap(
    (id) => store.data.cautions.find((caution) => caution.id === id) ?? [],
  );
  return (
    <article class="card-sheet" aria-labelledby="card-title">
      <header>
        <h2 id="card-title">{spec.name}</h2>
        <p>
          {METHODS[spec.method].name}
          {glass ? `, in a ${glass.name.toLowerCase()}` : ""}
          {garnish ? `. Garnish: ${garnish}` : ""}.
        </p>
      </header>
      <table class="card-lines">
        <caption class="visually-hidden">Amounts for one drink, in both units</caption>
        <tbody>
          {spec.lines.map((line, i) => (
            <tr key={`${line.ingredient} ${line.stage ?? ""}`}>
              <td>{lineWords(line, store.pantry.value.get(line.ingredient), measures)}</td>
              <td>{otherUnit(shown?.lines[i], measures.units)}</td>
              <th scope="row">
                {shown?.lines[i]?.name ?? line.ingredient}
                {line.stage ? STAGE_WORDS[line.stage] : ""}
              </th>
            </tr>
          ))}
        </tbody>
      </table>
      {shown && (
        <dl class="card-facts">
          {shownWords(shown).map(([name, words]) => (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{words}</dd>
            </div>
          ))}
        </dl>
      )}
      {notes && <p class="card-notes">{notes}</p>}
      {cautions.length > 0 && (
        <ul class="card-cautions">
          {cautions.map(({ id, title, text }) => (
            <li key={id}>
              <b>{title}.</b> {text}
            </li>
          ))}
        </ul>
      )}
      <p class="card-foot">
        {from} {store.bench.value?.invented ? "Invented for demonstration. " : ""}Local law, food codes and
        licensed practice come first.
      </p>
    </article>
  );
}
