/** A common step of costs smaller than this prunes nothing. */
const LEAST_STEP = 0.05;
/** Lengths closer than this are the same to a common step. */
const STEP_TOLERANCE = 1e-8;

/** Some neighbouring choices of one amount: from which to which, and their changes (mL). */
export interface Span {
  first: number;
  last: number;
  low: number;
  high: number;
}

/** The choices from one index to another. */
export function spanOf(choices: Float64Array, first: number, last: number): Span {
  return { first, last, low: choices[first]!, high: choices[last]! };
}

/** Smallest index in [from, to] whose value is at least v; to + 1 when none is. */
export function firstAtLeast(values: Float64Array, v: number, from: number, to: number): number {
  let lo = from;
  let hi = to + 1;
  while (lo < hi) {
    const mid = (lo + hi) >> 1;
    if (values[mid]! >= v) hi = mid;
    else lo = mid + 1;
  }
  return lo;
}

/** Smallest index in [from, to] whose value is above v; to + 1 when none is. */
export function firstAbove(values: Float64Array, v: number, from: number, to: number): number {
  const at = firstAtLeast(values, v, from, to);
  return at <= to && values[at] === v ? at + 1 : at;
}

/** Largest index in [from, to] whose value is at most v; `from` when none is. */
export function lastAtMost(values: Float64Array, v: number, from: number, to: number): number {
  return Math.max(from, firstAbove(values, v, from, to) - 1);
}

/** Call `visit` with every subset of `size` of the items, in order, until it says false; the array is reused. */
export function forEachSubset(
  items: readonly number[],
  size: number,
  visit: (set: number[]) => boolean,
): void {
  const set: number[] = new Array(size).fill(0);
  const walk = (at: number, from: number): boolean => {
    if (at === size) return visit(set);
    for (let i = from; i <= items.length - (size - at); i += 1) {
      set[at] = items[i]!;
      if (!walk(at + 1, i + 1)) return false;
    }
    return true;
  };
  walk(0, 0);
}

/**
 * The step that every cost of these choices is a whole multiple of, or 0 when there is none worth using. All
 * pours on one jigger cost multiples of its step, so a bound just above one multiple is as good as the next.
 */
export function commonStep(choices: Float64Array, weight: number): number {
  return choices.reduce((step, change) => commonDivisor(step, Math.abs(change) * weight), 0);
}

/** The step common to several amounts; 0 when one of them has none, or when it is too small to prune. */
export function combinedStep(steps: readonly number[]): number {
  const step = steps.reduce(commonDivisor, 0);
  return step < LEAST_STEP || steps.includes(0) ? 0 : step;
}

/** Greatest common divisor of two lengths; 0 divides nothing and is passed over. */
function commonDivisor(x: number, y: number): number {
  let a = Math.max(x, y);
  let b = Math.min(x, y);
  while (b > STEP_TOLERANCE) {
    const rest = a % b;
    a = b;
    b = b - rest < STEP_TOLERANCE ? 0 : rest;
  }
  return a;
}
