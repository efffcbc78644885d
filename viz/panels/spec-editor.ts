import { select as pick } from "d3";
import { ML_PER_UNIT } from "../../engine/amounts/units.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import type { Method, SpecLine } from "../../engine/types.ts";
import { button, el, field, fill, select, setText, uniqueId } from "../dom.ts";
import { lineVolumeMl, onLadder, withVolume } from "../edit/line-edit.ts";
import type { Solver } from "../solver-client.ts";
import type { Derived } from "../state/derived.ts";
import type { State } from "../state/store.ts";
import { createCombobox } from "./combobox.ts";
import type { Context } from "./context.ts";
import { createDilutionEditor, methodHint } from "./dilution-editor.ts";
import { createPasteBox } from "./paste-box.ts";
import { createSpecLine, type LineHandlers } from "./spec-line.ts";

const METHOD_CHOICES = (Object.keys(METHODS) as Method[]).map((value) => ({
  value,
  label: METHODS[value].name,
}));

/** Slider tops in mL; the smallest that leaves room above every pour is used, so poises can be compared. */
const SCALES_ML = [15, 60, 90, 120, 180, 240, 360, 500, 1000, 2000, 5000];

function scaleFor(ml: number): number {
  return SCALES_ML.find((top) => top >= ml * 1.2) ?? ml * 1.5;
}

/** The lines of the drink, how it is made, and ways to bring one in. */
export function specEditor(
  host: HTMLElement,
  context: Context,
  lookup: Solver,
): (state: State, derived: Derived) => void {
  const { store, data, derive } = context;
  const editors = new WeakMap<Element, ReturnType<typeof createSpecLine>>();
  /** Slider tops only grow while one spec is worked on, so a poise never jumps under the finger. */
  let commonTop = 60;
  let lastRound: string | null | undefined;

  const name = el("input", { type: "text", id: "drink-name", maxlength: "120" });
  name.addEventListener("change", () => {
    const { spec } = store.get();
    store.edit({ spec: { ...spec, name: name.value.trim() || "Untitled" } });
  });
  const list = el("ul", { class: "lines", "aria-label": "Ingredients" });
  const changeLine = (index: number, line: SpecLine, mergeKey?: string) => {
    const { spec } = store.get();
    store.edit(
      { spec: { ...spec, lines: spec.lines.map((old, i) => (i === index ? line : old)) } },
      mergeKey,
    );
  };

  const add = createCombobox("Add an ingredient", "Search the pantry", (ingredient) => {
    const { spec, unitSettings } = store.get();
    const at = spec.lines.findIndex((line) => line.ingredient === ingredient.id);
    if (at < 0) {
      const startMl = ingredient.role === "bitters" ? unitSettings.dashMl : ML_PER_UNIT.oz / 2;
      const line = withVolume(
        { ingredient: ingredient.id, amount: 0, unit: derive().ladder.displayUnit },
        ingredient.role === "acid"
          ? 0
          : derive().ladder.displayUnit === "oz" || ingredient.role === "bitters"
            ? startMl
            : 15,
        derive().ladder,
        ingredient,
        unitSettings,
      );
      const first: SpecLine =
        ingredient.role === "acid"
          ? { ingredient: ingredient.id, amount: 0.5, unit: "g" }
          : ingredient.pieceMl && ingredient.role === "egg"
            ? { ingredient: ingredient.id, amount: 1, unit: "piece" }
            : line;
      store.edit({ spec: { ...spec, lines: [...spec.lines, first] } });
    }
    queueMicrotask(() => {
      const row = list.children[at < 0 ? spec.lines.length : at];
      row?.querySelector<HTMLInputElement>("input.amount")?.focus();
    });
  });

  const method = select(METHOD_CHOICES, "shaken", (value) => {
    const { spec } = store.get();
    store.edit({ spec: { ...spec, method: value } });
  });
  const glass = select(
    [{ value: "", label: "Not chosen" }, ...data.glasses.map((g) => ({ value: g.id, label: g.name }))],
    "",
    (value) => {
      const { glass: _, ...spec } = store.get().spec;
      store.edit({ spec: value === "" ? spec : { ...spec, glass: value } });
    },
  );
  const dilution = createDilutionEditor(context);
  const methodWords = el("p", { class: "hint", id: uniqueId("method-hint") });
  method.setAttribute("aria-describedby", methodWords.id);
  const round = button("", () => {
    const { spec, unitSettings } = store.get();
    const lines = onLadder(spec.lines, derive().pantry, derive().ladder, unitSettings);
    if (lines) store.edit({ spec: { ...spec, lines } });
  });
  const undo = button("Undo", () => store.undo(), { class: "quiet" });
  const revert = button(
    "Back to the round",
    () => {
      const { round } = derive();
      if (round) store.edit({ spec: round.spec });
    },
    { class: "quiet" },
  );
  const edited = el("p", { class: "edited", role: "status" });

  fill(
    host,
    el(
      "div",
      { class: "panel-head" },
      el("h2", { id: "spec-title" }, "Spec"),
      edited,
      el("div", { class: "buttons" }, undo, revert),
    ),
    el("div", { class: "field wide" }, el("label", { for: "drink-name" }, "Drink"), name),
    list,
    round,
    add.element,
    el(
      "div",
      { class: "making" },
      field("Method", method),
      field("Glass", glass),
      methodWords,
      ...dilution.elements,
    ),
    createPasteBox(context),
  );

  return (state, derived) => {
    if (document.activeElement !== name) name.value = state.spec.name;
    if (state.round !== lastRound) {
      commonTop = 60;
      lastRound = state.round;
    }
    const volumes = state.spec.lines.map(
      (line) => lineVolumeMl(line, derived.pantry.get(line.ingredient), state.unitSettings) ?? 0,
    );
    commonTop = Math.max(commonTop, scaleFor(Math.max(0, ...volumes)));
    const placed = [...(derived.placement?.lines ?? [])];
    const seen = new Map<string, number>();
    const keyed = state.spec.lines.map((line, index) => {
      const nth = seen.get(line.ingredient) ?? 0;
      seen.set(line.ingredient, nth + 1);
      return { key: `${line.ingredient}#${nth}`, line, index };
    });
    const indexOf = (row: Element) => [...list.children].indexOf(row);
    pick(list)
      .selectAll<HTMLLIElement, (typeof keyed)[number]>("li.line")
      .data(keyed, (entry) => entry.key)
      .join((enter) =>
        enter.append((entry) => {
          const id = entry.line.ingredient;
          const handlers = {
            change: (line, mergeKey) => changeLine(indexOf(editor.element), line, mergeKey),
            rule: (rule) => store.edit({ rules: { ...store.get().rules, [id]: rule } }),
            price: (perLitre) => {
              const { [id]: _, ...rest } = store.get().prices;
              store.set({ prices: perLitre === null ? rest : { ...rest, [id]: perLitre } });
            },
            measured: (figures) => {
              const { [id]: _, ...rest } = store.get().measured;
              store.set({ measured: Object.keys(figures).length > 0 ? { ...rest, [id]: figures } : rest });
            },
            remove: () => {
              const index = indexOf(editor.element);
              const { spec } = store.get();
              store.edit({ spec: { ...spec, lines: spec.lines.filter((_, i) => i !== index) } });
              const next = list.children[index + 1] ?? list.children[index - 1];
              (next?.querySelector<HTMLElement>("button.remove") ?? add.input).focus();
            },
          } satisfies LineHandlers;
          const editor = createSpecLine(context, handlers, lookup);
          editors.set(editor.element, editor);
          return editor.element;
        }),
      )
      .order()
      .each(function (entry) {
        const at = placed.findIndex((candidate) => candidate.ingredient === entry.line.ingredient);
        const ownTop = scaleFor(volumes[entry.index] ?? 0);
        editors.get(this)?.update({
          line: entry.line,
          ingredient: derived.pantry.get(entry.line.ingredient),
          rule: state.rules[entry.line.ingredient] ?? {},
          placed: at < 0 ? undefined : placed.splice(at, 1)[0],
          price: state.prices[entry.line.ingredient],
          measured: state.measured[entry.line.ingredient] ?? {},
          // Dashes and spoons would vanish on the common beam; they get a short one of their own.
          scaleMl:
            derived.pantry.get(entry.line.ingredient)?.role === "bitters" && ownTop <= 15 ? 15 : commonTop,
        });
      });
    round.hidden = onLadder(state.spec.lines, derived.pantry, derived.ladder, state.unitSettings) === null;
    setText(round, `Round the pours to the ladder: ${derived.ladder.name}`);
    add.offer(data.pantry);
    method.value = state.spec.method;
    glass.value = state.spec.glass ?? "";
    dilution.update(state, derived);
    setText(methodWords, methodHint(state.spec.method));
    undo.disabled = !store.canUndo();
    revert.hidden = derived.round === null || !derived.edited;
    edited.textContent = derived.round
      ? derived.edited
        ? `edited since round ${derived.round.number}`
        : `round ${derived.round.number}, as saved`
      : "not saved as a round";
  };
}
