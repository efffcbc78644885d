import { select as pick } from "d3";
import { toVec } from "../../engine/axes.ts";
import type { Proposal } from "../../engine/types.ts";
import { button, el, fill } from "../dom.ts";
import { takeProposal } from "../edit/take-proposal.ts";
import type { Answer } from "../state/store.ts";
import { volumeWords } from "../words/facts.ts";
import { axisNumber } from "../words/verdict.ts";
import type { Panel } from "./context.ts";

const AXIS_NAMES = ["Sugar", "Acid", "Alcohol"] as const;

/** The solver's answer: its status in plain words, then each way in as a card that can be taken. */
export const proposals: Panel = (host, context) => {
  const { store } = context;
  const title = el("h2", { id: "proposals-title" }, "Ways in");
  const status = el("p", { class: "answer-status" });
  const cards = el("ol", { class: "cards" });
  const more = el("div", { class: "answer-more" });
  let pinned: string | null = null;
  let rendered: Answer | null | undefined;
  const focusOn = (id: string | null) => {
    if (store.get().focusedProposal !== id) store.set({ focusedProposal: id });
  };
  cards.addEventListener("pointerleave", () => focusOn(pinned));
  fill(host, title, status, cards, more);

  const card = (proposal: Proposal): HTMLLIElement => {
    const before = toVec(proposal.before);
    const after = toVec(proposal.after);
    const show = button(
      "Show on the map",
      () => {
        pinned = proposal.id;
        focusOn(proposal.id);
      },
      { class: "quiet", "aria-label": `Show “${proposal.name}” on the map` },
    );
    const item = el(
      "li",
      { class: "card", "data-id": proposal.id },
      el("h3", {}, proposal.name),
      el("ul", { class: "moves" }, ...proposal.moves.map((move) => el("li", {}, move.text))),
      el(
        "table",
        { class: "before-after" },
        el("caption", { class: "visually-hidden" }, `${proposal.name}: before and after`),
        el(
          "thead",
          {},
          el(
            "tr",
            {},
            el("th", { scope: "col" }, ""),
            el("th", { scope: "col" }, "now"),
            el("th", { scope: "col" }, "then"),
          ),
        ),
        el(
          "tbody",
          {},
          ...([0, 1, 2] as const).map((k) =>
            el(
              "tr",
              {},
              el("th", { scope: "row" }, AXIS_NAMES[k]),
              el("td", {}, axisNumber(k, before[k])),
              el("td", {}, el("b", {}, axisNumber(k, after[k]))),
            ),
          ),
        ),
      ),
      el(
        "p",
        { class: "card-facts" },
        [
          proposal.probabilityInside === null
            ? null
            : `${Math.round(proposal.probabilityInside * 100)} % chance the real drink is in range`,
          `${volumeWords(proposal.finishedVolumeMl, store.get().units)} in the glass`,
          proposal.driftFromFirst === null ? null : `drift ${proposal.driftFromFirst.toFixed(1)}`,
          proposal.costChange === null
            ? null
            : `cost ${proposal.costChange < 0 ? "−" : "+"}${Math.abs(proposal.costChange).toFixed(2)}`,
        ]
          .filter(Boolean)
          .join(" · "),
      ),
      el("p", { class: "why" }, proposal.why),
      proposal.bestAt.length > 0
        ? el(
            "ul",
            { class: "tags", "aria-label": "Best at" },
            ...proposal.bestAt.map((tag) => el("li", {}, tag)),
          )
        : null,
      el(
        "div",
        { class: "buttons" },
        button("Take", () => takeProposal(context, proposal.id), {
          class: "primary take",
          "aria-label": `Take “${proposal.name}” as a new round`,
        }),
        show,
      ),
    );
    item.addEventListener("pointerenter", () => focusOn(proposal.id));
    item.addEventListener("focusin", () => {
      pinned = proposal.id;
      focusOn(proposal.id);
    });
    return item;
  };

  return (state, derived) => {
    const { answer } = state;
    const stale = answer !== null && answer.forSpec !== state.spec;
    host.dataset.stale = String(stale);
    if (answer !== rendered) {
      rendered = answer;
      pinned = answer?.result.proposals[0]?.id ?? null;
      fill(cards, ...(answer?.result.proposals.map(card) ?? []));
      fill(more, ...(answer ? behind(answer) : []));
    }
    status.textContent = state.asking
      ? "Working it out…"
      : state.askProblem
        ? `That could not be asked. ${state.askProblem}`
        : answer
          ? stale
            ? "The spec has changed since this answer: ask again, or undo."
            : statusWords(answer, derived.target?.label ?? "range")
          : "Press “Bring it into range” and the least changes of your pours that do it appear here, each drawn on the map.";
    pick(cards)
      .selectAll<HTMLLIElement, unknown>("li.card")
      .classed("is-active", function () {
        return this.dataset.id === state.focusedProposal;
      });
  };
};

/** One honest sentence for each status. */
function statusWords(answer: Answer, target: string): string {
  const { result, milliseconds } = answer;
  const n = result.proposals.length;
  const time = `${milliseconds < 10 ? milliseconds.toFixed(1) : Math.round(milliseconds)} ms`;
  switch (result.status) {
    case "already_inside":
      return `${result.explanation} Nothing needs to change.`;
    case "optimal":
      return `${n === 1 ? "One way" : `${n} ways`} into ${target}, the first ${
        result.certificate.proved ? "proved the least there is" : "the least found"
      } (${time}).`;
    case "limit_reached":
      return `Stopped at the ${result.limit === "nodes" ? "search" : "time"} limit: best so far, and it could be improved by at most ${result.certificate.gap.toFixed(1)} of the measure.`;
    default:
      return result.explanation;
  }
}

/** What is behind the answer: infeasibility, prices of the limits, the certificate. */
function behind(answer: Answer): HTMLElement[] {
  const { result } = answer;
  const out: HTMLElement[] = [];
  if (result.infeasible) {
    out.push(
      el(
        "div",
        { class: "infeasible" },
        el("p", {}, result.infeasible.text),
        el(
          "p",
          { class: "hint" },
          `The closest these pours can come: ${toVec(result.infeasible.nearest.point)
            .map(
              (value, k) =>
                `${AXIS_NAMES[k as 0 | 1 | 2].toLowerCase()} ${axisNumber(k as 0 | 1 | 2, value)}`,
            )
            .join(", ")}. ${result.infeasible.nearest.membership.text}`,
        ),
      ),
    );
  }
  const prices = result.continuous?.multipliers.filter((multiplier) => multiplier.value > 0) ?? [];
  if (prices.length > 0) {
    out.push(
      el(
        "details",
        {},
        el("summary", {}, "What each limit costs"),
        el("ul", {}, ...prices.map((multiplier) => el("li", {}, multiplier.text))),
      ),
    );
  }
  const { certificate } = result;
  if (result.status !== "already_inside") {
    out.push(
      el(
        "details",
        {},
        el("summary", {}, certificate.proved ? "Why nothing smaller works" : "How far the search got"),
        el(
          "p",
          { class: "hint" },
          `${certificate.nodes} steps of search, ${certificate.evaluations} drinks worked out, gap ${certificate.gap.toFixed(2)}.`,
        ),
        el(
          "ul",
          {},
          ...certificate.refutations.slice(0, 20).map((refutation) => el("li", {}, refutation.text)),
        ),
        certificate.assumptions.length > 0
          ? el("p", { class: "hint" }, `Assumes: ${certificate.assumptions.join("; ")}.`)
          : null,
      ),
    );
  }
  return out;
}
