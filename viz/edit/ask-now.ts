import type { Context } from "../panels/context.ts";
import type { Solver } from "../solver-client.ts";

const TIME_BUDGET_MS = 4000;
const PROPOSALS_WANTED = 5;

/** Ask the solver about the spec on the bench, and show its answer when it comes. */
export async function askNow(context: Context, solver: Solver): Promise<void> {
  const { store, derive, announce } = context;
  const state = store.get();
  const { target, ladder, bench, pantry } = derive();
  if (!target) return;
  const lineIds = new Set(state.spec.lines.map((line) => line.ingredient));
  const rules = Object.entries(state.rules).filter(
    ([id]) => lineIds.has(id) || state.ask.additions.includes(id),
  );
  const first = bench?.rounds.find((round) => round.parent === null)?.spec;
  store.set({ asking: true, askProblem: null });
  const reply = await solver.ask({
    spec: state.spec,
    target: target.spec,
    ladder,
    additions: state.ask.additions.filter((id) => !lineIds.has(id) && pantry.has(id)),
    locks: rules.filter(([, rule]) => rule.locked).map(([id]) => id),
    bounds: rules.flatMap(([ingredient, { minMl, maxMl }]) =>
      minMl === undefined && maxMl === undefined
        ? []
        : [{ ingredient, ...(minMl !== undefined && { minMl }), ...(maxMl !== undefined && { maxMl }) }],
    ),
    character: state.ask.character.filter((rule) => lineIds.has(rule.ingredient)),
    measure: state.ask.measure,
    unitSettings: state.unitSettings,
    prices: new Map(Object.entries(state.prices)),
    timeBudgetMs: TIME_BUDGET_MS,
    count: PROPOSALS_WANTED,
    ...(state.ask.maxTouched !== null && { maxTouched: state.ask.maxTouched }),
    ...(state.ask.maxFinishedMl !== null && { maxFinishedMl: state.ask.maxFinishedMl }),
    ...(state.ask.minProbability !== null && { minProbability: state.ask.minProbability }),
    ...(state.ask.driftBudget !== null && { driftBudget: state.ask.driftBudget }),
    ...(first && { firstRound: first }),
  });
  if (reply === null) return;
  if ("problem" in reply) {
    store.set({ asking: false, answer: null, askProblem: reply.problem });
    announce(`That could not be asked: ${reply.problem}`);
    return;
  }
  const { result, milliseconds } = reply;
  store.set({
    asking: false,
    answer: { forSpec: state.spec, result, milliseconds },
    focusedProposal: result.proposals[0]?.id ?? null,
  });
  announce(
    result.proposals.length > 0
      ? `${result.proposals.length} ways into range. First: ${result.proposals[0]?.name}.`
      : result.explanation,
  );
}
