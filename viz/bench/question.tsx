import { useId, useState } from "preact/hooks";
import { toVec } from "../../engine/axes.ts";
import { useHouse } from "../house.ts";
import { Icon } from "../parts/icon.tsx";
import { pointWords } from "../words/axis.ts";
import { ProposalCard } from "./proposal-card.tsx";
import { takeSpec } from "./take.ts";

/** The reader comes when it is first needed. */
const loadReader = () => import("../../engine/explore/parse-question.ts");

/** Forms a finger can take instead of typing. */
const EXAMPLES = [
  "how much lemon brings it into range",
  "what would make this drier without losing acid",
  "what if I take the syrup down a bar spoon",
];

/** A plain question, read by a fixed grammar, not guessed at; the answer can be tried or taken. */
export function Question() {
  const { store, asking } = useHouse();
  const id = useId();
  const [text, setText] = useState("");
  const ask = async (said: string) => {
    const { parseQuestion } = await loadReader();
    const read = parseQuestion(
      said,
      store.pantry.value,
      store.spec.value.lines.map((line) => line.ingredient),
    );
    if (!read.read) {
      asking.questionProblem.value = `${read.reason}. Questions it knows: ${read.forms.map((form) => `“${form}”`).join(", ")}.`;
      return;
    }
    const elsewhere = read.targetWords
      ? ` The range used is the one chosen here: ${store.target.value?.label ?? "none"}.`
      : "";
    await asking.askQuestion(read.intent, `${read.echo}.${elsewhere}`);
  };
  const problem = asking.questionProblem.value;
  return (
    <div class="question" aria-busy={asking.progress.value?.what === "question"}>
      <form
        class="question-row"
        onSubmit={(event) => {
          event.preventDefault();
          if (text.trim()) ask(text);
        }}
      >
        <label for={id}>Ask in your words</label>
        <div class="question-box">
          <input
            id={id}
            type="text"
            list={`${id}-forms`}
            autocomplete="off"
            placeholder={EXAMPLES[0]}
            value={text}
            onInput={(event) => setText(event.currentTarget.value)}
          />
          <button type="submit">Ask</button>
        </div>
        <datalist id={`${id}-forms`}>
          {EXAMPLES.map((form) => (
            <option key={form} value={form} />
          ))}
        </datalist>
      </form>
      {problem && (
        <p class="line-error" role="alert">
          {problem}
        </p>
      )}
      <ReplyWords />
    </div>
  );
}

function ReplyWords() {
  const { store, asking } = useHouse();
  const reply = asking.reply.value;
  if (!reply) return null;
  const { echo, answer } = reply;
  const { spec } = answer;
  return (
    <div class="reply">
      <p class="hint">Read as: {echo}</p>
      <p class="reply-text">{answer.text}</p>
      {answer.after && answer.proposals.length === 0 && (
        <p class="hint">
          Now {pointWords(toVec(answer.before))}. Then {pointWords(toVec(answer.after))}.
        </p>
      )}
      {answer.proposals.length > 0 ? (
        <ol class="cards">
          {answer.proposals.map((proposal) => (
            <ProposalCard key={proposal.id} proposal={proposal} />
          ))}
        </ol>
      ) : (
        spec && (
          <div class="buttons">
            <button type="button" onClick={() => store.edit({ spec })}>
              Put it on the bench
            </button>
            <button type="button" onClick={() => takeSpec(store, spec, echo.replace(/\.$/, ""))}>
              <Icon name="plus" /> Take it as a new round
            </button>
          </div>
        )
      )}
    </div>
  );
}
