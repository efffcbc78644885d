import { toVec } from "../../engine/axes.ts";
import type { Route } from "../../engine/explore/routes.ts";
import type { Proposal } from "../../engine/types.ts";
import { button, el, tableHead } from "../dom.ts";
import { takeProposal } from "../edit/take-proposal.ts";
import { axisNumber } from "../words/verdict.ts";
import type { Context } from "./context.ts";

/** Ways by different kinds of change, a row each, so that they can be compared; shown on the map when pointed at. */
export function routeTable(
  context: Context,
  routes: readonly (Route & { proposal: Proposal })[],
): HTMLElement {
  const { store } = context;
  return el(
    "div",
    { class: "scroll", tabindex: "0", role: "region", "aria-label": "Ways by another kind of change" },
    el(
      "table",
      { class: "route-table" },
      tableHead(
        "Way",
        "What you do",
        "Sugar",
        "Acid",
        "Alcohol",
        el("span", { class: "visually-hidden" }, "Take it"),
      ),
      el(
        "tbody",
        {},
        ...routes.map(({ name, proposal }) => {
          const after = toVec(proposal.after);
          const focus = () => {
            if (store.get().focusedProposal !== proposal.id) store.set({ focusedProposal: proposal.id });
          };
          const row = el(
            "tr",
            { class: "offer", "data-id": proposal.id },
            el("th", { scope: "row" }, name),
            el("td", { class: "what" }, proposal.moves.map((move) => move.text).join("; ")),
            ...([0, 1, 2] as const).map((k) => el("td", {}, axisNumber(k, after[k]))),
            el(
              "td",
              {},
              button("Take", () => takeProposal(context, proposal.id), {
                class: "take",
                "aria-label": `Take “${name}” as a new round`,
              }),
            ),
          );
          row.addEventListener("pointerenter", focus);
          row.addEventListener("focusin", focus);
          return row;
        }),
      ),
    ),
  );
}
