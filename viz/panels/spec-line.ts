import { formatAmount } from "../../engine/amounts/format-amount.ts";
import { nearestRung, nextRung } from "../../engine/amounts/ladder.ts";
import { parseQuantity } from "../../engine/amounts/parse-quantity.ts";
import { toVolumeMl } from "../../engine/amounts/units.ts";
import { sucroseGPer100Ml } from "../../engine/physics/sucrose-water.ts";
import { measuredShape } from "../../engine/shapes/view.ts";
import type { Ingredient, LinePlacement, SpecLine } from "../../engine/types.ts";
import { el, field, fill, setText, uniqueId } from "../dom.ts";
import { amountWords, lineVolumeMl, withVolume } from "../edit/line-edit.ts";
import { totalAcid, totalSugar } from "../edit/measured-ingredient.ts";
import type { Solver } from "../solver-client.ts";
import { fits } from "../state/codec/reader.ts";
import { reasonOf } from "../state/derived.ts";
import type { LineRule, Measured } from "../state/view.ts";
import type { Context } from "./context.ts";
import { icon } from "./icons.ts";
import { createLineSwaps } from "./line-swaps.ts";

/** How one line talks back to the editor. */
export interface LineHandlers {
  change(line: SpecLine, mergeKey?: string): void;
  rule(patch: LineRule): void;
  price(perLitre: number | null): void;
  measured(own: Measured): void;
  remove(): void;
}

/** What one line shows. */
export interface LineModel {
  line: SpecLine;
  ingredient: Ingredient | undefined;
  rule: LineRule;
  placed: LinePlacement | undefined;
  price: number | undefined;
  measured: Measured;
  /** Top of the slider in mL. */
  scaleMl: number;
}

/** One ingredient: name, amount, steppers, a poise to slide, a lock, and the rest behind a disclosure. */
export function createSpecLine(
  context: Context,
  handlers: LineHandlers,
  lookup: Solver,
): { element: HTMLLIElement; update(model: LineModel): void } {
  let model: LineModel;
  const state = () => context.store.get();
  const ladder = () => context.derive().ladder;
  const settings = () => state().unitSettings;
  const volume = () => lineVolumeMl(model.line, model.ingredient, settings()) ?? 0;
  const name = () => model.ingredient?.name ?? model.line.ingredient;

  const said = () => amountWords(model.line, model.ingredient, state().units, settings());

  const setVolume = (ml: number, mergeKey?: string) => {
    const { ingredient } = model;
    if (!ingredient) return;
    handlers.change(withVolume(model.line, Math.max(0, ml), ladder(), ingredient, settings()), mergeKey);
  };
  const step = (direction: 1 | -1, times = 1) => {
    const { ingredient } = model;
    if (!ingredient) return;
    let ml = volume();
    if (model.line.unit === "piece" && ingredient.pieceMl) {
      ml = Math.max(0, ml + (direction * times * ingredient.pieceMl.value) / 2);
    } else {
      for (let i = 0; i < times; i += 1) ml = nextRung(ml, ladder(), direction, ingredient, settings());
    }
    setVolume(ml, `step-${model.line.ingredient}`);
  };

  const title = el("span", { class: "line-name" });
  const flag = el("span", { class: "line-flag" });
  const error = el("p", { class: "line-error", role: "alert", id: uniqueId("line-error"), hidden: true });
  const amount = el("input", {
    type: "text",
    class: "amount",
    autocomplete: "off",
    spellcheck: "false",
    "aria-describedby": error.id,
  });
  const showAmount = () => {
    amount.value = said();
    amount.removeAttribute("aria-invalid");
    error.hidden = true;
  };
  const refuse = (text: string) => {
    error.hidden = false;
    setText(error, text);
    amount.setAttribute("aria-invalid", "true");
  };
  const readAmount = () => {
    const text = amount.value.trim();
    if (text === said()) return showAmount();
    const read = parseQuantity(text);
    if (read?.rest.trim() !== "") {
      return refuse(`“${text}” is not an amount. Try 3/4 oz, 22.5 ml, 2 dashes or 10 g.`);
    }
    if (read.high !== undefined) return refuse(`“${text}” is a range. Give the one amount you pour.`);
    const unit = read.unit ?? ladder().displayUnit;
    try {
      toVolumeMl(read.amount, unit, {
        settings: settings(),
        ...(model.ingredient && { ingredient: model.ingredient }),
      });
    } catch (problem) {
      return refuse(reasonOf(problem));
    }
    handlers.change({ ...model.line, amount: read.amount, unit });
  };
  amount.addEventListener("change", readAmount);
  amount.addEventListener("keydown", (event) => {
    if (event.key === "ArrowUp" || event.key === "ArrowDown") {
      event.preventDefault();
      step(event.key === "ArrowUp" ? 1 : -1);
      showAmount();
    } else if (event.key === "Enter") readAmount();
    else if (event.key === "Escape") showAmount();
  });
  amount.addEventListener("focus", () => amount.select());

  const minus = el(
    "button",
    { type: "button", class: "square", on: { click: () => step(-1) } },
    icon("minus"),
  );
  const plus = el("button", { type: "button", class: "square", on: { click: () => step(1) } }, icon("plus"));
  const lock = el("button", {
    type: "button",
    class: "square lock",
    on: { click: () => handlers.rule({ ...model.rule, locked: !model.rule.locked }) },
  });
  const remove = el(
    "button",
    { type: "button", class: "square remove", on: { click: () => handlers.remove() } },
    icon("cross"),
  );

  const slider = el("input", { type: "range", class: "poise", min: "0", step: "any" });
  let dragging = 0;
  slider.addEventListener("pointerdown", () => {
    dragging += 1;
  });
  slider.addEventListener("input", () => {
    const { ingredient } = model;
    if (!ingredient) return;
    setVolume(
      nearestRung(slider.valueAsNumber, ladder(), ingredient, settings()),
      `drag-${model.line.ingredient}-${dragging}`,
    );
  });
  slider.addEventListener("keydown", (event) => {
    const moves: Record<string, [1 | -1, number]> = {
      ArrowRight: [1, 1],
      ArrowUp: [1, 1],
      ArrowLeft: [-1, 1],
      ArrowDown: [-1, 1],
      PageUp: [1, 4],
      PageDown: [-1, 4],
    };
    const move = moves[event.key];
    if (move) step(...move);
    else if (event.key === "Home") setVolume(0);
    else return;
    event.preventDefault();
  });

  const share = el("p", { class: "line-share" });
  const bound = (which: "minMl" | "maxMl", label: string) => {
    const input = el("input", { type: "text", class: "amount", placeholder: "none", autocomplete: "off" });
    input.addEventListener("change", () => {
      const { [which]: _, ...rest } = model.rule;
      if (input.value.trim() === "") return handlers.rule(rest);
      const read = parseQuantity(input.value);
      if (read?.rest.trim() !== "" || read.high !== undefined) {
        return refuse(
          `“${input.value}” is not an amount for the ${label.toLowerCase()}. Try 1/2 oz or 15 ml.`,
        );
      }
      error.hidden = true;
      try {
        const { ml } = toVolumeMl(read.amount, read.unit ?? ladder().displayUnit, {
          settings: settings(),
          ...(model.ingredient && { ingredient: model.ingredient }),
        });
        handlers.rule({ ...rest, [which]: ml });
      } catch (problem) {
        refuse(reasonOf(problem));
      }
    });
    return input;
  };
  const min = bound("minMl", "Least");
  const max = bound("maxMl", "Most");
  const price = el("input", { type: "number", min: "0", step: "any", placeholder: "not set" });
  price.addEventListener("change", () => {
    const value = price.valueAsNumber;
    handlers.price(Number.isFinite(value) && value >= 0 ? value : null);
  });
  const own = (key: keyof Measured, what: string) => {
    const input = el("input", { type: "text", inputmode: "decimal", autocomplete: "off", "data-own": key });
    input.addEventListener("change", () => {
      const { [key]: _, ...rest } = model.measured;
      const text = input.value.trim().replace(",", ".");
      error.hidden = true;
      if (text === "") return handlers.measured(rest);
      const match = /^(\d+(?:\.\d+)?)\s*(°?\s*(?:bx|brix))?$/i.exec(text);
      const said = Number(match?.[1]);
      const value = match?.[2] && key === "sugar" && said <= 85 ? sucroseGPer100Ml(said) : said;
      if (!match || (match[2] && key !== "sugar") || fits(measuredShape.shape[key], value) === null) {
        return refuse(
          `“${input.value}” is not a figure for the ${what}. Give a plain number${key === "sugar" ? ", or °Brix as 12 Bx" : ""}.`,
        );
      }
      handlers.measured({ ...rest, [key]: Number(value.toPrecision(5)) });
    });
    return input;
  };
  const ownSugar = own("sugar", "sugar");
  const ownAcid = own("acid", "acid");
  const ownAbv = own("abv", "alcohol");
  const stage = el("select", {});
  stage.append(
    el("option", { value: "" }, "As usual"),
    el("option", { value: "mix" }, "Mixed with the ice"),
    el("option", { value: "top" }, "Added after"),
  );
  stage.addEventListener("change", () => {
    const { stage: _, ...rest } = model.line;
    handlers.change(stage.value === "" ? rest : { ...rest, stage: stage.value as "mix" | "top" });
  });
  const composition = el("p", { class: "hint" });
  const more = el(
    "details",
    { class: "line-more" },
    el("summary", {}, "Details"),
    el(
      "div",
      { class: "line-more-body" },
      field("Least", min),
      field("Most", max),
      field("Goes in", stage),
      field("Price per litre", price),
      el("p", { class: "hint" }, "Measured yours? It replaces the book's figure:"),
      field("Sugar, g/100 mL or Bx", ownSugar),
      field("Acid, g/100 mL as citric", ownAcid),
      field("Alcohol, % vol", ownAbv),
      composition,
    ),
  );
  const summary = more.querySelector("summary")!;
  const swaps = createLineSwaps(context, lookup);

  const element = el(
    "li",
    { class: "line" },
    el(
      "div",
      { class: "line-top" },
      el("div", { class: "line-title" }, title, flag),
      amount,
      minus,
      plus,
      lock,
      remove,
    ),
    slider,
    el("div", { class: "line-foot" }, share, el("div", { class: "line-asides" }, swaps.element, more)),
    error,
  );

  return {
    element,
    update(next) {
      model = next;
      const ml = volume();
      const label = name();
      setText(title, label);
      setText(flag, model.ingredient ? "" : "not in the pantry: it counts for nothing; choose another");
      element.dataset.ingredient = model.line.ingredient;
      element.classList.toggle("is-locked", model.rule.locked === true);
      if (document.activeElement !== amount || amount.dataset.said !== said()) showAmount();
      amount.dataset.said = said();
      amount.setAttribute("aria-label", `Amount of ${label}`);
      minus.setAttribute("aria-label", `Less ${label}`);
      plus.setAttribute("aria-label", `More ${label}`);
      remove.setAttribute("aria-label", `Remove ${label}`);
      lock.setAttribute("aria-label", `Lock ${label}`);
      lock.setAttribute("aria-pressed", String(model.rule.locked === true));
      lock.title = model.rule.locked ? "Locked: proposals leave it alone" : "Lock: proposals leave it alone";
      fill(lock, icon(model.rule.locked ? "lock" : "unlock"));
      slider.max = String(model.scaleMl);
      slider.value = String(ml);
      slider.style.setProperty("--fill", `${Math.min(100, (100 * ml) / model.scaleMl)}%`);
      const stepMl = ladder().displayUnit === "oz" ? 29.5735295625 / 4 : model.scaleMl > 30 ? 10 : 1;
      slider.style.setProperty("--tick", `${(100 * stepMl) / model.scaleMl}%`);
      slider.setAttribute("aria-label", `${label}, slide to change`);
      slider.setAttribute("aria-valuetext", said());
      const { placed } = model;
      setText(
        share,
        placed
          ? [
              `${Math.round(placed.shareOfFinishedPercent)} % of the glass`,
              ...(
                [
                  ["sugar", placed.sugarSharePercent],
                  ["acid", placed.acidSharePercent],
                  ["alcohol", placed.ethanolSharePercent],
                ] as const
              ).flatMap(([what, percent]) => (percent >= 0.5 ? [`${Math.round(percent)} % of ${what}`] : [])),
            ].join(" · ")
          : "",
      );
      swaps.update(model.line.ingredient, label);
      summary.setAttribute("aria-label", `Details of ${label}`);
      const limits = [
        model.rule.minMl !== undefined ? "least" : null,
        model.rule.maxMl !== undefined ? "most" : null,
      ].filter(Boolean);
      more.classList.toggle("is-set", limits.length > 0 || Object.keys(model.measured).length > 0);
      const context2 = { settings: settings(), ...(model.ingredient && { ingredient: model.ingredient }) };
      const showBound = (input: HTMLInputElement, value: number | undefined) => {
        if (document.activeElement === input) return;
        input.value = value === undefined || !model.ingredient ? "" : formatAmount(value, ladder(), context2);
      };
      showBound(min, model.rule.minMl);
      showBound(max, model.rule.maxMl);
      stage.value = model.line.stage ?? "";
      if (document.activeElement !== price)
        price.value = model.price === undefined ? "" : String(model.price);
      const showOwn = (input: HTMLInputElement, key: keyof Measured, now: number) => {
        input.placeholder = String(Number(now.toPrecision(3)));
        if (document.activeElement !== input) input.value = String(model.measured[key] ?? "");
      };
      if (model.ingredient) {
        showOwn(ownSugar, "sugar", totalSugar(model.ingredient));
        showOwn(ownAcid, "acid", totalAcid(model.ingredient));
        showOwn(ownAbv, "abv", model.ingredient.abvPercent.value);
      }
      const words = model.ingredient ? compositionWords(model.ingredient) : "";
      if (model.ingredient && composition.dataset.of !== words) {
        composition.dataset.of = words;
        fill(
          composition,
          words,
          " ",
          el("a", { href: `./sources.html#${model.ingredient.id}` }, "Where these numbers come from"),
        );
      }
    },
  };
}

/** Open a line's details at the field for the user's own figure (sugar, acid or abv), from anywhere on the page. */
export function openFigure(ingredient: string, quantity: string): void {
  const more = document.querySelector<HTMLDetailsElement>(
    `li.line[data-ingredient="${CSS.escape(ingredient)}"] .line-more`,
  );
  if (!more) return;
  more.open = true;
  const input = more.querySelector<HTMLInputElement>(`[data-own="${quantity}"]`);
  input?.scrollIntoView({ block: "center" });
  input?.focus({ preventScroll: true });
}

/** "Per 100 mL: 8.9 g sugars, 4.60 g acids as citric." */
function compositionWords(ingredient: Ingredient): string {
  const abv = ingredient.abvPercent.value;
  const parts = [
    `${totalSugar(ingredient).toFixed(1)} g sugars`,
    `${totalAcid(ingredient).toFixed(2)} g acids as citric`,
    abv > 0 ? `${abv} % vol` : null,
  ].filter(Boolean);
  return `Per 100 mL${ingredient.own ? ", with your own figures" : ""}: ${parts.join(", ")}.`;
}
