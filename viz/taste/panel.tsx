import { useState } from "preact/hooks";
import { reasonOf } from "../../engine/errors.ts";
import { panelReport } from "../../engine/taste/panel/report.ts";
import type { Tasting } from "../../engine/taste/types.ts";
import { upperFirst } from "../../engine/wording.ts";
import { NumberField, Segments } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import type { KeptTasting } from "./desk.ts";
import type { Learning } from "./learning.ts";

/** Likings by the round's name, so that the report's sentences read. */
function named(learning: Learning): Tasting[] {
  const names = new Map(learning.tasted.value.map(({ round }) => [round.id, `round ${round.number}`]));
  // Kept latest first; the last score of a taster is the one that counts.
  return [...learning.tastings.value]
    .reverse()
    .map(({ round, taster, liking }: KeptTasting) => ({ round: names.get(round)!, taster, liking }));
}

/** What the likings say by themselves, without the model of the table; and difference tests. */
export function PanelFigures({ learning }: { learning: Learning }) {
  return (
    <Fold summary="Panel statistics" id="panel" class="quiet-fold">
      {() => (
        <>
          <Ranking learning={learning} />
          <DifferenceTest />
        </>
      )}
    </Fold>
  );
}

function Ranking({ learning }: { learning: Learning }) {
  const tastings = named(learning);
  const { ranking, scores, text } = panelReport({ tastings });
  if (!ranking && !scores) {
    return <p>Two rounds liked by the same taster are the least a ranking needs.</p>;
  }
  const ends = ranking?.standings.flatMap(({ interval }) => interval) ?? [];
  const [low, high] = [Math.min(...ends), Math.max(...ends)];
  const at = (x: number) => `${high > low ? ((x - low) / (high - low)) * 100 : 50}%`;
  return (
    <div class="ranking">
      {text.map((sentence) => (
        <p key={sentence}>{upperFirst(sentence)}</p>
      ))}
      {ranking && (
        <table>
          <caption>
            Strength in log odds of being liked better than the average round (Bradley–Terry, 95 % intervals)
          </caption>
          <thead>
            <tr>
              <th scope="col">Round</th>
              <th scope="col">Strength</th>
              <th scope="col">Interval</th>
              <th scope="col">Above the next</th>
            </tr>
          </thead>
          <tbody>
            {ranking.standings.map(({ id, strength, interval: [from, to], chanceAboveNext }) => (
              <tr key={id}>
                <th scope="row">{id}</th>
                <td>{strength.toFixed(2)}</td>
                <td class="interval-cell">
                  <span
                    class="interval"
                    role="img"
                    aria-label={`${from.toFixed(2)} to ${to.toFixed(2)}`}
                    title={`${from.toFixed(2)} to ${to.toFixed(2)}`}
                  >
                    <span class="interval-bar" style={{ left: at(from), right: `calc(100% - ${at(to)})` }} />
                    <span class="interval-mid" style={{ left: at(strength) }} />
                  </span>
                </td>
                <td>{chanceAboveNext === null ? "" : `${Math.round(100 * chanceAboveNext)} %`}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </div>
  );
}

/** A triangle or paired test run at the table: how many of how many, and what that shows. */
function DifferenceTest() {
  const [test, setTest] = useState<"triangle" | "pair">("triangle");
  const [right, setRight] = useState<number | null>(null);
  const [answers, setAnswers] = useState<number | null>(null);
  const count = (x: number | null) => x !== null && Number.isInteger(x);
  const said = (() => {
    if (!count(right) || !count(answers) || answers! < 1) return [];
    try {
      return panelReport({ tastings: [], choice: { test, right: right!, answers: answers! } }).text;
    } catch (error) {
      return [reasonOf(error)];
    }
  })();
  const planned = panelReport({
    tastings: [],
    plan: { test, real: test === "triangle" ? 2 / 3 : 0.75 },
  }).text;
  return (
    <div class="difference">
      <h3>A test at the table</h3>
      <p class="hint">
        {test === "triangle"
          ? "Three glasses, two of them alike: how many tasters picked the odd one?"
          : "Two glasses: how many tasters preferred the first?"}
      </p>
      <Segments
        label="Kind of test"
        value={test}
        options={[
          { value: "triangle", label: "Triangle" },
          { value: "pair", label: "Paired preference" },
        ]}
        onChoose={setTest}
      />
      <div class="fields">
        <NumberField
          label={test === "triangle" ? "Picked the odd one" : "Preferred the first"}
          value={right}
          least={0}
          onCommit={setRight}
        />
        <NumberField label="Tasters asked" value={answers} least={1} onCommit={setAnswers} />
      </div>
      {said.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <p class="hint">
        {planned.join(" ")} That size:{" "}
        {test === "triangle" ? "two in three pick the odd one" : "three in four prefer one"}.
      </p>
    </div>
  );
}
