import { useState } from "preact/hooks";
import { formatQuantity } from "../../engine/amounts/format-amount.ts";
import { reasonOf } from "../../engine/errors.ts";
import { MOST } from "../../engine/limits.ts";
import type { SpokenLine, SpokenRecipe } from "../../engine/recipe/words.ts";
import type { Ingredient, Pantry, Spec, SpecLine } from "../../engine/types.ts";
import { loadNotes } from "../data/client.ts";
import { useStore } from "../house.ts";
import { Choice } from "../parts/field.tsx";
import { later } from "../parts/later.tsx";
import { loadReader } from "../parts/reader.ts";
import { goToPlace } from "../state/route.ts";
import type { Store } from "../state/store.ts";
import { startFrom } from "./benches-edit.ts";
import { takeSpec } from "./take.ts";

/** A pantry item this near to the best match might be the one that was meant. */
const CLOSE_SCORE = 0.1;
const OwnDialog = later(async () => (await import("../pantry/own-dialog.tsx")).OwnDialog);
const EXAMPLE = "2 oz aged rum\n3/4 oz pineapple juice\n1/2 oz lime\n1/3 oz maple syrup";

/** What the user chose where a line could be read in more than one way, by its place; "" leaves it out. */
type Choices = Readonly<Record<number, string>>;

function lineOf(row: SpokenLine, ingredient: string | undefined): SpecLine | null {
  if (!row.line) return null;
  if (row.status === "read") return { ...row.line, ...(ingredient && { ingredient }) };
  return row.status === "choose" && ingredient ? { ...row.line, ingredient } : null;
}

function Row({
  row,
  at,
  pantry,
  chosen,
  onChoose,
  onOwn,
}: {
  row: SpokenLine;
  at: number;
  pantry: Pantry;
  chosen: string | undefined;
  onChoose: (ingredient: string) => void;
  /** The line's ingredient is to be entered as one's own. */
  onOwn: (name: string) => void;
}) {
  const amount = row.line ? formatQuantity(row.line.amount, row.line.unit) : "";
  const id = `paste-line-${at}`;
  const best = row.candidates[0]?.score ?? 0;
  const rivals =
    row.status === "read"
      ? row.candidates.filter(({ score }) => score >= best - CLOSE_SCORE)
      : row.candidates;
  const options = rivals.map(({ ingredient, name }) => ({ value: ingredient, label: name }));
  if (chosen && !options.some(({ value }) => value === chosen))
    options.unshift({ value: chosen, label: pantry.get(chosen)?.name ?? chosen });
  const chooses = row.status === "choose" || (row.status === "read" && rivals.length > 1);
  return (
    <li class={row.status} id={`paste-row-${at}`} tabIndex={-1}>
      <span class="raw">{row.raw.trim()}</span>
      {chooses ? (
        <>
          <label class="as" for={id}>
            {row.status === "read" ? `read: ${amount} of` : `choose which${amount ? ` (${amount})` : ""}`}
          </label>
          <Choice
            id={id}
            value={chosen ?? (row.status === "read" ? (row.line?.ingredient ?? "") : "")}
            options={row.status === "choose" ? [{ value: "", label: "Leave it out" }, ...options] : options}
            onChoose={onChoose}
          />
        </>
      ) : (
        <span class="as">
          {row.status === "read" && row.line
            ? `read: ${amount} ${pantry.get(row.line.ingredient)?.name ?? row.line.ingredient}`
            : row.status === "instruction"
              ? `no ingredient: ${row.reason?.text ?? "an instruction"}`
              : `not read: ${row.reason?.text ?? "no reason given"}`}
        </span>
      )}
      {row.status === "choose" && row.reason && <span class="hint">{row.reason.text}</span>}
      {row.assumptions.length > 0 && (
        <span class="hint">{row.assumptions.map(({ text }) => text).join("; ")}</span>
      )}
      {row.name && (row.status === "choose" || row.status === "unread") && !chosen && (
        <button type="button" class="quiet" onClick={() => onOwn(row.name ?? "")}>
          Enter “{row.name}” as your own
        </button>
      )}
    </li>
  );
}

/** What was read of the text, and what the user made of it. */
function usePasted() {
  const store = useStore();
  const [text, setText] = useState("");
  const [parsed, setParsed] = useState<SpokenRecipe | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [choices, setChoices] = useState<Choices>({});
  const read = async (next: string, chosen: Choices = {}) => {
    setText(next);
    setChoices(chosen);
    try {
      const [reader] = await Promise.all([loadReader(), loadNotes(store.data)]);
      setParsed(reader.read(next, store.pantry.value, store.placing.value));
      setProblem(null);
    } catch (error) {
      setParsed(null);
      setProblem(reasonOf(error));
    }
  };
  const rows = (parsed?.lines ?? []).filter((row) => row.status !== "blank");
  return {
    text,
    problem,
    read,
    rows,
    choices,
    choose: (at: number, ingredient: string) => setChoices({ ...choices, [at]: ingredient }),
    /** Keep an ingredient of one's own, and read the text again with it; where that leaves a choice, it is made. */
    keepOwn: (at: number, name: string, made: Ingredient) => {
      const aliases = [...new Set([...made.aliases, name.toLowerCase()])];
      store.edit({ own: [...store.work.value.own, { ...made, aliases }] });
      return read(text, { ...choices, [at]: made.id });
    },
    /** Ingredients that the text describes and the pantry lacks. */
    made: (parsed?.made ?? []).map(({ ingredient }) => ingredient),
    lines: rows.flatMap((row, at) => lineOf(row, choices[at]) ?? []),
    toChoose: rows.filter((row, at) => row.status === "choose" && !choices[at]).length,
    unread: rows.filter((row) => row.status === "unread").length,
    parsed,
  };
}

type Pasted = ReturnType<typeof usePasted>;

function specOf({ parsed, lines }: Pasted): Spec {
  const { method, glass, servedOn }: Partial<Spec> = parsed?.spec ?? {};
  return {
    name: parsed?.title ?? "Pasted drink",
    method: parsed?.method ?? method ?? "shaken",
    ...(glass !== undefined && { glass }),
    ...(servedOn !== undefined && { servedOn }),
    lines,
  };
}

/** Take what was read as the next round, or as a bench of its own. */
function takePasted(store: Store, pasted: Pasted, asRound: boolean): void {
  const { made, lines } = pasted;
  const spec = specOf(pasted);
  const own = store.work.value.own.filter(({ id }) => !made.some((i) => i.id === id));
  const brought = made.length > 0 ? { own: [...own, ...made] } : {};
  if (asRound) {
    if (made.length > 0) store.edit(brought);
    takeSpec(store, { ...spec, name: store.spec.value.name }, `Pasted: ${spec.name}`.slice(0, 80));
  } else {
    startFrom(store, spec, brought);
    store.said.value = `${lines.length} lines are on a bench of their own. Undo takes it away again.`;
  }
  requestAnimationFrame(() => goToPlace("verdict"));
}

/** What the box holds: the text, what was read of each line, and the way to use it. */
export function PasteForm({ onDone }: { onDone: () => void }) {
  const store = useStore();
  const pasted = usePasted();
  const { rows, lines, toChoose, unread } = pasted;
  /** The line whose ingredient is being entered as the user's own. */
  const [naming, setNaming] = useState<{ at: number; name: string } | null>(null);
  const pantry = new Map([...store.pantry.value, ...pasted.made.map((i) => [i.id, i] as const)]);
  const tooMany = lines.length > MOST.lines;
  const isReady = lines.length > 0 && !tooMany;
  const take = (asRound: boolean) => {
    takePasted(store, pasted, asRound);
    onDone();
  };
  return (
    <>
      <form
        method="dialog"
        onSubmit={(event) => {
          event.preventDefault();
          if (isReady) take(false);
        }}
      >
        <h2 id="paste-title">Paste a spec</h2>
        <label for="paste-text">As you would write it, amounts and all</label>
        <textarea
          id="paste-text"
          rows={6}
          placeholder={EXAMPLE}
          spellcheck={false}
          value={pasted.text}
          onInput={(event) => pasted.read(event.currentTarget.value)}
        />
        {pasted.problem && (
          <p class="line-error" role="alert">
            {pasted.problem}
          </p>
        )}
        {rows.length > 0 && (
          <ul class="paste-lines">
            {rows.map((row, at) => (
              <Row
                key={`${row.lineNumber} ${row.raw}`}
                row={row}
                at={at}
                pantry={pantry}
                chosen={pasted.choices[at]}
                onChoose={(ingredient) => pasted.choose(at, ingredient)}
                onOwn={(name) => setNaming({ at, name })}
              />
            ))}
          </ul>
        )}
        <div class="dialog-foot">
          <p class="hint" role="status">
            {rows.length === 0
              ? "It starts a bench of its own, or becomes the next round of this one, as you choose."
              : `${lines.length} ready${toChoose > 0 ? `, ${toChoose} to choose` : ""}${unread > 0 ? `, ${unread} not read and left out` : ""}.${tooMany ? ` A round keeps ${MOST.lines}: take some out first.` : ""}`}
          </p>
          <button type="button" onClick={onDone}>
            Cancel
          </button>
          {store.round.value && (
            <button type="button" disabled={!isReady} onClick={() => take(true)}>
              Next round of this bench
            </button>
          )}
          <button type="submit" class="primary" disabled={!isReady}>
            Use these lines
          </button>
        </div>
      </form>
      {naming && (
        <OwnDialog
          name={naming.name}
          action="Keep it and use it here"
          onMade={(made) => pasted.keepOwn(naming.at, naming.name, made)}
          onClose={() => {
            setNaming(null);
            document.getElementById(`paste-row-${naming.at}`)?.focus();
          }}
        />
      )}
    </>
  );
}
