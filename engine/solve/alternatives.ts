import { scaledDistance } from "../axes.ts";
import type { LadderSearch, OpenSet, Within } from "./levels.ts";
import type { Outcome } from "./measures.ts";
import type { Question } from "./question.ts";
import { isLexicographic } from "./request.ts";
import { type Answer, COST_TOLERANCE, type Found } from "./search.ts";

/** Alternatives that change more than this many times the best answer's cost are not worth showing. */
const COST_FACTOR = 5;
/** Nodes, or as much in tested drinks, that one rival, and all of them, are worth; an unsettled one may not be its set's least. */
const ALLOWANCE = 150;
const TOTAL_ALLOWANCE = 500;
/** Alternatives with one more ingredient must save this share of the volume. */
const WORTH_ONE_MORE = 0.15;

/** The ingredients an answer touches, as a key. */
const setOf = ({ delta }: Answer) => touchedBy(delta).join(",");
const touchedBy = (delta: Float64Array) => [...delta.keys()].filter((i) => delta[i] !== 0);

/** Up to `count` answers with other sets of ingredients, each the least for its own set, none beaten on every count. */
export function alternatives(question: Question, outcome: Outcome, best: Answer, count: number): Answer[] {
  if (count <= 0) return [];
  const rivals = new Rivals(outcome, best);
  if (isLexicographic(question.measure)) rivals.lookInOtherSets(2 * count + 2);
  else rivals.lookWithoutOne();
  return choose(question, outcome, [...rivals.found.values()], count);
}

/** Looks for rivals of the best answer with what is left of their allowance, and keeps the settled ones, one a set. */
class Rivals {
  readonly found: Map<string, Answer>;
  private readonly ladder: LadderSearch;
  private readonly end: number;

  constructor(
    private readonly outcome: Outcome,
    private readonly best: Answer,
  ) {
    this.ladder = outcome.search.ladder;
    this.found = new Map([[setOf(best), best]]);
    this.end = this.ladder.effort.spent + TOTAL_ALLOWANCE;
  }

  /** What if this one could not be changed? Each answer leaves out one of the best answer's ingredients. */
  lookWithoutOne(): void {
    const { best, ladder } = this;
    for (const i of touchedBy(best.delta)) {
      const free = ladder.movable.filter((k) => k !== i);
      this.look((within) => ladder.cheapest({ free, ...within }), COST_FACTOR * best.cost);
    }
  }

  /** Other sets as large as the best answer's, then sets with one more ingredient; at most so many of each. */
  lookInOtherSets(most: number): void {
    const { best, ladder, outcome } = this;
    const look = (sets: readonly OpenSet[], touched: number, cutoff: number) => {
      // One more than is looked at, as the best answer's own may be among them.
      const cheapest = sets.slice(0, most + 1).filter(({ bound }) => bound < cutoff);
      const others = cheapest.filter(({ set }) => set.join(",") !== setOf(best));
      for (const set of others.slice(0, most)) {
        this.look((within) => ladder.cheapestIn(set, touched, within), cutoff);
      }
    };
    look(outcome.open, best.touched, COST_FACTOR * best.cost);
    const more = best.touched + 1;
    if (more <= Math.min(ladder.problem.maxTouched, ladder.movable.length) && !this.isOver) {
      look(ladder.survey(more), more, (1 - WORTH_ONE_MORE) * best.cost);
    }
  }

  private get isOver(): boolean {
    return this.ladder.effort.limit !== null || this.ladder.effort.spent >= this.end;
  }

  private look(search: (within: Within) => Found, cutoff: number): void {
    if (this.isOver) return;
    const allowance = Math.min(ALLOWANCE, this.end - this.ladder.effort.spent);
    const { answer, isSettled } = search({ cutoff, allowance });
    if (answer && isSettled && !this.found.has(setOf(answer))) this.found.set(setOf(answer), answer);
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
