import { parseQuantity } from "../../engine/amounts/parse-quantity.ts";
import { toVec } from "../../engine/axes.ts";
import { type Intent, LEANS, type Lean, type SaidAmount } from "../../engine/explore/intent.ts";
import { parseQuestion, QUESTION_FORMS } from "../../engine/explore/parse-question.ts";
import type { AxisName } from "../../engine/types.ts";
import { button, el, fill, select, uniqueId } from "../dom.ts";
import { askQuestion } from "../edit/ask-now.ts";
import { takeSpec } from "../edit/take-proposal.ts";
import type { Solver } from "../solver-client.ts";
import type { Derived } from "../state/derived.ts";
import { isFresh, type Reply, type State } from "../state/store.ts";
import { axisNumber } from "../words/verdict.ts";
import type { Context } from "./context.ts";
import { markOffers, proposalCard } from "./proposal-card.ts";

type Kind = "how-much" | "what-if" | "lean";
type Verb = "more" | "less" | "set" | "drop" | "swap";

const LEAN_NAMES = (Object.keys(LEANS) as Lean[]).map((lean) => ({ value: lean, label: lean }));
const KEEPS: { value: string; label: string }[] = [
  { value: "", label: "whatever else moves" },
  { value: "acid:not-less", label: "without losing acid" },
  { value: "sugar:not-less", label: "without losing sugar" },
  { value: "abv:not-less", label: "without losing strength" },
  { value: "sugar:not-more", label: "without adding sugar" },
  { value: "acid:not-more", label: "without adding acid" },
  { value: "abv:not-more", label: "without adding strength" },
];

/** A plain question, typed or put together from lists; read by a fixed grammar, not guessed at. */
export function questionPanel(
  host: HTMLElement,
  context: Context,
  solver: Solver,
): (state: State, derived: Derived) => void {
  const { store, derive, data } = context;
  const ask = (intent: Intent, echo: string) => askQuestion(context, solver, intent, echo);

  // In words.
  const words = el("input", {
    type: "text",
    id: uniqueId("q"),
    placeholder: QUESTION_FORMS[1],
    autocomplete: "off",
  });
  const examples = el("datalist", { id: uniqueId("forms") });
  examples.append(...QUESTION_FORMS.map((form) => el("option", { value: form })));
  words.setAttribute("list", examples.id);
  const inWords = el(
    "form",
    { class: "ask-row" },
    el("div", { class: "field" }, el("label", { for: words.id }, "In your words"), words),
    el("button", { type: "submit" }, "Ask"),
    examples,
  );
  inWords.addEventListener("submit", (event) => {
    event.preventDefault();
    const read = parseQuestion(
      words.value,
      derive().pantry,
      store.get().spec.lines.map((line) => line.ingredient),
    );
    if (read.read) {
      const elsewhere = read.targetWords
        ? ` The range used is the one chosen beside the map: ${derive().target?.label ?? "none"}.`
        : "";
      ask(read.intent, `${read.echo}.${elsewhere}`);
    } else {
      store.set({
        reply: null,
        questionProblem: `${read.reason}. Questions I know: ${read.forms.map((form) => `“${form}”`).join(", ")}.`,
      });
    }
  });

  // From lists.
  const kind = select<Kind>(
    [
      { value: "how-much", label: "How much" },
      { value: "what-if", label: "What if I pour" },
      { value: "lean", label: "What makes it" },
    ],
    "how-much",
    () => showKind(),
    { "aria-label": "Question" },
  );
  const anyIngredient = el("select", { "aria-label": "Ingredient" });
  const lineChoice = el("select", { "aria-label": "Ingredient of the drink" });
  const swapFor = el("select", { "aria-label": "Swap for" });
  const verb = select<Verb>(
    [
      { value: "less", label: "less" },
      { value: "more", label: "more" },
      { value: "set", label: "exactly" },
      { value: "drop", label: "none of" },
      { value: "swap", label: "another for" },
    ],
    "less",
    () => showKind(),
    { "aria-label": "Change" },
  );
  const amount = el("input", { type: "text", class: "amount", "aria-label": "Amount", value: "1 bar spoon" });
  const lean = select(LEAN_NAMES, "drier", () => {}, { "aria-label": "Which way" });
  const keep = select(KEEPS, "acid:not-less", () => {}, { "aria-label": "Keeping" });
  const slots = el("div", { class: "sentence" });
  const showKind = () => {
    const parts: (HTMLElement | string)[] = [kind];
    if (kind.value === "how-much") parts.push(anyIngredient, "brings it into range?");
    else if (kind.value === "lean") parts.push(lean, keep, "?");
    else {
      parts.push(verb);
      if (verb.value === "more" || verb.value === "less") parts.push(lineChoice, "by", amount, "?");
      else if (verb.value === "set") parts.push(amount, "of", lineChoice, "?");
      else if (verb.value === "swap") parts.push(lineChoice, ":", swapFor, "?");
      else parts.push(lineChoice, "?");
    }
    fill(slots, ...parts.map((part) => (typeof part === "string" ? el("span", {}, part) : part)));
    offerSwaps();
  };
  const offerSwaps = () => {
    const role = derive().pantry.get(lineChoice.value)?.role;
    const others = data.pantry.filter((i) => i.role === role && i.id !== lineChoice.value);
    fill(swapFor, ...others.map((i) => el("option", { value: i.id }, i.name)));
  };
  lineChoice.addEventListener("change", offerSwaps);
  const nameOf = (id: string) => derive().pantry.get(id)?.name ?? id;
  const fromLists = el("form", { class: "from-lists" }, slots, el("button", { type: "submit" }, "Ask"));
  fromLists.addEventListener("submit", (event) => {
    event.preventDefault();
    if (kind.value === "how-much") {
      return ask(
        { ask: "how-much", ingredient: anyIngredient.value },
        `How much ${nameOf(anyIngredient.value)}, alone, brings this drink into ${derive().target?.label ?? "range"}.`,
      );
    }
    if (kind.value === "lean") {
      const [axis, how] = keep.value.split(":") as [AxisName, "not-less" | "not-more"];
      const label = KEEPS.find((entry) => entry.value === keep.value)?.label;
      return ask(
        { ask: "lean", lean: lean.value as Lean, keep: keep.value ? [{ axis, how }] : [] },
        `The least change that makes this ${lean.value}${keep.value ? `, ${label}` : ""}.`,
      );
    }
    const ingredient = lineChoice.value;
    if (verb.value === "swap") {
      return ask(
        { ask: "what-if", changes: [{ ingredient, swapFor: swapFor.value }] },
        `What if ${nameOf(ingredient)} became ${nameOf(swapFor.value)}, same amount.`,
      );
    }
    if (verb.value === "drop") {
      return ask(
        { ask: "what-if", changes: [{ ingredient, to: { amount: 0, unit: "ml" } }] },
        `What if ${nameOf(ingredient)} were left out.`,
      );
    }
    const read = parseQuantity(amount.value);
    if (read?.rest.trim() !== "" || read.high !== undefined) {
      return store.set({
        reply: null,
        questionProblem: `“${amount.value}” is not one amount. Try 1 bar spoon, 1/4 oz or 5 ml.`,
      });
    }
    const said: SaidAmount = { amount: read.amount, unit: read.unit ?? derive().ladder.displayUnit };
    const change =
      verb.value === "set"
        ? { ingredient, to: said }
        : { ingredient, by: { ...said, amount: (verb.value === "less" ? -1 : 1) * said.amount } };
    ask(
      { ask: "what-if", changes: [change] },
      `What if I pour ${verb.value === "set" ? `${amount.value} of ${nameOf(ingredient)}` : `${verb.value} ${nameOf(ingredient)} by ${amount.value}`}.`,
    );
  });

  const problem = el("p", { class: "line-error", role: "alert" });
  const answerBox = el("div", { class: "reply" });
  let rendered: Reply | null | undefined;
  fill(
    host,
    el("h3", { id: "question-title" }, "Or ask a plain question"),
    inWords,
    fromLists,
    problem,
    answerBox,
  );

  let offered = "";
  return (state, derived) => {
    const lineIds = state.spec.lines.map((line) => line.ingredient);
    const key = lineIds.join();
    if (key !== offered) {
      offered = key;
      const option = (id: string) => el("option", { value: id }, derived.pantry.get(id)?.name ?? id);
      const keptLine = lineChoice.value;
      const keptAny = anyIngredient.value;
      fill(lineChoice, ...lineIds.map(option));
      if (lineIds.includes(keptLine)) lineChoice.value = keptLine;
      const inDrink = el("optgroup", { label: "In the drink" });
      inDrink.append(...lineIds.map(option));
      const rest = el("optgroup", { label: "From the pantry" });
      rest.append(...data.pantry.filter((i) => !lineIds.includes(i.id)).map((i) => option(i.id)));
      fill(anyIngredient, inDrink, rest);
      const lemon = data.pantry.find((i) => i.role === "sour-juice")?.id;
      anyIngredient.value = keptAny || lemon || lineIds[0] || "";
      showKind();
    }
    problem.textContent = state.questionProblem ?? "";
    problem.hidden = state.questionProblem === null;
    const reply = state.reply && isFresh(state.reply, state) ? state.reply : null;
    host.setAttribute("aria-busy", String(state.asking === "question"));
    if (reply !== rendered) {
      rendered = reply;
      fill(answerBox, ...(reply ? replyWords(context, reply) : []));
    }
    markOffers(answerBox, state);
  };
}

function replyWords(context: Context, { echo, answer }: Reply): (HTMLElement | null)[] {
  const point = (v: readonly [number, number, number]) =>
    `${axisNumber(0, v[0])} sugar · ${axisNumber(1, v[1])} acid · ${axisNumber(2, v[2])} % vol`;
  const { spec } = answer;
  return [
    el("p", { class: "hint" }, `Read as: ${echo}`),
    el("p", { class: "reply-text" }, answer.text),
    answer.after && answer.proposals.length === 0
      ? el("p", { class: "hint" }, `Now ${point(toVec(answer.before))}. Then ${point(toVec(answer.after))}.`)
      : null,
    answer.proposals.length > 0
      ? el("ol", { class: "cards" }, ...answer.proposals.map((proposal) => proposalCard(context, proposal)))
      : spec
        ? el(
            "div",
            { class: "buttons" },
            button("Put it on the bench", () => context.store.edit({ spec })),
            button("Take it as a new round", () => takeSpec(context, spec, echo.replace(/\.$/, ""))),
          )
        : null,
  ];
}
