import { scaledDistance } from "../axes.ts";
import { MEMBERSHIP_TOLERANCE } from "../tolerances.ts";
import type { MeasureId, Membership, Proposal, SolveCertificate } from "../types.ts";
import { toCertificate } from "./certificate.ts";
import { continuousOptimum } from "./continuous.ts";
import { infeasibleReport } from "./infeasible.ts";
import { driftBall, type Problem, readProblem } from "./problem.ts";
import { markBest, toProposal } from "./proposal.ts";
import type { InfeasibleReport, SolveRequest, SolveResult } from "./request.ts";
import { type Answer, LadderSearch, type OpenSet } from "./search.ts";

export type { SolveRequest, SolveResult } from "./request.ts";

const DEFAULT_COUNT = 4;
/** Alternatives that change more than this many times the best answer's cost are not worth showing. */
const ALTERNATIVE_COST_FACTOR = 5;
/** Alternatives with one more ingredient must save this share of the volume. */
const WORTH_ONE_MORE = 0.15;
/** After the search this share of the time budget may go on: to look for any answer when there is none, and to the continuous optimum. */
const AFTER_TIME_SHARE = 0.5;
/** Drift is minimised in steps of this many axis-scale units: less cannot be tasted. */
const DRIFT_STEP = 0.1;

interface Outcome {
  answer: Answer | null;
  /** Lower bound: touched (lexicographic measure only) and cost. */
  bound: { touched: number; cost: number };
  problem: Problem;
  search: LadderSearch;
  /** The problem that accepts the answer, when the search went on to a narrower one and was cut short. */
  acceptedBy?: Problem;
  /** Sets still worth a look for other proposals, cheapest bound first. */
  open: OpenSet[];
}

/**
 * Bring a spec into a target by the least change on the pour ladder, with proof.
 *
 * "Least" by default is fewest ingredients touched, then least total volume changed (mL). The answer is
 * minimal for the true model; see FORMULATION.md for what is proved and how, and `certificate` for the
 * evidence. Outcomes (already inside, infeasible, limit reached) are values.
 *
 * @throws EngineError for bad input only, naming each field and its remedy
 */
export function solve(request: SolveRequest): SolveResult {
  const problem = readProblem(request);
  const { prepared, target } = problem;
  const point = prepared.model.finish(prepared.volumesMl).point;
  const membership = target.membership(point);
  const before = { point, membership };

  const zero = new Float64Array(problem.variables.length);
  if (problem.finishIfAccepted(zero)) {
    return {
      status: "already_inside",
      proposals: [],
      continuous: null,
      certificate: emptyCertificate(),
      membershipBefore: membership,
      explanation: membership.text,
    };
  }

  const search = new LadderSearch(problem.search);
  const outcome =
    problem.measure === "fewest-then-volume"
      ? fewest(problem, search)
      : problem.measure === "drift"
        ? leastDrift(problem, search)
        : cheapest(problem, search);
  const { answer } = outcome;
  const limit = outcome.search.limit;
  const after = timer(request, AFTER_TIME_SHARE);
  const found = answer ?? (limit === null ? null : search.rescue(search.live, after));
  const continuous = continuousOptimum(problem, found?.delta, after);

  if (found === null && limit === null) {
    const infeasible = infeasibleReport(problem, search, continuous !== null);
    return {
      status: "infeasible",
      proposals: [],
      continuous:
        continuous ??
        (infeasible.continuousFeasible ? continuousOptimum(problem, changesOf(problem, infeasible)) : null),
      certificate: toCertificate(problem, search, { bound: null, gap: 0, proved: true }),
      membershipBefore: membership,
      explanation: infeasible.text,
      infeasible,
    };
  }

  const cost = found?.cost ?? Number.POSITIVE_INFINITY;
  const proved = limit === null;
  const touchedProved = isLexicographic(problem.measure) ? (found?.touched ?? 0) : 0;
  const bound = proved ? { touched: touchedProved, cost } : outcome.bound;
  const certificate = toCertificate(outcome.problem, outcome.search, {
    bound: { touched: bound.touched, volumeMl: Math.min(bound.cost, cost) },
    gap: proved ? 0 : Math.max(0, (found ? cost : mostCost(outcome.problem)) - bound.cost),
    proved,
  });
  if (found === null) {
    return {
      status: "no_solution_found",
      limit: limit!,
      proposals: [],
      continuous,
      certificate,
      membershipBefore: membership,
      explanation: `No answer was found before the ${limitWord(limit!)} ran out; none was ruled out either.`,
    };
  }

  const answers = [found, ...(proved ? alternatives(outcome, found) : [])];
  const judge = outcome.acceptedBy ?? outcome.problem;
  const proposals = answers.map((a) => toProposal(judge, a.delta, judge.finishIfAccepted(a.delta)!, before));
  markBest(proposals);
  return {
    status: proved ? "optimal" : "limit_reached",
    ...(limit && { limit }),
    proposals,
    continuous,
    certificate,
    membershipBefore: membership,
    explanation: explain(problem.measure, membership, proposals[0]!, certificate, limit),
  };
}

/** The changes that lead to the nearest drink of a report. */
function changesOf(problem: Problem, { nearest }: InfeasibleReport): Float64Array {
  return Float64Array.from(nearest.amountsMl, ({ ml }, i) => ml - problem.from[i]!);
}

/** Fewest ingredients, then least volume. */
function fewest(problem: Problem, search: LadderSearch): Outcome {
  const { answer, level, open, bound } = search.fewest();
  return { answer, bound: { touched: level, cost: bound }, problem, search, open };
}

/** Whether this share of the request's time budget has passed since now; undefined without one. */
function timer({ now, timeBudgetMs }: SolveRequest, share: number): (() => boolean) | undefined {
  if (now === undefined || timeBudgetMs === undefined) return undefined;
  const end = now() + share * timeBudgetMs;
  return () => now() >= end;
}

/** Least weighted change, any number of ingredients up to the limit. */
function cheapest(problem: Problem, search: LadderSearch): Outcome {
  const { answer, bound } = search.best(search.movable(), search.live, problem.maxTouched);
  return { answer, bound: { touched: 0, cost: bound }, problem, search, open: [] };
}

/**
 * Least drift from the first round in whole tenths of an axis-scale step, then fewest ingredients, then
 * least volume. Bisects on the radius of a ball around the first round; each step is an exact question
 * ("can any pour be inside both?").
 */
function leastDrift(problem: Problem, first: LadderSearch): Outcome {
  const { request, firstPoint, target } = problem;
  const any = (search: LadderSearch, p: Problem) =>
    search.best(search.movable(), search.live, p.maxTouched, undefined, true).answer;
  const driftOf = (p: Problem, a: Answer) => scaledDistance(p.finishIfAccepted(a.delta)!.point, firstPoint);
  let at = problem;
  let search = first;
  const { now, timeBudgetMs } = request;
  const begun = now?.() ?? 0;
  const within = (tenths: number) => {
    // Each ball gets what is left of the time.
    const left =
      now && timeBudgetMs !== undefined ? Math.max(1e-3, timeBudgetMs - (now() - begun)) : undefined;
    at = readProblem({ ...request, timeBudgetMs: left }, driftBall(firstPoint, tenths * DRIFT_STEP));
    const next = new LadderSearch(at.search);
    next.nodes = search.nodes;
    next.relaxations += search.relaxations;
    next.evaluations = search.evaluations;
    search = next;
  };
  const start = any(first, problem);
  if (!start) return { answer: null, bound: { touched: 0, cost: 0 }, problem, search, open: [] };
  const tenthsOf = (drift: number) => Math.max(1, Math.ceil(drift / DRIFT_STEP - 1e-9));
  // The best so far, with the problem that accepts it: what is left when a limit strikes.
  let kept = { answer: start, acceptedBy: problem };
  let high = tenthsOf(driftOf(problem, start));
  let low = tenthsOf(scaledDistance(target.nearest(firstPoint), firstPoint)) - 1;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    within(middle);
    const found = any(search, at);
    if (found) kept = { answer: found, acceptedBy: at };
    if (search.limit !== null)
      return { ...kept, bound: { touched: 0, cost: 0 }, problem: at, search, open: [] };
    if (found) high = Math.min(middle, tenthsOf(driftOf(at, found)));
    else low = middle;
  }
  within(high);
  const outcome = fewest(at, search);
  return outcome.answer === null ? { ...outcome, ...kept, bound: { touched: 0, cost: 0 } } : outcome;
}

/** Answers with other sets of ingredients, each the least for its own set, none beaten on every count. */
function alternatives(outcome: Outcome, best: Answer): Answer[] {
  const { problem, search, open } = outcome;
  const count = (problem.request.count ?? DEFAULT_COUNT) - 1;
  if (count <= 0) return [];
  const found: Answer[] = [best];
  const setOf = (a: Answer) => [...a.delta.keys()].filter((i) => a.delta[i] !== 0).join(",");
  const seen = new Set([setOf(best)]);
  const keep = (a: Answer | null) => {
    if (!a || seen.has(setOf(a))) return;
    seen.add(setOf(a));
    found.push(a);
  };
  if (!isLexicographic(problem.measure)) {
    // What if this one could not be changed? Each answer leaves out one of the best answer's ingredients.
    for (const i of [...best.delta.keys()].filter((k) => best.delta[k] !== 0)) {
      const others = search.movable().filter((k) => k !== i);
      keep(search.best(others, search.live, problem.maxTouched, ALTERNATIVE_COST_FACTOR * best.cost).answer);
      if (search.limit !== null) break;
    }
  } else {
    const most = ALTERNATIVE_COST_FACTOR * best.cost;
    const look = (sets: OpenSet[], touched: number, cutoff: number) => {
      let tried = 0;
      for (const set of sets) {
        if (set.bound >= cutoff || tried >= 2 * count + 2 || search.limit !== null) return;
        if (set.set.join(",") === setOf(best)) continue;
        tried += 1;
        keep(search.best(set.set, set.cells, touched, cutoff).answer);
      }
    };
    look(open, best.touched, most);
    if (best.touched < Math.min(problem.maxTouched, search.movable().length) && search.limit === null) {
      look(search.survey(best.touched + 1), best.touched + 1, (1 - WORTH_ONE_MORE) * best.cost);
    }
  }
  return choose(problem, found, count);
}

/** Of the answers after the first, the undominated ones, spread over different ingredients. */
function choose(problem: Problem, found: Answer[], count: number): Answer[] {
  const scored = found.map((a) => {
    const { point } = problem.finishIfAccepted(a.delta)!;
    const values = [
      a.touched,
      a.cost,
      problem.target.centreDistance(point),
      scaledDistance(point, problem.firstPoint),
    ];
    return { a, values };
  });
  const beats = (x: number[], y: number[]) =>
    x.every((v, k) => v <= y[k]! + 1e-9) && x.some((v, k) => v < y[k]! - 1e-9);
  const undominated = scored
    .slice(1)
    .filter((s) => !scored.some((o) => o !== s && beats(o.values, s.values)));
  // A superset of a set already shown must be clearly cheaper to be a different idea.
  const shown: Answer[] = [found[0]!];
  for (const { a } of undominated) {
    if (shown.length > count) break;
    const sameIdea = shown.some(
      (s) => contains(a, s) && a.touched > s.touched && a.cost > (1 - WORTH_ONE_MORE) * s.cost,
    );
    if (!sameIdea) shown.push(a);
  }
  return shown.slice(1);
}

const contains = (a: Answer, b: Answer) => b.delta.every((d, i) => d === 0 || a.delta[i] !== 0);

const isLexicographic = (measure: MeasureId) => measure === "fewest-then-volume" || measure === "drift";

const BY_MEASURE: Record<MeasureId, string> = {
  "fewest-then-volume": "with less poured or taken away",
  volume: "with less poured or taken away in total",
  relative: "with smaller changes relative to the amounts",
  drift: "closer to the first round, to a tenth of a step",
  cost: "with less money moved",
};

function explain(
  measure: MeasureId,
  before: Membership,
  first: Proposal,
  certificate: SolveCertificate,
  limit: "time" | "nodes" | null,
): string {
  const moves = first.moves.map((m) => m.text).join("; ");
  const fewer =
    isLexicographic(measure) && first.touched > 1
      ? `Fewer than ${first.touched} changes cannot do it, and no`
      : "No";
  const claim =
    limit === null
      ? `${fewer} other pour does it ${BY_MEASURE[measure]}.`
      : `The ${limitWord(limit)} ran out: this is the best found; an answer up to ${certificate.gap.toFixed(1)} better${isLexicographic(measure) ? ", or one that touches fewer," : ""} is not ruled out.`;
  return `${before.text} ${moves}. ${claim}`;
}

/** The measure of the largest change the ranges allow: the gap when nothing was found. */
function mostCost({ search }: Problem): number {
  return search.choices.reduce(
    (sum, c, i) => sum + search.weight[i]! * Math.max(Math.abs(c[0]!), Math.abs(c.at(-1)!)),
    0,
  );
}

const limitWord = (limit: "time" | "nodes") => (limit === "time" ? "time" : "allowance of search nodes");

function emptyCertificate(): SolveCertificate {
  return {
    nodes: 0,
    relaxations: 0,
    evaluations: 1,
    bound: { touched: 0, volumeMl: 0 },
    gap: 0,
    proved: true,
    refutations: [],
    tolerance: MEMBERSHIP_TOLERANCE,
    assumptions: [],
  };
}
