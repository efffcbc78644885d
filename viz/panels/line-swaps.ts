import { swapIngredient } from "../../engine/explore/changed-spec.ts";
import type { SwapEffect } from "../../engine/explore/routes.ts";
import { button, el, fill, tableHead } from "../dom.ts";
import { requestOf } from "../edit/ask-now.ts";
import type { Solver } from "../solver-client.ts";
import { axisChange } from "../words/verdict.ts";
import type { Context } from "./context.ts";

/** An open list is worked out again once the hand has rested this long. */
const REST_MS = 250;
const AXIS_NAMES = ["Sugar", "Acid", "Alcohol"] as const;
const BLIND =
  "The same amount, another bottle. A swap of equal strength and sweetness moves nothing here; aroma, bitterness and texture are not seen, and may change everything in the mouth.";

/** What every swap of one line within its role would move, and a button that tries it. */
export function createLineSwaps(
  context: Context,
  lookup: Solver,
): { element: HTMLDetailsElement; update(ingredient: string, name: string): void } {
  const { store, derive, announce } = context;
  let ingredient = "";
  let shownFor: readonly unknown[] = [];
  let timer: ReturnType<typeof setTimeout> | undefined;
  const body = el("div", { class: "line-swaps-body" });
  const summary = el("summary", {}, "Swaps");
  // One name: opening one line's list closes the others'.
  const element = el("details", { class: "line-swaps", name: "line-swaps" }, summary, body);

  const inputs = () => {
    const { spec, unitSettings } = store.get();
    const { target, pantry } = derive();
    return [ingredient, spec, unitSettings, target, pantry];
  };
  const changed = (now: readonly unknown[]) => now.some((input, i) => input !== shownFor[i]);

  const tryIt = (effect: SwapEffect) => {
    const from = derive().pantry.get(ingredient)?.name ?? ingredient;
    const { spec, unitSettings } = store.get();
    const { pantry, ladder } = derive();
    store.edit({
      spec: swapIngredient({ spec, pantry, ladder, unitSettings }, ingredient, effect.ingredient),
    });
    announce(`${effect.name} in place of ${from}, the same amount. Undo brings it back.`);
    // The line is another one now; its list opens in its place, so that the next can be tried.
    queueMicrotask(() => {
      const next = document.querySelector<HTMLDetailsElement>(
        `li.line[data-ingredient="${CSS.escape(effect.ingredient)}"] .line-swaps`,
      );
      if (!next) return;
      next.open = true;
      next.querySelector("summary")?.focus();
    });
  };

  const work = async () => {
    const now = inputs();
    const request = requestOf(context);
    if (!request) return fill(body, el("p", { class: "hint" }, "Choose a range beside the map first."));
    const reply = await lookup.ask("swaps", { ingredient, request });
    if (!element.isConnected || !element.open) return;
    if (reply === null) return later();
    shownFor = now;
    if ("problem" in reply) return fill(body, el("p", { class: "line-error" }, reply.problem));
    const top = body.querySelector(".scroll")?.scrollTop ?? 0;
    fill(body, ...swapList(reply.result, derive().pantry.get(ingredient)?.name ?? ingredient, tryIt));
    const list = body.querySelector(".scroll");
    if (list) list.scrollTop = top;
  };
  const later = () => {
    clearTimeout(timer);
    timer = setTimeout(work, REST_MS);
  };
  element.addEventListener("toggle", () => {
    if (element.open && changed(inputs())) work();
  });

  return {
    element,
    update(id, name) {
      ingredient = id;
      summary.setAttribute("aria-label", `Swaps for ${name}`);
      if (!element.open || !changed(inputs())) return;
      later();
    },
  };
}

function swapList(
  effects: readonly SwapEffect[],
  name: string,
  tryIt: (effect: SwapEffect) => void,
): HTMLElement[] {
  const blind = el("p", { class: "hint" }, BLIND);
  if (effects.length === 0) {
    return [el("p", { class: "hint" }, "The pantry holds nothing else of its kind."), blind];
  }
  const rows = effects.map((effect) => {
    const moves = effect.delta.map((change, k) => axisChange(k as 0 | 1 | 2, change));
    const still = moves.every((move) => move === "0");
    return el(
      "tr",
      {},
      el(
        "th",
        { scope: "row" },
        effect.name,
        effect.signedDistance <= 0 ? el("span", { class: "in-range" }, "in range") : null,
      ),
      ...(still
        ? [el("td", { colspan: "3", class: "still" }, "moves nothing here")]
        : moves.map((move) => el("td", {}, move))),
      el(
        "td",
        {},
        button("Try it", () => tryIt(effect), {
          class: "quiet",
          "aria-label": `Try it: ${effect.name}`,
        }),
      ),
    );
  });
  return [
    blind,
    el(
      "div",
      { class: "scroll", tabindex: "0", role: "region", "aria-label": `What each swap for ${name} moves` },
      el(
        "table",
        {},
        el("caption", {}, "What each would move, nearest to the range first"),
        tableHead("In its place", ...AXIS_NAMES, el("span", { class: "visually-hidden" }, "Try it")),
        el("tbody", {}, ...rows),
      ),
    ),
  ];
}
