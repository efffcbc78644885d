import { roomInGlassMl } from "../../engine/place/wash-line.ts";
import type { CharacterRule, MeasureId } from "../../engine/types.ts";
import { button, el, field, fill, select } from "../dom.ts";
import type { Solver } from "../solver-client.ts";
import type { Derived } from "../state/derived.ts";
import type { State } from "../state/store.ts";
import { volumeWords } from "../words/facts.ts";
import { createAskButton } from "./ask-button.ts";
import { createCombobox } from "./combobox.ts";
import type { Context } from "./context.ts";
import { icon } from "./icons.ts";

const MEASURES: { value: MeasureId; label: string }[] = [
  { value: "fewest-then-volume", label: "Fewest ingredients" },
  { value: "volume", label: "Least volume changed" },
  { value: "relative", label: "Least change for its size" },
  { value: "drift", label: "Least drift on the map" },
  { value: "cost", label: "Least extra cost" },
];

/** The question "bring it into range", with what may be changed and what must stay. */
export function askPanel(
  host: HTMLElement,
  context: Context,
  solver: Solver,
): (state: State, derived: Derived) => void {
  const { store, data } = context;
  const setAsk = (patch: Partial<State["ask"]>) =>
    store.set({ ask: { ...store.get().ask, ...patch }, answer: null, reply: null, focusedProposal: null });

  const go = createAskButton(context, solver, "ask-button");
  const summary = el("p", { class: "hint", id: "ask-summary" });
  go.element.setAttribute("aria-describedby", summary.id);

  const chips = el("ul", { class: "chips", "aria-label": "May be let in" });
  const add = createCombobox("Let something in", "Lemon, a syrup, an acid…", (ingredient) => {
    const { additions } = store.get().ask;
    if (!additions.includes(ingredient.id)) setAsk({ additions: [...additions, ingredient.id] });
  });
  const touched = select(
    [
      { value: "", label: "Any number" },
      ...[1, 2, 3, 4].map((n) => ({ value: String(n), label: `At most ${n}` })),
    ],
    "",
    (value) => setAsk({ maxTouched: value === "" ? null : Number(value) }),
  );
  const glassLimit = el("input", { type: "number", min: "1", step: "any", placeholder: "none" });
  glassLimit.addEventListener("change", () => {
    const value = glassLimit.valueAsNumber;
    setAsk({ maxFinishedMl: value > 0 ? value : null });
  });
  const useGlass = button(
    "Use the glass's wash line",
    () => {
      const glass = data.glasses.find((candidate) => candidate.id === store.get().spec.glass);
      if (glass) setAsk({ maxFinishedMl: Math.round(roomInGlassMl(store.get().spec, glass)) });
    },
    { class: "quiet" },
  );
  const chance = select(
    [
      { value: "", label: "Any" },
      ...[0.5, 0.6, 0.7, 0.8, 0.9].map((p) => ({
        value: String(p),
        label: `At least ${Math.round(p * 100)} %`,
      })),
    ],
    "",
    (value) => setAsk({ minProbability: value === "" ? null : Number(value) }),
  );
  const measure = select(MEASURES, "fewest-then-volume", (value) => setAsk({ measure: value }));
  const drift = el("input", { type: "number", min: "0.1", step: "0.1", placeholder: "none" });
  drift.addEventListener("change", () => {
    const value = drift.valueAsNumber;
    setAsk({ driftBudget: value > 0 ? value : null });
  });
  const keepList = el("ul", { class: "keep" });
  const keepWhich = el("select", {});
  const keepShare = el("input", { type: "number", min: "1", max: "100", step: "1" });
  keepWhich.addEventListener("change", () => {
    const line = context.derive().placement?.lines.find((entry) => entry.ingredient === keepWhich.value);
    keepShare.value = line ? String(Math.floor(line.shareOfFinishedPercent)) : "";
  });
  const keepOver = el("select", {});
  const addRule = (rule: CharacterRule) => {
    const same = (other: CharacterRule) =>
      other.ingredient === rule.ingredient &&
      (other.atLeastAsMuchAs === undefined) === (rule.atLeastAsMuchAs === undefined);
    setAsk({ character: [...store.get().ask.character.filter((other) => !same(other)), rule] });
  };
  const keepAdd = button("Keep", () => {
    const share = keepShare.valueAsNumber;
    if (keepWhich.value && share > 0 && share <= 100) {
      addRule({ ingredient: keepWhich.value, minSharePercent: share });
    }
  });
  const overAdd = button("Keep", () => {
    if (keepWhich.value && keepOver.value && keepWhich.value !== keepOver.value) {
      addRule({ ingredient: keepWhich.value, atLeastAsMuchAs: keepOver.value });
    }
  });
  keepAdd.setAttribute("aria-label", "Keep at least this share");
  overAdd.setAttribute("aria-label", "Keep at least as much as that");

  fill(
    host,
    el("h2", { id: "ask-title" }, "Ask"),
    go.element,
    summary,
    add.element,
    chips,
    el(
      "details",
      { class: "ask-more" },
      el("summary", {}, "What may change, and what must stay"),
      el(
        "div",
        { class: "making" },
        field("Ingredients to touch", touched),
        field("Least means", measure),
        field(
          "Chance of being in range",
          chance,
          "Fruit and hands vary: a higher chance aims nearer the middle.",
        ),
        el("div", {}, field("Glass limit, mL", glassLimit), useGlass),
        field(
          "Drift budget",
          drift,
          "How far from round 1 it may go. 1 is about the spread of the classic sours.",
        ),
      ),
      el("h3", {}, "Keep the drink itself"),
      keepList,
      field("Of this ingredient", keepWhich),
      el(
        "div",
        { class: "keep-add" },
        field("keep at least, % of the glass", keepShare),
        keepAdd,
        field("or keep at least as much as there is of", keepOver),
        overAdd,
      ),
      el(
        "p",
        { class: "hint" },
        "Lock an ingredient in the spec to leave its amount alone; set its least and most under “Details”.",
      ),
    ),
  );

  return (state, derived) => {
    const { ask } = state;
    const noTarget = derived.target === null;
    go.update(state, derived);
    const locked = Object.values(state.rules).filter((rule) => rule.locked).length;
    summary.textContent = noTarget
      ? "Choose a range beside the map first."
      : [
          `Into ${derived.target?.label}, with pours of ${derived.ladder.name}.`,
          locked > 0 ? `${locked} locked.` : null,
          ask.maxTouched ? `Touching at most ${ask.maxTouched}.` : null,
          ask.maxFinishedMl ? `Glass limit ${volumeWords(ask.maxFinishedMl, state.units)}.` : null,
          ask.minProbability ? `At least ${Math.round(ask.minProbability * 100)} % sure.` : null,
          ask.driftBudget ? `Drift at most ${ask.driftBudget}.` : null,
        ]
          .filter(Boolean)
          .join(" ");
    const inDrink = new Set(state.spec.lines.map((line) => line.ingredient));
    add.offer(data.pantry.filter((i) => !inDrink.has(i.id) && !ask.additions.includes(i.id)));
    fill(
      chips,
      ...ask.additions.map((id) => {
        const name = derived.pantry.get(id)?.name ?? id;
        return el(
          "li",
          {},
          el(
            "button",
            {
              type: "button",
              class: "chip",
              "aria-label": `${name}: do not let it in`,
              on: { click: () => setAsk({ additions: ask.additions.filter((other) => other !== id) }) },
            },
            name,
            icon("cross"),
          ),
        );
      }),
    );
    touched.value = ask.maxTouched === null ? "" : String(ask.maxTouched);
    chance.value = ask.minProbability === null ? "" : String(ask.minProbability);
    measure.value = ask.measure;
    if (document.activeElement !== glassLimit)
      glassLimit.value = ask.maxFinishedMl === null ? "" : String(ask.maxFinishedMl);
    if (document.activeElement !== drift)
      drift.value = ask.driftBudget === null ? "" : String(ask.driftBudget);
    useGlass.disabled = !state.spec.glass;
    fill(
      keepList,
      ...ask.character.map((rule) => {
        const name = derived.pantry.get(rule.ingredient)?.name ?? rule.ingredient;
        const says = rule.atLeastAsMuchAs
          ? `${name}: at least as much as ${derived.pantry.get(rule.atLeastAsMuchAs)?.name ?? rule.atLeastAsMuchAs}`
          : `${name}: at least ${rule.minSharePercent} % of the glass`;
        return el(
          "li",
          {},
          says,
          button("Drop this", () => setAsk({ character: ask.character.filter((other) => other !== rule) }), {
            class: "quiet",
            "aria-label": `Drop this: ${says}`,
          }),
        );
      }),
    );
    const options = state.spec.lines.map((line) => line.ingredient).join();
    if (keepWhich.dataset.of !== options) {
      keepWhich.dataset.of = options;
      for (const choice of [keepWhich, keepOver]) {
        fill(
          choice,
          ...state.spec.lines.map((line) =>
            el(
              "option",
              { value: line.ingredient },
              derived.pantry.get(line.ingredient)?.name ?? line.ingredient,
            ),
          ),
        );
      }
      keepOver.selectedIndex = Math.min(1, keepOver.options.length - 1);
      keepWhich.dispatchEvent(new Event("change"));
    }
  };
}
