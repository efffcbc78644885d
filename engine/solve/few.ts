import type { Effort } from "./effort.ts";
import { forEachSubset } from "./rungs.ts";
import { type Answer, COST_TOLERANCE, type Found, type SearchProblem } from "./search.ts";

/** Sets of at most so many ingredients, with at most so many pours between them, are tried pour by pour. */
const MOST_INGREDIENTS = 2;
const MOST_POURS = 4000;
/** Pours tried between two looks at the clock. */
const LOOK_EVERY = 32;

/** What trying pours needs to know of a problem. */
export type Tried = Pick<SearchProblem, "choices" | "weight" | "accept">;

/** Whether a set is small enough to be tried whole. */
export function isFew({ choices }: Tried, set: readonly number[]): boolean {
  return set.length <= MOST_INGREDIENTS && set.reduce((n, i) => n * choices[i]!.length, 1) <= MOST_POURS;
}

/**
 * The cheapest acceptable pour of a small set, by trying all that are cheaper: no bound is trusted, and the first
 * that the true model accepts is the answer.
 */
export function tryAll(problem: Tried, effort: Effort, set: readonly number[], cutoff: number): Found {
  const { choices } = problem;
  const delta = new Float64Array(choices.length);
  for (const [k, pour] of cheapestFirst(problem, set, cutoff).entries()) {
    const { price } = pour;
    if (k % LOOK_EVERY === 0 && effort.exhausted()) return { answer: null, bound: price, isSettled: false };
    effort.evaluations += 1;
    for (let part = pour; part.before; part = part.before) delta[part.on] = part.change;
    if (!problem.accept(delta)) continue;
    const touched = delta.filter((change) => change !== 0).length;
    return { answer: { delta, cost: price, touched }, bound: price, isSettled: true };
  }
  return { answer: null, bound: cutoff, isSettled: true };
}

/** A pour of some ingredients of a set: the change of one, after the pour of those before it. */
interface Pour {
  price: number;
  on: number;
  change: number;
  /** Null where nothing is changed yet. */
  before: Pour | null;
}

/** Every pour of a set that costs less than the cutoff, cheapest first. */
function cheapestFirst({ choices, weight }: Tried, set: readonly number[], cutoff: number): Pour[] {
  let pours: Pour[] = [{ price: 0, on: 0, change: 0, before: null }];
  for (const on of set) {
    const longer: Pour[] = [];
    for (const before of pours) {
      for (const change of choices[on]!) {
        const price = before.price + weight[on]! * Math.abs(change);
        if (price < cutoff - COST_TOLERANCE) longer.push({ price, on, change, before });
      }
    }
    pours = longer;
  }
  return pours.sort((a, b) => a.price - b.price);
}

/**
 * An answer at once, before anything is proved: the cheapest pour of one ingredient or, when none will do, of two.
 * Null when none does it, or the effort ends first.
 */
export function tryFew(
  problem: Tried,
  movable: readonly number[],
  most: number,
  effort: Effort,
): Answer | null {
  let best: Answer | null = null;
  for (let k = 1; k <= Math.min(MOST_INGREDIENTS, most, movable.length) && best === null; k += 1) {
    forEachSubset(movable, k, (set) => {
      if (!isFew(problem, set)) return true;
      const { answer } = tryAll(problem, effort, set, best?.cost ?? Number.POSITIVE_INFINITY);
      if (answer) best = answer;
      return effort.limit === null;
    });
  }
  return best;
}
