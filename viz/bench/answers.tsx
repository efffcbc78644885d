import type { ComponentChildren } from "preact";
import { useHouse } from "../house.ts";
import { later } from "../parts/later.tsx";
import { Keeps } from "./keeps.tsx";
import { Question } from "./question.tsx";
import { ASKING, outcomeWords } from "./words.ts";

const Found = later(async () => (await import("./found.tsx")).Found);

/** The answers: what is wished for (`children`), each change as a card, other kinds of change, what may change, and what is behind it. */
export function AnswersPanel({ children }: { children?: ComponentChildren }) {
  const { store, asking } = useHouse();
  const answer = asking.answer.value;
  const stale = asking.stale.value;
  const busy = asking.progress.value !== null;
  return (
    <section class="answers" id="answers" aria-labelledby="answers-title" data-stale={stale} tabIndex={-1}>
      <div class="section-head">
        <h2 id="answers-title">What to change</h2>
        {stale && !busy && (
          <button type="button" class="again" onClick={() => asking.ask()}>
            Ask again
          </button>
        )}
      </div>
      <p class="answer-status" id="answer-status">
        {busy
          ? ASKING.working
          : asking.problem.value
            ? ASKING.refused(asking.problem.value)
            : answer
              ? stale
                ? "Something has changed since this answer: ask again, or undo."
                : outcomeWords(answer.found, store.target.value?.label ?? "range")
              : "The least changes of your pours that bring the drink into range appear here and on the map. Or drag the drink's own mark on the map to where you want it."}
      </p>
      {children}
      {answer && <Found answer={answer} />}
      <Keeps />
      <Question />
    </section>
  );
}
