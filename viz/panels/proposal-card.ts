import { toVec } from "../../engine/axes.ts";
import type { Proposal } from "../../engine/types.ts";
import { button, el, setText, tableHead } from "../dom.ts";
import { takeProposal } from "../edit/take-proposal.ts";
import { letter as letterOf } from "../map/items.ts";
import { onMap, type State } from "../state/store.ts";
import { volumeWords } from "../words/facts.ts";
import { axisNumber } from "../words/verdict.ts";
import type { Context } from "./context.ts";

const AXIS_NAMES = ["Sugar", "Acid", "Alcohol"] as const;

/**
 * One proposal as a card: what to pour, where it goes, how sure, why; it can be shown and taken.
 * `compared`: it stands among rivals, so that what it is best at means something.
 */
export function proposalCard(
  context: Context,
  proposal: Proposal,
  { title = proposal.name, compared = false }: { title?: string; compared?: boolean } = {},
): HTMLLIElement {
  const { store } = context;
  const before = toVec(proposal.before);
  const after = toVec(proposal.after);
  const afterSd = toVec(proposal.afterSd);
  const focus = () => {
    if (store.get().focusedProposal !== proposal.id) store.set({ focusedProposal: proposal.id });
  };
  const showOnMap = () => {
    focus();
    document.getElementById("map")?.scrollIntoView();
  };
  const facts = [
    `${volumeWords(proposal.finishedVolumeMl, store.get().units)} in the glass`,
    proposal.driftFromFirst === null ? null : `drift ${proposal.driftFromFirst.toFixed(1)} from round 1`,
    proposal.costChange === null
      ? null
      : `cost ${proposal.costChange < 0 ? "−" : "+"}${Math.abs(proposal.costChange).toFixed(2)}`,
  ];
  const item = el(
    "li",
    { class: "card offer", "data-id": proposal.id },
    el("h3", {}, el("span", { class: "letter", "aria-hidden": "true" }), title),
    el("ul", { class: "moves" }, ...proposal.moves.map((move) => el("li", {}, move.text))),
    el(
      "table",
      { class: "before-after" },
      el("caption", { class: "visually-hidden" }, `${title}: the drink now and then`),
      tableHead(el("span", { class: "visually-hidden" }, "Axis"), "now", "then"),
      el(
        "tbody",
        {},
        ...([0, 1, 2] as const).map((k) =>
          el(
            "tr",
            {},
            el("th", { scope: "row" }, AXIS_NAMES[k]),
            el("td", {}, axisNumber(k, before[k])),
            el("td", {}, el("b", {}, axisNumber(k, after[k])), ` ± ${axisNumber(k, afterSd[k])}`),
          ),
        ),
      ),
    ),
    proposal.probabilityInside === null
      ? null
      : el("p", {}, el("b", {}, inHundred(proposal.probabilityInside)), " real glasses would be in range"),
    el("p", { class: "card-facts" }, facts.filter(Boolean).join(" · ")),
    el("p", { class: "why" }, proposal.why),
    compared && proposal.bestAt.length > 0
      ? el(
          "ul",
          { class: "tags", "aria-label": "Of these, best for" },
          ...proposal.bestAt.map((tag) => el("li", {}, tag)),
        )
      : null,
    el(
      "div",
      { class: "buttons" },
      button("Take", () => takeProposal(context, proposal.id), {
        class: "primary take",
        "aria-label": `Take “${title}” as a new round`,
      }),
      button("Show on the map", showOnMap, { class: "quiet", "aria-label": `Show on the map: “${title}”` }),
    ),
  );
  item.addEventListener("pointerenter", focus);
  item.addEventListener("focusin", focus);
  return item;
}

/** Write on every card inside `host` the letter its ghost has on the map, and mark the one in focus. */
export function markOffers(host: Element, state: State): void {
  const drawn = onMap(state);
  for (const card of host.querySelectorAll<HTMLElement>(".offer")) {
    const at = drawn.findIndex(({ id }) => id === card.dataset.id);
    card.classList.toggle("is-active", card.dataset.id === state.focusedProposal);
    const letter = card.querySelector(".letter");
    if (letter) setText(letter, at < 0 ? "" : letterOf(at));
  }
}

/** A chance as a count that never claims certainty. */
function inHundred(chance: number): string {
  const n = Math.round(chance * 100);
  return n < 1 ? "under 1 in 100" : n > 99 ? "over 99 in 100" : `${n} in 100`;
}
