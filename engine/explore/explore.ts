import { toVec } from "../axes.ts";
import { adviseMeasuring, type MeasuringAdvice } from "../doubt/advise-measuring.ts";
import type { DoubtedPoint } from "../place/doubted-point.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { solve } from "../solve/solve.ts";
import { byLeastChange } from "../solve/trade-offs.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { MeasureId, Proposal } from "../types.ts";
import { checkRequest } from "./asking.ts";
import { chanceInside, solveWithChance, withChance } from "./chance.ts";
import { firstOfEach } from "./first-of-each.ts";
import { frontier, movesKey } from "./frontier.ts";
import { HOLDS_CHANCE, type Keep } from "./keeps.ts";
import { type RepairReport, repair } from "./repair.ts";
import { shrinkTarget } from "./shrink-target.ts";
import { type Kept, solveKeeping } from "./solve-keeping.ts";

/** Everything that a drink developer needs to choose: the least change, its rivals, the doubt, or why not. */
export interface Exploration {
  /** The exact, certified answer within the habits that are kept; already inside when the drink is. */
  solved: SolveResult;
  /** At most four, each touching other ingredients, the certified least change first; each says what it is best at. */
  proposals: Proposal[];
  /** Id of the proposal that is less change but merely inside, less sure than the others; null when none is. */
  edge: string | null;
  /** The habits of the trade: which were kept, which released by the request, which loosened to get there. */
  keeps: Keep[];
  /** Chance that the drink as it stands is really inside, from the doubts of its parts. */
  chanceNow: number;
  /** What to measure when that would help more than pouring: in the drink as it is, or the first proposal. */
  advice: MeasuringAdvice[];
  /** Only when infeasible. */
  repair: RepairReport | null;
}

const MOST_CARDS = 4;
/** How much surer than the glass at hand a change to a drink already in range must be. Common practice, no published source. */
const WORTH_CHANCE = 0.05;
/** Share of the time for the first answer; the rest is for looking around it. */
const FIRST_SHARE = 0.75;
/** How deep inside the alternatives reach: the target scaled about its middle by these factors. */
const DEPTHS = [0.6, 0.3] as const;
/** Rivals are worth a short look, not a proof: the search for each stops here. */
const RIVAL_NODES = 400;
const RIVAL_MEASURES: readonly MeasureId[] = ["volume", "drift", "cost"];

/**
 * Solve a request within the habits of the trade (see `keeps.ts`; `release` lets go of them) and look around the
 * answer: other measures of "least", deeper targets, other sets of ingredients, reduced to a few that differ in
 * kind. With `minProbability` every proposal has at least that chance; without, the first proposals hold in four
 * glasses of five where that can be had, and what is merely inside is offered as such.
 *
 * Deterministic. Units as in `SolveRequest`. With a time budget and a clock, the first solve may use
 * three quarters of it; the rest has what is left, and is skipped when it is spent.
 *
 * @throws EngineError for bad input only
 */
export function explore(given: SolveRequest): Exploration {
  const { target } = checkRequest(given);
  const { now: clock, timeBudgetMs } = given;
  const deadline = clock && timeBudgetMs !== undefined ? clock() + timeBudgetMs : null;
  const remaining = () => (clock && deadline !== null ? deadline - clock() : undefined);
  const now = chanceInside(given, given.spec, target);
  const kept = solveKeeping(
    timeBudgetMs === undefined ? given : { ...given, timeBudgetMs: FIRST_SHARE * timeBudgetMs },
  );
  const { keeps, solved } = kept;
  if (solved.status === "infeasible") {
    const report = repair({ ...given, timeBudgetMs: remaining() }, keeps);
    return { solved, proposals: [], edge: null, keeps, chanceNow: now.chance, advice: [], repair: report };
  }

  const placedById = new Map<string, DoubtedPoint>();
  const tell = (proposal: Proposal): Proposal => {
    const { chance, placed } = chanceInside(given, proposal.spec, target);
    placedById.set(proposal.id, placed);
    // Proposals found for a deeper target are measured against the one that was asked for.
    return {
      ...proposal,
      probabilityInside: chance,
      centreDistance: target.centreDistance(toVec(proposal.after)),
    };
  };
  const told = firstOfEach(rivalsOf(kept, target, remaining), ({ id }) => id).map(tell);
  const isInside = solved.status === "already_inside";
  const rivals = frontier(isInside ? told.filter((p) => isWorthPouring(p, now.chance)) : told);
  const edge = isInside ? null : edgeOf(kept, rivals[0], remaining);
  const wanted = Math.min(given.count ?? MOST_CARDS, MOST_CARDS);
  const proposals = firstOfEach(rivals, kindOf).slice(0, edge && wanted > 1 ? wanted - 1 : wanted);
  if (edge && wanted > 1) proposals.push({ ...tell(edge), bestAt: [] });

  const pouredChance = Math.max(0, ...proposals.map((p) => p.probabilityInside ?? 0));
  // Outside, no measurement can help the drink as it is; it may help the first proposal.
  const first = proposals[0];
  const isWell = target.contains(toVec(now.placed.point));
  const judged = (!isWell && first && placedById.get(first.id)) || now.placed;
  const advice = adviseMeasuring(judged, target, (id) => given.pantry.get(id)?.name ?? id, {
    pouredChance,
  });
  const edgeId = proposals.find(({ id }) => id === edge?.id)?.id ?? null;
  return { solved, proposals, edge: edgeId, keeps, chanceNow: now.chance, advice, repair: null };
}

/** Nobody touches a drink that is in range for a change in the glass that is no surer than the last. */
function isWorthPouring({ probabilityInside }: Proposal, chanceNow: number): boolean {
  return (probabilityInside ?? 1) - chanceNow >= WORTH_CHANCE;
}

/** The answer with what other measures and deeper targets give, each within the same habits. */
function rivalsOf(
  { solved, request: limited }: Kept,
  target: CompiledTarget,
  remaining: () => number | undefined,
): Proposal[] {
  const found = [...solved.proposals];
  const request = withChance(limited);
  const look = (variant: Partial<SolveRequest>) => {
    const timeBudgetMs = remaining();
    if (timeBudgetMs !== undefined && timeBudgetMs < 1) return;
    found.push(...solve({ ...request, nodeLimit: RIVAL_NODES, ...variant, timeBudgetMs }).proposals);
  };
  if (solved.status === "already_inside") {
    // Inside but unsure: the least change that holds.
    look({ count: 1 });
  } else {
    for (const measure of RIVAL_MEASURES) {
      if (measure !== "cost" || pricesCover(request)) look({ measure, count: 1 });
    }
  }
  for (const depth of DEPTHS) {
    // The chance's margin holds for the target's own faces only.
    look({ target: shrinkTarget(request.target, target.centre, depth), shrink: undefined, count: 2 });
  }
  return found;
}

/** The least change that is merely inside, when it is less than the first proposal's and does not hold. */
function edgeOf(
  { request, keeps }: Kept,
  first: Proposal | undefined,
  remaining: () => number | undefined,
): Proposal | null {
  const timeBudgetMs = remaining();
  if (!keeps.some(({ id, state }) => id === "holds" && state === "kept")) return null;
  if (timeBudgetMs !== undefined && timeBudgetMs < 1) return null;
  const { proposals } = solveWithChance({ ...request, minProbability: undefined, count: 1, timeBudgetMs });
  const [edge] = proposals;
  if (!edge || (edge.probabilityInside ?? 0) >= HOLDS_CHANCE) return null;
  return !first || byLeastChange(edge, first) < 0 ? edge : null;
}

/** What tells kinds of change apart: the set of ingredients touched. */
const kindOf = (proposal: Proposal) => movesKey(proposal, ({ ingredient }) => ingredient);

function pricesCover(request: SolveRequest): boolean {
  const ids = [...request.spec.lines.map((line) => line.ingredient), ...(request.additions ?? [])];
  return ids.every((id) => request.prices?.has(id));
}
