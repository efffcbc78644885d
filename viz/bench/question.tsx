import { useId, useState } from "preact/hooks";
import { USUAL_COVERAGE } from "../../engine/catalogue.ts";
import { loadNotes } from "../data/client.ts";
import { useHouse } from "../house.ts";
import { later } from "../parts/later.tsx";

const ReplyWords = later(async () => (await import("./reply.tsx")).ReplyWords);

/** The reader comes when it is first needed. */
const loadReader = async () => ({
  ...(await import("../../engine/ask/read-question.ts")),
  ...(await import("../../engine/ask/name-range.ts")),
});

/** Forms a finger can take instead of typing. */
const EXAMPLES = [
  "how much lemon for sour range",
  "how do I fix it",
  "what would make this drier without losing acid",
  "what if I take the syrup down a bar spoon",
];

/** A plain question, read by a fixed grammar, not guessed at; the answer can be tried or taken. */
export function Question() {
  const { store, asking } = useHouse();
  const id = useId();
  const [text, setText] = useState("");
  const [forms, setForms] = useState<readonly string[]>([]);
  const refuse = (reason: string, offered: readonly string[] = []) => {
    asking.questionProblem.value = reason;
    setForms(offered);
  };
  const ask = async (said: string) => {
    setText(said);
    const [{ readQuestion, rangeNamed }] = await Promise.all([loadReader(), loadNotes(store.data)]);
    const read = readQuestion(
      said,
      store.pantry.value,
      store.spec.value.lines.map((line) => line.ingredient),
    );
    if (!read.read) return refuse(`${read.reason}. You could ask:`, read.forms);
    setForms([]);
    if (read.targetWords === null) return asking.askQuestion(read.intent, read.echo);
    const { families, drinks } = store.data;
    const range = rangeNamed(read.targetWords, families, drinks);
    if (!range)
      return refuse(`No range here is called “${read.targetWords}”. Choose one above, or name a classic.`);
    const named = store.targetOf([range.kind === "family" ? { ...range, coverage: USUAL_COVERAGE } : range]);
    if (!named.value) return refuse(named.problem ?? "That range cannot be made.");
    return asking.askQuestion(read.intent, read.echo, named.value.spec);
  };
  const problem = asking.questionProblem.value;
  return (
    <div class="question" aria-busy={asking.progress.value?.what === "question"}>
      <form
        class="question-row"
        onSubmit={(event) => {
          event.preventDefault();
          ask(text);
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
          <button type="submit" disabled={!text.trim()}>
            Ask
          </button>
        </div>
        <datalist id={`${id}-forms`}>
          {EXAMPLES.map((form) => (
            <option key={form} value={form} />
          ))}
        </datalist>
      </form>
      {problem && (
        <div role="alert">
          <p class="line-error">{problem}</p>
          {forms.length > 0 && (
            <p class="buttons">
              {forms.map((form) => (
                <button key={form} type="button" class="quiet" onClick={() => ask(form)}>
                  {form}
                </button>
              ))}
            </p>
          )}
        </div>
      )}
      {asking.reply.value && <ReplyWords />}
    </div>
  );
}
