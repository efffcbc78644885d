import { toVec } from "../../engine/axes.ts";
import type { Route } from "../../engine/explore/routes.ts";
import { button, el, fill, setText } from "../dom.ts";
import { askNow, askRoutes } from "../edit/ask-now.ts";
import type { Solver } from "../solver-client.ts";
import type { Derived } from "../state/derived.ts";
import { type Answer, isFresh, type State } from "../state/store.ts";
import { glassesInHundred } from "../words/facts.ts";
import { axisNumber } from "../words/verdict.ts";
import type { Context } from "./context.ts";
import { markOffers, proposalCard } from "./proposal-card.ts";
import { routeTable } from "./route-table.ts";
import { openFigure } from "./spec-line.ts";

const AXIS_NAMES = ["sugar", "acid", "alcohol"] as const;

/** The solver's answer: its status in plain words, each way in as a card, and what is behind it. */
export function proposalsPanel(
  host: HTMLElement,
  context: Context,
  solver: Solver,
): (state: State, derived: Derived) => void {
  const status = el("p", { class: "answer-status", id: "answer-status" });
  const again = button("", () => askNow(context, solver), { class: "again" });
  const cards = el("ol", { class: "cards" });
  const repair = el("div", { class: "infeasible" });
  const compare = button("Compare a swap, a syrup, an acid, a method", () => askRoutes(context, solver));
  const routes = el("div", { class: "routes" });
  const measure = el("div", { class: "measure-first" });
  const more = el("div", { class: "answer-more" });
  let rendered: Answer | null | undefined;
  fill(
    host,
    el("h2", { id: "proposals-title" }, "Ways in"),
    status,
    again,
    cards,
    measure,
    repair,
    routes,
    more,
  );

  const render = (answer: Answer | null) => {
    const proposals = answer?.found.proposals ?? [];
    const compared = proposals.length > 1;
    fill(cards, ...proposals.map((proposal) => proposalCard(context, proposal, { compared })));
    fill(measure, ...(answer ? measureFirst(context, answer) : []));
    fill(repair, ...(answer ? whyNot(context, answer) : []));
    repair.hidden = repair.childElementCount === 0;
    fill(routes, ...(answer ? otherKinds(context, answer, compare) : []));
    fill(more, ...(answer ? behind(answer) : []));
  };

  return (state, derived) => {
    const { answer } = state;
    const stale = answer !== null && !isFresh(answer, state);
    host.dataset.stale = String(stale);
    if (answer !== rendered) {
      rendered = answer;
      render(answer);
    }
    compare.disabled = state.asking !== null || stale;
    for (const take of host.querySelectorAll<HTMLButtonElement>(".take")) take.disabled = stale;
    again.hidden = state.asking === "explore" || derived.target === null || (answer !== null && !stale);
    setText(again, stale ? "Ask again" : "Find the ways in");
    status.textContent =
      state.asking === "explore"
        ? "Working it out…"
        : state.askProblem
          ? `That could not be asked. ${state.askProblem}`
          : answer
            ? stale
              ? "Something has changed since this answer: ask again, or undo."
              : statusWords(answer, derived.target?.label ?? "range")
            : "The least changes of your pours that bring the drink into range appear here, and on the map.";
    markOffers(host, state);
  };
}

/** One honest sentence for each status, and how sure the drink as it stands is. */
function statusWords(answer: Answer, target: string): string {
  const { solved, proposals, chanceNow, repair } = answer.found;
  const n = proposals.length;
  const sure = `As it stands, ${glassesInHundred(chanceNow)} would be in range.`;
  switch (solved.status) {
    case "already_inside":
      return `Already in ${target}: nothing needs to change. ${sure}${
        n > 0 ? " These would make it surer:" : ""
      }`;
    case "optimal":
      return `${n === 1 ? "One way" : `${n} ways`} into ${target}. ${n === 1 ? "It" : "The first"} is ${
        solved.certificate.proved ? "proved to be the least change there is" : "the least change found"
      }${n > 1 ? "; each of the others is better at something" : ""}. ${sure}`;
    case "limit_reached":
      return `${solved.explanation} ${sure}`;
    default:
      // The solver speaks of pours; here it is the wished-for chance that no pour can give.
      return repair?.conflict.some((limit) => limit.kind === "chance")
        ? `Nothing within these limits is that sure to be in ${target}: fruit, hands and ice vary more. Ask for less, or measure what varies most. ${sure}`
        : solved.explanation;
  }
}

/** For an infeasible question: the conflict, the closest drink, and what single change frees it. */
function whyNot(context: Context, answer: Answer): (HTMLElement | null)[] {
  const { solved, repair } = answer.found;
  if (solved.status !== "infeasible") return [];
  const nearest = solved.infeasible?.nearest;
  return [
    el("p", {}, repair?.text ?? solved.infeasible?.text ?? ""),
    nearest
      ? el(
          "p",
          { class: "hint" },
          `The closest these pours can come: ${toVec(nearest.point)
            .map((value, k) => `${AXIS_NAMES[k as 0 | 1 | 2]} ${axisNumber(k as 0 | 1 | 2, value)}`)
            .join(", ")}.`,
        )
      : null,
    repair && repair.repairs.length > 0
      ? el(
          "ol",
          { class: "cards" },
          ...repair.repairs
            .slice(0, 6)
            .map((entry) => proposalCard(context, entry.proposal, { title: entry.title })),
        )
      : null,
  ];
}

/** Other kinds of change beside plain pours; solved only when asked, because they are many. */
function otherKinds(context: Context, answer: Answer, compare: HTMLElement): (HTMLElement | null)[] {
  if (answer.found.solved.status === "already_inside") return [];
  if (answer.routes === null) return [el("div", { class: "buttons" }, compare)];
  const reached = answer.routes.flatMap((route) =>
    route.proposal ? [{ ...route, proposal: route.proposal }] : [],
  );
  const without = answer.routes.filter((route) => route.proposal === null);
  // An addition that its own least change leaves out is no failure: pouring what is there is the smaller change.
  const unused = without.filter((route) => route.status === "optimal");
  const missed = without.filter((route) => route.status !== "optimal");
  const names = (list: readonly Route[]) => list.map((route) => route.name).join("; ");
  return [
    el("h3", {}, "By another kind of change"),
    reached.length > 0
      ? routeTable(context, reached)
      : el("p", { class: "hint" }, "None of them gets there within these limits."),
    missed.length > 0 ? el("p", { class: "hint" }, `Does not get there: ${names(missed)}.`) : null,
    unused.length > 0
      ? el("p", { class: "hint" }, `No help, pouring what is there is the smaller change: ${names(unused)}.`)
      : null,
  ];
}

/** What to measure, where that would do more than pouring, with the way to enter the figure. */
function measureFirst({ store }: Context, { found }: Answer): (HTMLElement | null)[] {
  if (found.advice.length === 0) return [];
  const about =
    found.solved.status === "already_inside" ? "For the drink as it stands" : "For the first way in, A";
  return [
    el("h3", {}, "Measuring would do more than pouring"),
    el("p", { class: "hint" }, `${about}:`),
    ...found.advice.map(({ kind: quantity, ingredient, text }) => {
      const isFigure = quantity === "sugar" || quantity === "acid" || quantity === "abv";
      const mine = store.get().spec.lines.some((line) => line.ingredient === ingredient);
      return el(
        "div",
        { class: "advice" },
        el("p", {}, text),
        ingredient && isFigure && mine
          ? button("Enter my figure", () => openFigure(ingredient, quantity), { class: "quiet" })
          : null,
      );
    }),
  ];
}

/** What is behind the answer: what each limit costs, and the certificate. */
function behind(answer: Answer): HTMLElement[] {
  const { solved: result } = answer.found;
  const out: HTMLElement[] = [];
  if (result.status === "already_inside") return out;
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
  out.push(
    el(
      "details",
      {},
      el(
        "summary",
        {},
        result.status === "infeasible"
          ? "Why nothing works"
          : certificate.proved
            ? "Why nothing smaller works"
            : "How far the search got",
      ),
      el(
        "ul",
        {},
        ...certificate.refutations.slice(0, 20).map((refutation) => el("li", {}, refutation.text)),
      ),
      el(
        "p",
        { class: "hint" },
        `${(answer.milliseconds / 1000).toFixed(answer.milliseconds < 100 ? 3 : 1)} s, ${certificate.nodes} steps of search, ${certificate.evaluations} drinks worked out, gap ${certificate.gap.toFixed(2)}.${
          certificate.assumptions.length > 0
            ? ` Assumes: ${certificate.assumptions.map((text) => text.replace(/\.$/, "")).join("; ")}.`
            : ""
        }`,
      ),
    ),
  );
  return out;
}
