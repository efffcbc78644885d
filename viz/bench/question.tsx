import { useId, useState } from "preact/hooks";
import { loadNotes } from "../data/client.ts";
import { useHouse } from "../house.ts";
import { later } from "../parts/later.tsx";

const ReplyWords = later(async () => (await import("./reply.tsx")).ReplyWords);

/** The reader comes when it is first needed. */
const loadReader = () => import("../../engine/ask/read-question.ts");

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
    const [{ readQuestion }] = await Promise.all([loadReader(), loadNotes(store.data)]);
    const read = readQuestion(
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
      {asking.reply.value && <ReplyWords />}
    </div>
  );
}
