import { scaledDistance } from "../axes.ts";
import type { Vec3 } from "../types.ts";
import { type Constraints, constraintsOf, driftBall } from "./constraint.ts";
import type { Effort } from "./effort.ts";
import { createJudge, type Judge } from "./judge.ts";
import { LadderSearch, type OpenSet } from "./levels.ts";
import type { Question } from "./question.ts";
import { Relaxation } from "./relaxation.ts";
import type { Answer } from "./search.ts";

/** Drift is minimised in steps of this many axis-scale units: less cannot be tasted. */
const DRIFT_STEP = 0.1;
/** A drift this little above a whole step is that step: rounding. */
const DRIFT_ROUNDING = 1e-9;

/** What a question is searched with. */
export interface Search {
  constraints: Constraints;
  judge: Judge;
  relaxation: Relaxation;
  ladder: LadderSearch;
}

/** The best that was found for a measure, and what is known of the rest. */
export interface Outcome {
  answer: Answer | null;
  /** Lower bound: touched (lexicographic measures only) and cost. */
  bound: { touched: number; cost: number };
  /** The search that the bound, and proposals beside the answer, come from. */
  search: Search;
  /** Accepts the answer; another judge than the search's when that went on to a narrower question and was cut short. */
  judge: Judge;
  /** Sets still worth a look for other proposals, cheapest bound first. */
  open: OpenSet[];
}

/** Prepare to search a question, within a drift from the first round when one is given. */
export function searchOf(question: Question, effort: Effort, drift?: number): Search {
  const extra = drift === undefined ? undefined : driftBall(question.firstPoint, drift);
  const constraints = constraintsOf(question, extra);
  const judge = createJudge(question, constraints);
  const relaxation = new Relaxation(question, constraints, judge);
  return { constraints, judge, relaxation, ladder: new LadderSearch(relaxation, effort) };
}

/** Search for the least change by the question's measure. */
export function leastChange(question: Question, search: Search): Outcome {
  switch (question.measure) {
    case "fewest-then-volume":
      return fewest(search);
    case "drift":
      return leastDrift(question, search);
    default:
      return cheapest(search);
  }
}

/** Fewest ingredients, then least volume. */
function fewest(search: Search): Outcome {
  const { answer, level, open, bound } = search.ladder.fewest();
  return { answer, bound: { touched: level, cost: bound }, search, judge: search.judge, open };
}

/** Least weighted change, any number of ingredients up to the limit. */
function cheapest(search: Search): Outcome {
  const { answer, bound } = search.ladder.cheapest();
  return { answer, bound: { touched: 0, cost: bound }, search, judge: search.judge, open: [] };
}

/**
 * Least drift from the first round in whole tenths of an axis-scale step, then fewest ingredients, then
 * least volume. Bisects on the radius of a ball around the first round; each step is an exact question
 * ("can any pour be inside both?").
 */
function leastDrift(question: Question, first: Search): Outcome {
  const { firstPoint, target } = question;
  const { effort } = first.ladder;
  const unbounded = { bound: { touched: 0, cost: 0 }, open: [] };
  const steps = (p: Vec3) =>
    Math.max(1, Math.ceil(scaledDistance(p, firstPoint) / DRIFT_STEP - DRIFT_ROUNDING));
  const stepsOf = ({ judge }: Search, { delta }: Answer) => steps(judge(delta)?.point ?? firstPoint);
  let search = first;
  const start = search.ladder.any();
  if (!start) return { answer: null, ...unbounded, search, judge: search.judge };
  // The best so far, with the judge that accepts it: what is left when a limit strikes.
  let kept = { answer: start, judge: search.judge };
  let high = stepsOf(search, start);
  let low = steps(target.nearest(firstPoint)) - 1;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    search = searchOf(question, effort, middle * DRIFT_STEP);
    const found = search.ladder.any();
    if (found) kept = { answer: found, judge: search.judge };
    if (effort.limit !== null) return { ...kept, ...unbounded, search };
    if (found) high = Math.min(middle, stepsOf(search, found));
    else low = middle;
  }
  search = searchOf(question, effort, high * DRIFT_STEP);
  const outcome = fewest(search);
  return outcome.answer === null ? { ...outcome, ...kept, ...unbounded } : outcome;
}
