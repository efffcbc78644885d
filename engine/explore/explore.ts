import { toVec } from "../axes.ts";
import { adviseMeasuring, type MeasuringAdvice } from "../doubt/advise-measuring.ts";
import type { DoubtedPoint } from "../place/doubted-point.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { solve } from "../solve/solve.ts";
import { compileTarget } from "../targets/compile-target.ts";
import type { MeasureId, Proposal } from "../types.ts";
import { checkRequest } from "./asking.ts";
import { chanceInside, withChance } from "./chance.ts";
import { frontier } from "./frontier.ts";
import { type RepairReport, repair } from "./repair.ts";
import { shrinkTarget } from "./shrink-target.ts";

/** Everything a drink developer needs to choose: the least change, its rivals, the doubt, or why not. */
export interface Exploration {
  /** The exact, certified answer to the request as it stands. */
  solved: SolveResult;
  /** The non-dominated proposals, the certified least change first; each says what it is best at. */
  proposals: Proposal[];
  /** Chance that the drink as it stands is really inside, from the doubts of its parts. */
  chanceNow: number;
  /** What to measure when that would help more than pouring: in the drink as it is, or the first proposal. */
  advice: MeasuringAdvice[];
  /** Only when infeasible. */
  repair: RepairReport | null;
}

/** How deep inside the alternatives reach: the target scaled about its middle by these factors. */
const DEPTHS = [0.6, 0.3] as const;
/** Rivals are worth a short look, not a proof: the search for each stops here. */
const RIVAL_NODES = 400;
const RIVAL_MEASURES: readonly MeasureId[] = ["volume", "drift", "cost"];

/**
 * Solve a request and look around the answer: other measures of "least", deeper targets, other sets of
 * ingredients, reduced to the non-dominated ones over fewest touched × least volume × closest to the
 * middle × surest × least drift × cheapest. With `minProbability` every proposal has at least that
 * chance of being inside.
 *
 * Deterministic. Units as in `SolveRequest`. With a time budget and a clock, the first solve may use all
 * of it; the rest has what is left, and is skipped when it is spent.
 *
 * @throws EngineError for bad input only
 */
export function explore(given: SolveRequest): Exploration {
  checkRequest(given);
  const deadline = given.now && given.timeBudgetMs !== undefined ? given.now() + given.timeBudgetMs : null;
  const remaining = () => (deadline === null ? undefined : deadline - given.now!());
  const request = withChance(given);
  const target = compileTarget(request.target);
  const now = chanceInside(request, request.spec, target);
  const solved = solve(request);
  if (solved.status === "infeasible") {
    return {
      solved,
      proposals: [],
      chanceNow: now.chance,
      advice: [],
      repair: repair({ ...given, timeBudgetMs: remaining() }),
    };
  }

  const found = [...solved.proposals];
  const look = (variant: Partial<SolveRequest>) => {
    const timeBudgetMs = remaining();
    if (timeBudgetMs !== undefined && timeBudgetMs < 1) return;
    found.push(...solve({ ...request, nodeLimit: RIVAL_NODES, ...variant, timeBudgetMs }).proposals);
  };
  if (solved.status !== "already_inside") {
    for (const measure of RIVAL_MEASURES) {
      if (measure === "cost" && !pricesCover(request)) continue;
      look({ measure, count: 1 });
    }
  }
  for (const depth of DEPTHS) {
    // The chance's margin holds for the target's own faces only.
    look({ target: shrinkTarget(request.target, target.centre, depth), shrink: undefined, count: 2 });
  }

  const placedById = new Map<string, DoubtedPoint>();
  const told = distinct(found).map((proposal): Proposal => {
    const { chance, placed } = chanceInside(request, proposal.spec, target);
    placedById.set(proposal.id, placed);
    return {
      ...proposal,
      probabilityInside: chance,
      // Proposals found for a deeper target are measured against the one that was asked for.
      centreDistance: target.centreDistance(toVec(proposal.after)),
    };
  });
  const proposals = frontier(told);
  const pouredChance = Math.max(0, ...proposals.map((p) => p.probabilityInside ?? 0));
  // Outside, no measurement can help the drink as it is; it may help the first proposal.
  const first = proposals[0];
  const judged = target.contains(toVec(now.placed.point)) || !first ? now.placed : placedById.get(first.id)!;
  const advice = adviseMeasuring(judged, target, { pouredChance });
  return { solved, proposals, chanceNow: now.chance, advice, repair: null };
}

function pricesCover(request: SolveRequest): boolean {
  const ids = [...request.spec.lines.map((line) => line.ingredient), ...(request.additions ?? [])];
  return ids.every((id) => request.prices?.has(id));
}

function distinct(proposals: readonly Proposal[]): Proposal[] {
  const seen = new Set<string>();
  return proposals.filter((proposal) => !seen.has(proposal.id) && seen.add(proposal.id));
}
