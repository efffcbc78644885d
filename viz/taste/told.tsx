import type { TableAnswer } from "../../engine/taste/answer.ts";
import type { NextRound } from "../../engine/taste/next-round.ts";
import type { TableRange } from "../../engine/taste/table-range.ts";
import { joinWords } from "../../engine/wording.ts";
import { measuresOf } from "../bench/measures.ts";
import { takeSpec } from "../bench/take.ts";
import { useHouse, useStore } from "../house.ts";
import { Fold } from "../parts/fold.tsx";
import type { Store } from "../state/store.ts";
import type { TargetPart } from "../state/view.ts";
import { changeWords } from "../words/amounts.ts";
import { AXES3, AXIS_TITLE, axisNumber, pointWords } from "../words/axis.ts";
import type { Desk } from "./desk.ts";
import type { Learning } from "./learning.ts";
import { Likings } from "./likings.tsx";
import { PanelFigures } from "./panel.tsx";
import { TableMap } from "./table-map.tsx";
import { percent, wordText } from "./words.ts";

/** What the tasters have told: where the table's ideal lies, what to pour next, when to stop. */
export function Told({ desk, learning }: { desk: Desk; learning: Learning }) {
  const answer = learning.answer.value;
  const problem = learning.problem.value;
  if (learning.tastings.value.length === 0) {
    return (
      <section class="told" aria-labelledby="told-title">
        <h2 id="told-title">What the table likes</h2>
        <p>
          Nothing yet. Give out codes, pour small, and let the tasters mark each glass. From their marks this
          room learns where their ideal lies and what to pour next.
        </p>
      </section>
    );
  }
  return (
    <section class="told" aria-labelledby="told-title" aria-busy={learning.busy.value}>
      <h2 id="told-title">What the table likes</h2>
      {problem && (
        <p class="line-error" role="alert">
          {problem}
        </p>
      )}
      {!answer && learning.busy.value && <p role="status">Working it out…</p>}
      {answer && <Range answer={answer} family={learning.family.value} />}
      {answer && <TableMap answer={answer} />}
      {answer?.next && <Next next={answer.next} answer={answer} />}
      {answer && <Camps answer={answer} />}
      {answer && <Swaps answer={answer} />}
      <Likings desk={desk} learning={learning} />
      <PanelFigures learning={learning} />
      {answer && <p class="hint">{answer.text.care}</p>}
    </section>
  );
}

/** A learned range as a requirement of the bench's target. */
function asPart({ target }: TableRange, family: string | null): TargetPart {
  const [[a, b, c], [, d, e], [, , f]] = target.covariance;
  return {
    kind: "table",
    mean: target.mean,
    covariance: [a, b, c, d, e, f],
    radius: target.radius,
    family,
  };
}

function workTowards(store: Store, range: TableRange, family: string | null): void {
  store.edit({ target: [asPart(range, family)] });
  store.tell("The table's range is now what this bench works towards.");
}

function Range({ answer, family }: { answer: TableAnswer; family: string | null }) {
  const store = useStore();
  const part = store.work.value.target.find(({ kind }) => kind === "table");
  const isTarget = JSON.stringify(part) === JSON.stringify(asPart(answer.range, family));
  return (
    <>
      <p id="table-range">{answer.text.range}</p>
      {answer.effectiveDraws < 50 && (
        <p class="hint">The marks contradict one another so much that the chances here are rough.</p>
      )}
      <div class="buttons">
        <button
          type="button"
          id="work-towards"
          disabled={isTarget}
          onClick={() => workTowards(store, answer.range, family)}
        >
          {isTarget ? "The bench works towards it" : "Work towards it on the bench"}
        </button>
      </div>
    </>
  );
}

/** The next round, or why to stop. */
function Next({ next, answer }: { next: NextRound; answer: TableAnswer }) {
  const store = useStore();
  const isStop = next.verdict === "settled" || next.verdict === "little-to-gain";
  return (
    <section class="next" aria-labelledby="next-title" data-verdict={next.verdict}>
      <h3 id="next-title">{isStop ? "Stop here" : "Pour next"}</h3>
      <p>{answer.text.next}</p>
      {!isStop && <p>{answer.text.forecast}</p>}
      {next.proposals.length > 0 && (
        <p class="hint">
          Changes are from{" "}
          {store.edited.value || !store.round.value ? "the drink" : `round ${store.round.value.number},`} on
          the bench.
        </p>
      )}
      {next.proposals.length > 0 &&
        (isStop ? (
          <Fold summary="What would come next all the same" class="quiet-fold">
            {() => <Proposals next={next} />}
          </Fold>
        ) : (
          <Proposals next={next} />
        ))}
    </section>
  );
}

function Proposals({ next }: { next: NextRound }) {
  const { store } = useHouse();
  const measures = measuresOf(store);
  return (
    <ol class="next-pours">
      {next.proposals.map(({ proposal, chanceContent, chancePreferred, gain }) => (
        <li key={proposal.id}>
          <h4>{proposal.name}</h4>
          <ul class="moves">
            {proposal.moves.map((move) => (
              <li key={`${move.kind} ${move.ingredient}`}>
                {changeWords(move, store.pantry.value, measures)}
              </li>
            ))}
          </ul>
          <p class="next-lands">
            {AXES3.map(
              (axis) =>
                `${AXIS_TITLE[axis]} ${axisNumber(axis, [proposal.after.sugarGPer100Ml, proposal.after.acidGPer100Ml, proposal.after.abvPercent][axis]!)}`,
            ).join(" · ")}
          </p>
          <dl class="chances">
            <div>
              <dt>table content</dt>
              <dd>{percent(chanceContent)}</dd>
            </div>
            <div>
              <dt>liked better than the best so far</dt>
              <dd>{percent(chancePreferred)}</dd>
            </div>
            <div>
              <dt>expected liking against the best</dt>
              <dd>
                {gain < 0 ? "−" : "+"}
                {Math.abs(gain).toFixed(1)}
              </dd>
            </div>
          </dl>
          <button
            type="button"
            class="primary"
            aria-label={`Take it as the next round: ${proposal.name}`}
            onClick={() => takeSpec(store, proposal.spec, proposal.name)}
          >
            Take it as the next round
          </button>
        </li>
      ))}
    </ol>
  );
}

/** Tasters who agree with one another against others, and the drink each side would like. */
function Camps({ answer }: { answer: TableAnswer }) {
  const store = useStore();
  const { camps } = answer;
  if (!camps || camps.verdict === "one-table") {
    return camps && <p class="hint">{answer.text.camps}</p>;
  }
  return (
    <section class="camps" aria-labelledby="camps-title">
      <h3 id="camps-title">{camps.verdict === "two-camps" ? "Two camps" : "Perhaps two camps"}</h3>
      <p>{answer.text.camps}</p>
      <ul>
        {camps.sides.map(({ tasters, range, next }) => {
          const pour = next?.proposals[0]?.proposal;
          const { sugarGPer100Ml, acidGPer100Ml, abvPercent } = range.ideal;
          return (
            <li key={tasters.join()}>
              <strong>{joinWords(tasters)}</strong>
              <span>{pointWords([sugarGPer100Ml, acidGPer100Ml, abvPercent])}</span>
              {pour && (
                <button
                  type="button"
                  onClick={() => takeSpec(store, pour.spec, `For ${joinWords(tasters)}`.slice(0, 80))}
                >
                  Take {pour.name} for {joinWords(tasters)}
                </button>
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

/** Words the map cannot see lead to swaps to try, openly as trials. */
function Swaps({ answer }: { answer: TableAnswer }) {
  const store = useStore();
  const nameOf = (id: string) => store.pantry.value.get(id)?.name ?? id;
  const { swaps, unreadWords } = answer;
  if (swaps.length === 0 && unreadWords.length === 0) return null;
  return (
    <section class="swaps-to-try" aria-labelledby="swaps-title">
      <h3 id="swaps-title">What the map cannot see</h3>
      {swaps.map(({ word, said, candidates }) => (
        <div key={word}>
          <p>
            <b>{wordText(word)}</b>, said {said === 1 ? "once" : `${said} times`}: no amount answers that.{" "}
            {candidates.length === 0 ? "Nothing in this drink is known for it." : "A swap may:"}
          </p>
          <ul>
            {candidates.map(({ ingredient, alternatives }) => (
              <li key={ingredient}>
                {nameOf(ingredient)} → {alternatives.slice(0, 3).map(nameOf).join(", or ")}
              </li>
            ))}
          </ul>
        </div>
      ))}
      {unreadWords.length > 0 && (
        <p class="hint">
          Words of the tasters' own, which nothing was learned from: {unreadWords.join(", ")}.
        </p>
      )}
    </section>
  );
}
