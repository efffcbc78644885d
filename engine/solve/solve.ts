import { toPoint } from "../axes.ts";
import { largestOf } from "../vectors.ts";
import { alternatives } from "./alternatives.ts";
import { certificateOfNothing, type Standing, toCertificate } from "./certificate.ts";
import { constraintsOf } from "./constraint.ts";
import { continuousOptimum } from "./continuous.ts";
import { Effort, timerOf } from "./effort.ts";
import { tryFew } from "./few.ts";
import { createJudge, type Judge } from "./judge.ts";
import { rescue } from "./levels.ts";
import { leastChange, type Outcome, type Search, searchOf } from "./measures.ts";
import { nearestReachable } from "./nearest.ts";
import { markBest, toProposal } from "./proposal.ts";
import { amountsOf, type Question, readQuestion } from "./question.ts";
import { type InfeasibleReport, isLexicographic, type SolveRequest, type SolveResult } from "./request.ts";
import { type Answer, COST_TOLERANCE } from "./search.ts";
import { answerText, infeasibleText, nothingFoundText } from "./words.ts";

export type { SolveRequest, SolveResult } from "./request.ts";

const DEFAULT_COUNT = 4;
/** Nodes for a search that has a time budget; one without ends here, a further test of each drink costing more. */
const MOST_NODES = 200_000;
const MOST_NODES_UNTIMED = 20_000;
const MOST_NODES_TESTED = 4000;
/** Shares of the time budget after which the first answer, the search, and what comes after it, must end. */
const FIRST_UNTIL = 0.3;
const SEARCH_UNTIL = 0.7;
const AFTERWORK_UNTIL = 0.9;

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
  const timer = timerOf(request);
  const question = readQuestion(request);
  timer.isRead();
  const effort = new Effort(nodeLimitOf(request), timer.until(SEARCH_UNTIL));
  const judge = createJudge(question, constraintsOf(question));
  if (judge(new Float64Array(question.variables.length))) return insideAlready(question);
  const atOnce = firstAnswer(question, judge, timer.until(FIRST_UNTIL));

  const search = searchOf(question, effort);
  const outcome = leastChange(question, search);
  const { limit } = effort;
  const after = timer.until(AFTERWORK_UNTIL);
  if (outcome.answer === null && limit === null) return nothingInside(question, search, outcome, after);

  const found = better(question, outcome.answer, atOnce) ?? rescue(search.relaxation, effort, after);
  const standing = standingOf(question, outcome, found);
  const certificate = toCertificate(question, outcome.search, standing, outcome.leaves);
  const proposals = proposalsOf(question, outcome, found);
  const [first] = proposals;
  return {
    status: limit === null ? "optimal" : first ? "limit_reached" : "no_solution_found",
    ...(limit && { limit }),
    proposals,
    continuous: continuousOptimum(question, search, found?.delta, after),
    certificate,
    membershipBefore: question.before.membership,
    explanation: first ? answerText(question, first, certificate, limit) : nothingFoundText(limit ?? "nodes"),
  };
}

/** Where a search ends that no time ends: what proves nearly every drink of ten amounts in half a second. */
function nodeLimitOf({ nodeLimit, now, timeBudgetMs, extraAccept }: SolveRequest): number {
  if (nodeLimit !== undefined) return nodeLimit;
  if (now !== undefined && timeBudgetMs !== undefined) return MOST_NODES;
  return extraAccept ? MOST_NODES_TESTED : MOST_NODES_UNTIMED;
}

/** An answer to fall back on when there is a limit that may strike before the search finds one. */
function firstAnswer(question: Question, judge: Judge, outOfTime: () => boolean): Answer | null {
  const { request, choices, weight, movable, maxTouched } = question;
  if (request.timeBudgetMs === undefined && request.nodeLimit === undefined) return null;
  const problem = { choices, weight, accept: (delta: Float64Array) => judge(delta) !== null };
  return tryFew(problem, movable, maxTouched, new Effort(Number.POSITIVE_INFINITY, outOfTime));
}

/** Which of two answers changes less; drift is told by neither number, so the search's own answer stands. */
function better({ measure }: Question, searched: Answer | null, atOnce: Answer | null): Answer | null {
  if (searched === null || atOnce === null) return searched ?? atOnce;
  if (measure === "drift") return searched;
  if (measure === "fewest-then-volume" && searched.touched !== atOnce.touched) {
    return searched.touched < atOnce.touched ? searched : atOnce;
  }
  return atOnce.cost < searched.cost - COST_TOLERANCE ? atOnce : searched;
}

function insideAlready({ before: { membership } }: Question): SolveResult {
  return {
    status: "already_inside",
    proposals: [],
    continuous: null,
    certificate: certificateOfNothing(),
    membershipBefore: membership,
    explanation: membership.text,
  };
}

/** Nothing within the request's limits is inside: prove it, and say how near one can get. */
function nothingInside(
  question: Question,
  search: Search,
  { leaves }: Outcome,
  after: () => boolean,
): SolveResult {
  const { variables, model, target } = question;
  const { volumesMl, keepsRules, isSettled } = nearestReachable(question, search.constraints, after);
  const { point, finishedVolumeMl } = model.finish(volumesMl);
  const membership = target.membership(point);
  const isInside = membership.inside && keepsRules;
  const start = isInside ? Float64Array.from(volumesMl, (ml, i) => ml - variables[i]!.fromMl) : undefined;
  const continuous = continuousOptimum(question, search, start, after);
  const inBetweenWouldDo = continuous !== null || isInside;
  const certificate = toCertificate(question, search, { bound: null, gap: 0, proved: true }, leaves);
  // With every cell emptied at once, one multiplier a cell says it all; a single one is worth showing.
  const [refutation, ...others] = search.ladder.live.length === 0 ? certificate.refutations : [];
  const infeasible: InfeasibleReport = {
    continuousFeasible: inBetweenWouldDo,
    nearest: {
      amountsMl: amountsOf(question, volumesMl),
      point: toPoint(point),
      membership,
      finishedVolumeMl,
      isSettled,
    },
    refutation: others.length === 0 ? (refutation ?? null) : null,
    text: infeasibleText(question, membership, { inBetweenWouldDo, keepsRules }),
  };
  return {
    status: "infeasible",
    proposals: [],
    continuous,
    certificate,
    membershipBefore: question.before.membership,
    explanation: infeasible.text,
    infeasible,
  };
}

/** What is known of the answer: a bound that nothing beats, and how far it may be from it. */
function standingOf(question: Question, { bound, search }: Outcome, found: Answer | null): Standing {
  const cost = found?.cost ?? Number.POSITIVE_INFINITY;
  if (search.ladder.effort.limit === null) {
    const touched = isLexicographic(question.measure) ? (found?.touched ?? 0) : 0;
    return { bound: { touched, volumeMl: cost }, gap: 0, proved: true };
  }
  // All was ruled out just as the limit struck: what is still told is that no change costs less than nothing.
  const least = Number.isFinite(bound.cost) ? bound.cost : (found?.cost ?? 0);
  return {
    bound: { touched: bound.touched, volumeMl: Math.min(least, cost) },
    gap: Math.max(0, (found ? cost : mostCost(question)) - least),
    proved: false,
  };
}

/** The measure of the largest change the ranges allow: the gap when nothing was found. */
function mostCost({ choices, weight }: Question): number {
  return weight.reduce((sum, w, i) => sum + w * largestOf(choices[i]!), 0);
}

/** The answer and its rivals as proposals; none when there is none. */
function proposalsOf(question: Question, outcome: Outcome, found: Answer | null) {
  if (found === null) return [];
  const count = question.request.count ?? DEFAULT_COUNT;
  const isProved = outcome.search.ladder.effort.limit === null;
  const answers = [found, ...(isProved ? alternatives(question, outcome, found, count - 1) : [])];
  const proposals = answers.flatMap(({ delta }) => {
    const finished = outcome.judge(delta);
    return finished ? [toProposal(question, delta, finished)] : [];
  });
  markBest(proposals);
  return proposals;
}
