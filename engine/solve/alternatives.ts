import { scaledDistance } from "../axes.ts";
import type { OpenSet } from "./levels.ts";
import type { Outcome } from "./measures.ts";
import type { Question } from "./question.ts";
import { isLexicographic } from "./request.ts";
import { type Answer, COST_TOLERANCE } from "./search.ts";

/** Alternatives that change more than this many times the best answer's cost are not worth showing. */
const COST_FACTOR = 5;
/** Alternatives with one more ingredient must save this share of the volume. */
const WORTH_ONE_MORE = 0.15;

/** The ingredients an answer touches, as a key. */
const setOf = ({ delta }: Answer) => touchedBy(delta).join(",");
const touchedBy = (delta: Float64Array) => [...delta.keys()].filter((i) => delta[i] !== 0);

/** Up to `count` answers with other sets of ingredients, each the least for its own set, none beaten on every count. */
export function alternatives(question: Question, outcome: Outcome, best: Answer, count: number): Answer[] {
  if (count <= 0) return [];
  const found = new Map([[setOf(best), best]]);
  const keep = (answer: Answer | null) => {
    if (answer && !found.has(setOf(answer))) found.set(setOf(answer), answer);
  };
  if (isLexicographic(question.measure)) otherSets(question, outcome, best, count, keep);
  else withoutOne(outcome, best, keep);
  return choose(question, outcome, [...found.values()], count);
}

/** What if this one could not be changed? Each answer leaves out one of the best answer's ingredients. */
function withoutOne({ search: { ladder } }: Outcome, best: Answer, keep: (a: Answer | null) => void): void {
  for (const i of touchedBy(best.delta)) {
    const others = ladder.movable.filter((k) => k !== i);
    keep(ladder.cheapest(others, COST_FACTOR * best.cost).answer);
    if (ladder.effort.limit !== null) return;
  }
}

/** Other sets as large as the best answer's, then sets with one more ingredient. */
function otherSets(
  { maxTouched }: Question,
  { search: { ladder }, open }: Outcome,
  best: Answer,
  count: number,
  keep: (a: Answer | null) => void,
): void {
  const look = (sets: readonly OpenSet[], touched: number, cutoff: number) => {
    let tried = 0;
    for (const set of sets) {
      if (set.bound >= cutoff || tried >= 2 * count + 2 || ladder.effort.limit !== null) return;
      if (set.set.join(",") === setOf(best)) continue;
      tried += 1;
      keep(ladder.cheapestIn(set, touched, cutoff).answer);
    }
  };
  look(open, best.touched, COST_FACTOR * best.cost);
  const more = best.touched + 1;
  if (more <= Math.min(maxTouched, ladder.movable.length) && ladder.effort.limit === null) {
    look(ladder.survey(more), more, (1 - WORTH_ONE_MORE) * best.cost);
  }
}

/** Of the answers after the first, the undominated ones, spread over different ingredients. */
function choose(
  { target, firstPoint }: Question,
  { search }: Outcome,
  found: readonly Answer[],
  count: number,
): Answer[] {
  const scored = found.flatMap((answer) => {
    const finished = search.judge(answer.delta);
    if (finished === null) return [];
    const { touched, cost } = answer;
    const away = [target.centreDistance(finished.point), scaledDistance(finished.point, firstPoint)];
    return [{ answer, values: [touched, cost, ...away] }];
  });
  const beats = (x: readonly number[], y: readonly number[]) =>
    x.every((v, k) => v <= y[k]! + COST_TOLERANCE) && x.some((v, k) => v < y[k]! - COST_TOLERANCE);
  const undominated = scored
    .slice(1)
    .filter((s) => !scored.some((o) => o !== s && beats(o.values, s.values)));
  // A superset of a set already shown must be clearly cheaper to be a different idea.
  const shown: Answer[] = found.slice(0, 1);
  for (const { answer: a } of undominated) {
    if (shown.length > count) break;
    const isSameIdea = shown.some(
      (s) => contains(a, s) && a.touched > s.touched && a.cost > (1 - WORTH_ONE_MORE) * s.cost,
    );
    if (!isSameIdea) shown.push(a);
  }
  return shown.slice(1);
}

const contains = (a: Answer, b: Answer) => b.delta.every((d, i) => d === 0 || a.delta[i] !== 0);
