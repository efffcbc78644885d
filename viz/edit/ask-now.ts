import type { Intent } from "../../engine/explore/intent.ts";
import type { Proposal } from "../../engine/types.ts";
import type { Context } from "../panels/context.ts";
import type { Request, Solver } from "../solver-client.ts";
import { questionOf } from "../state/store.ts";

const TIME_BUDGET_MS = 4000;
const PROPOSALS_WANTED = 5;

/** The request the page's settings describe; null while there is no target. */
export function requestOf({ store, derive }: Context): Request | null {
  const state = store.get();
  const { target, ladder, bench, pantry } = derive();
  if (!target) return null;
  const { ask } = state;
  const lineIds = new Set(state.spec.lines.map((line) => line.ingredient));
  const rules = Object.entries(state.rules).filter(([id]) => lineIds.has(id) || ask.additions.includes(id));
  const first = bench?.rounds.find((round) => round.parent === null)?.spec;
  return {
    spec: state.spec,
    pantry,
    target: target.spec,
    ladder,
    additions: ask.additions.filter((id) => !lineIds.has(id) && pantry.has(id)),
    locks: rules.filter(([, rule]) => rule.locked).map(([id]) => id),
    bounds: rules.flatMap(([ingredient, { minMl, maxMl }]) =>
      minMl === undefined && maxMl === undefined
        ? []
        : [{ ingredient, ...(minMl !== undefined && { minMl }), ...(maxMl !== undefined && { maxMl }) }],
    ),
    character: ask.character.filter((rule) => lineIds.has(rule.ingredient)),
    measure: ask.measure,
    unitSettings: state.unitSettings,
    prices: new Map(Object.entries(state.prices)),
    timeBudgetMs: TIME_BUDGET_MS,
    count: PROPOSALS_WANTED,
    ...(ask.maxTouched !== null && { maxTouched: ask.maxTouched }),
    ...(ask.maxFinishedMl !== null && { maxFinishedMl: ask.maxFinishedMl }),
    ...(ask.minProbability !== null && { minProbability: ask.minProbability }),
    ...(ask.driftBudget !== null && { driftBudget: ask.driftBudget }),
    ...(first && { firstRound: first }),
  };
}

/** Ids are unique only within one answer; several answers are on the map at once. */
function renamed<T extends Proposal | null>(proposal: T, prefix: string): T {
  return proposal === null ? proposal : { ...proposal, id: `${prefix}-${proposal.id}` };
}

/** Ask the solver about the spec on the bench, and show its answer when it comes. */
export async function askNow(context: Context, solver: Solver): Promise<void> {
  const { store, announce } = context;
  const request = requestOf(context);
  if (!request) return;
  const to = questionOf(store.get());
  store.set({ asking: "explore", askProblem: null, reply: null, questionProblem: null });
  const reply = await solver.ask("explore", request);
  if (reply === null) return;
  if ("problem" in reply) {
    store.set({ asking: null, answer: null, askProblem: reply.problem });
    announce(`That could not be asked: ${reply.problem}`);
    return;
  }
  const { result, milliseconds } = reply;
  const proposals = result.proposals.map((proposal, i) => renamed(proposal, `way-${i + 1}`));
  const repair = result.repair && {
    ...result.repair,
    repairs: result.repair.repairs.map((entry, i) => ({
      ...entry,
      proposal: renamed(entry.proposal, `freed-${i + 1}`),
    })),
  };
  store.set({
    asking: null,
    answer: { to, found: { ...result, proposals, repair }, milliseconds, routes: null },
    focusedProposal: proposals[0]?.id ?? null,
  });
  announce(
    proposals.length > 0
      ? `${proposals.length} ways in. First: ${proposals[0]?.name}.`
      : result.solved.explanation,
  );
  revealAnswer();
}

/** Bring the answer into sight; a keyboard user who waited on the button goes along with it. */
function revealAnswer(): void {
  requestAnimationFrame(() => {
    const panel = document.getElementById("proposals");
    if (!panel) return;
    if (document.activeElement?.matches(".ask-go")) panel.focus({ preventScroll: true });
    const { top } = panel.getBoundingClientRect();
    if (top < 0 || top > innerHeight / 2) panel.scrollIntoView();
  });
}

/** Compare the other kinds of change: a swap, a thinner syrup, an acid, another method. */
export async function askRoutes(context: Context, solver: Solver): Promise<void> {
  const { store, announce } = context;
  const request = requestOf(context);
  const { answer } = store.get();
  if (!request || !answer) return;
  store.set({ asking: "routes" });
  const reply = await solver.ask("routes", request);
  if (reply === null) return;
  if ("problem" in reply) {
    store.set({ asking: null, askProblem: reply.problem });
    return;
  }
  if (store.get().answer !== answer) return store.set({ asking: null });
  const routes = reply.result.map((route, i) => ({
    ...route,
    proposal: renamed(route.proposal, `route-${i + 1}`),
  }));
  store.set({ asking: null, answer: { ...answer, routes } });
  announce(`${routes.filter((route) => route.proposal).length} other kinds of change reach the range.`);
}

/** Ask a plain question in its structured form. */
export async function askQuestion(
  context: Context,
  solver: Solver,
  intent: Intent,
  echo: string,
): Promise<void> {
  const { store, announce } = context;
  const request = requestOf(context);
  if (!request) return store.set({ questionProblem: "Choose a range beside the map first." });
  const to = questionOf(store.get());
  store.set({ asking: "question", questionProblem: null });
  const reply = await solver.ask("ask", { intent, request });
  if (reply === null) return;
  if ("problem" in reply) {
    store.set({ asking: null, reply: null, questionProblem: reply.problem });
    announce(reply.problem);
    return;
  }
  const proposals = reply.result.proposals.map((proposal, i) => renamed(proposal, `reply-${i + 1}`));
  store.set({
    asking: null,
    reply: { to, echo, answer: { ...reply.result, proposals } },
    focusedProposal: proposals[0]?.id ?? store.get().focusedProposal,
  });
  announce(reply.result.text);
}
