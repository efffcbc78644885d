import { scaledDistance } from "../axes.ts";
import type { Vec3 } from "../types.ts";
import { constraintsOf } from "./constraint.ts";
import type { Effort } from "./effort.ts";
import { createJudge, type Judge } from "./judge.ts";
import type { Leaves } from "./leaves.ts";
import { LadderSearch, type LevelResult } from "./levels.ts";
import type { Question } from "./question.ts";
import { Relaxation } from "./relaxation.ts";
import type { Answer } from "./search.ts";

/** Drift is minimised in steps of this many axis-scale units (0.5 g/100 mL of sugar): less is hardly tasted. */
export const DRIFT_STEP = 0.25;
/** Nodes that a radius gets going outwards, and to settle the last. */
const FIRST_LOOK_NODES = 300;
const SETTLING_NODES = 2000;
/** A drift this little above a whole step is that step: rounding. */
const DRIFT_ROUNDING = 1e-9;

/** What a question is searched with. */
export type Search = ReturnType<typeof searchOf>;

/** The best that was found for a measure, and what is known of the rest; `bound.touched` is 0 where cost alone counts. */
export interface Outcome extends LevelResult {
  /** The search that the bound, and proposals beside the answer, come from. */
  search: Search;
  /** Accepts the answer; another judge than the search's when that went on to a narrower question and was cut short. */
  judge: Judge;
  /** Boxes that together hold every pour, with what shows that none holds a better one (drift: one a step nearer). */
  leaves?: Leaves | undefined;
}

/** Prepare to search a question, within a drift from the first round when one is given. */
export function searchOf(question: Question, effort: Effort, drift?: number) {
  const constraints = constraintsOf(question, drift);
  const judge = createJudge(question, constraints);
  const relaxation = new Relaxation(question, constraints, judge, () => effort.exhausted());
  return { constraints, judge, relaxation, ladder: new LadderSearch(relaxation, effort) };
}

/** Search for the least change by the question's measure. */
export function leastChange(question: Question, search: Search): Outcome {
  if (question.measure === "drift") return leastDrift(question, search);
  if (question.measure === "fewest-then-volume") return fewest(search);
  // Least weighted change, any number of ingredients up to the limit.
  const { answer, bound, leaves } = search.ladder.cheapest();
  return { answer, bound: { touched: 0, cost: bound }, search, judge: search.judge, open: [], leaves };
}

/** Fewest ingredients, then least volume. */
function fewest(search: Search): Outcome {
  return { ...search.ladder.fewest(), search, judge: search.judge };
}

/**
 * Least drift from the first round in whole steps, then fewest ingredients, then least volume. Each radius of
 * a ball around the first round is an exact question ("can any pour be inside both?"). Going outwards each gets
 * a small allowance, until one holds a pour; then the radius below it has to be refuted.
 */
function leastDrift(question: Question, first: Search): Outcome {
  const { effort } = first.ladder;
  const { firstPoint, target } = question;
  const steps = (p: Vec3) =>
    Math.max(1, Math.ceil(scaledDistance(p, firstPoint) / DRIFT_STEP - DRIFT_ROUNDING));
  const within = (radius: number, part: Effort) => searchOf(question, part, radius * DRIFT_STEP);
  const unbounded = { bound: { touched: 0, cost: 0 }, open: [] };
  const { answer: start, leaves } = first.ladder.cheapest({ stopAtFirst: true });
  if (!start) return { answer: null, ...unbounded, search: first, judge: first.judge, leaves };
  const stepsOf = ({ judge }: Search, { delta }: Answer) => steps(judge(delta)?.point ?? firstPoint);

  // The least radius known to hold a pour, with the search that found it, and the largest refuted.
  let kept = { answer: start, search: first, radius: stepsOf(first, start) };
  let refuted = steps(target.nearest(firstPoint)) - 1;
  /** Why no pour is in the largest radius refuted; none is needed for those that the target itself is out of. */
  let nearer: Leaves | undefined;
  /** Look within a radius: true when it holds a pour, false when it holds none, null when that is not known. */
  const look = (radius: number, nodes: number): boolean | null => {
    const part = effort.part(nodes);
    const search = within(radius, part);
    const { answer: found, leaves } = search.ladder.cheapest({ stopAtFirst: true });
    effort.add(part);
    if (found) kept = { answer: found, search, radius: Math.min(radius, stepsOf(search, found)) };
    else if (part.limit === null) [refuted, nearer] = [Math.max(refuted, radius), leaves];
    return found ? true : part.limit === null ? false : null;
  };
  for (let radius = refuted + 1; radius < kept.radius && effort.limit === null; radius += 1) {
    if (look(radius, FIRST_LOOK_NODES)) break;
  }
  while (kept.radius > refuted + 1 && effort.limit === null) {
    if (look(kept.radius - 1, SETTLING_NODES) === null) effort.limit ??= "nodes";
  }
  const { answer, search, radius } = kept;
  const unsettled = { answer, ...unbounded, search, judge: search.judge };
  if (effort.limit !== null) return unsettled;
  const outcome = fewest(within(radius, effort));
  return outcome.answer === null ? { ...unsettled, search: outcome.search } : { ...outcome, leaves: nearer };
}
