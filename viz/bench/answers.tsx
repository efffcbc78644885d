import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { useHouse } from "../house.ts";
import { later } from "../parts/later.tsx";
import type { Asking } from "./asking.ts";
import { Keeps } from "./keeps.tsx";
import { Question } from "./question.tsx";
import { ASKING, outcomeWords } from "./words.ts";

const Found = later(async () => (await import("./found.tsx")).Found);

/** How the asking stands, in a sentence. */
function statusWords({ progress, problem, answer, stale, taken }: Asking, range: string): string {
  if (progress.value) return ASKING.working;
  if (problem.value) return ASKING.refused(problem.value);
  if (!answer.value) return ASKING.nothingYet;
  if (taken.value) return ASKING.taken(taken.value.name);
  return stale.value ? ASKING.stale : outcomeWords(answer.value.found, range);
}

/** The answers: what is wished for (`children`), each change as a card, other kinds of change, what may change, and what is behind it. */
export function AnswersPanel({ children }: { children?: ComponentChildren }) {
  const { store, asking } = useHouse();
  const answer = asking.answer.value;
  const stale = asking.stale.value;
  const taken = asking.taken.value;
  const busy = asking.progress.value !== null;
  const section = useRef<HTMLElement>(null);
  // The button that took it has gone with its card: the keyboard goes on from here.
  useEffect(() => {
    if (taken && document.activeElement === document.body) section.current?.focus({ preventScroll: true });
  }, [taken]);
  return (
    <section
      class="answers"
      id="answers"
      aria-labelledby="answers-title"
      data-stale={stale}
      tabIndex={-1}
      ref={section}
    >
      <div class="section-head">
        <h2 id="answers-title">What to change</h2>
        {stale && !busy && (
          <button type="button" class="again" onClick={() => asking.ask()}>
            Ask again
          </button>
        )}
      </div>
      <p class="answer-status" id="answer-status">
        {statusWords(asking, store.target.value?.label ?? "range")}
      </p>
      {children}
      {answer && !taken && <Found answer={answer} />}
      <Keeps />
      <Question />
    </section>
  );
}
