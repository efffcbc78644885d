import { fail } from "../../errors.ts";
import { incompleteBeta } from "../../stats.ts";

/** Tests in which every taster's answer is right or wrong by chance alone with a known probability. */
export const GUESSING = {
  /** Three glasses, two alike: which is the odd one? (ISO 4120) */
  triangle: 1 / 3,
  /** Two glasses: which is sweeter, which is preferred? (ISO 5495) */
  pair: 1 / 2,
} as const;

export type ChoiceTest = keyof typeof GUESSING;

/** More answers than any panel gives; bounds the loops. */
const MOST_ANSWERS = 10_000;

function checkCount(x: number, pointer: string, least: number, most: number): void {
  if (Number.isInteger(x) && x >= least && x <= most) return;
  fail(pointer, `expected a whole number from ${least} to ${most}, got ${x}`, "count the answers");
}

/** P(X ≥ k) for X binomial with n answers of chance p each; exact, through the incomplete beta function. */
export function atLeastChance(k: number, n: number, p: number): number {
  if (k <= 0) return 1;
  return k > n ? 0 : incompleteBeta(k, n - k + 1, p);
}

/**
 * Fewest right answers of n that guessing reaches with chance `alpha` at most; null when even n of n does not
 * do. The tables of ISO 4120 and ISO 5495 list these numbers.
 */
export function fewestForSignificance(n: number, guessing: number, alpha: number): number | null {
  checkCount(n, "/n", 1, MOST_ANSWERS);
  let [low, high] = [0, n + 1];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (atLeastChance(middle, n, guessing) <= alpha) high = middle;
    else low = middle;
  }
  return high > n ? null : high;
}

/** Exact (Clopper–Pearson, 1934) interval for a chance seen k times in n; `confidence` two-sided. */
export function chanceInterval(k: number, n: number, confidence: number): [number, number] {
  checkCount(n, "/n", 1, MOST_ANSWERS);
  checkCount(k, "/k", 0, n);
  const tail = (1 - confidence) / 2;
  return [
    k === 0 ? 0 : whereReached(tail, (p) => atLeastChance(k, n, p), 1),
    k === n ? 1 : 1 - whereReached(tail, (q) => atLeastChance(n - k, n, q), 1),
  ];
}

/** Where a rising function reaches a level, between 0 and `most`; by halving, to the last digit. */
export function whereReached(level: number, rising: (x: number) => number, most: number): number {
  let [low, high] = [0, most];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (rising(middle) < level) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * Triangle or paired test of `right` answers out of `answers`, exact.
 *
 * @throws EngineError for counts that are not whole or do not fit one another
 */
export function choiceTest(test: ChoiceTest, right: number, answers: number) {
  checkCount(answers, "/choice/answers", 1, MOST_ANSWERS);
  checkCount(right, "/choice/right", 0, answers);
  const guessing = GUESSING[test];
  const uneven = Math.max(right, answers - right);
  return {
    right,
    answers,
    /** Chance of as many right answers or more by guessing alone. */
    pOneSided: atLeastChance(right, answers, guessing),
    /** For preferences, where neither side was expected: chance of a split as uneven. Null for a triangle. */
    pTwoSided: test === "pair" ? Math.min(1, 2 * atLeastChance(uneven, answers, guessing)) : null,
    /** Exact 95 % interval for the chance of a right answer. */
    interval: chanceInterval(right, answers, 0.95),
    /** Estimated share of tasters who can tell (Abbott's correction), 0 or more; null for a preference. */
    discriminators: test === "triangle" ? Math.max(0, (right / answers - guessing) / (1 - guessing)) : null,
  };
}

/** Chance of seeing a difference that is not there, and of finding one that is: usual in sensory work. */
const USUAL = { alpha: 0.05, power: 0.8 };

/** Further answers looked ahead at: nobody serves more of one pair. */
const MOST_MORE = 300;

/**
 * Fewest further answers with which the test would find a difference at 5 % with 80 % chance, going by
 * the answers so far: chance of a right one uncertain as they leave it (uniform beforehand), future counts
 * beta-binomial. `sides` 2 for a preference nobody expected. Null when no number up to 300 would.
 */
export function answersToDecide(
  test: ChoiceTest,
  right: number,
  answers: number,
  { sides = 1 }: { sides?: 1 | 2 } = {},
): number | null {
  if (answers > 0) checkCount(right, "/right", 0, answers);
  const guessing = GUESSING[test];
  // The count that decides moves by at most one an answer, and the test is not monotone in n: try each.
  for (let more = 0; more <= MOST_MORE; more++) {
    const needed = fewestForSignificance(Math.max(1, answers + more), guessing, USUAL.alpha / sides);
    if (needed === null) continue;
    const ahead = futureAtLeast(needed - right, more, right + 1, answers - right + 1);
    const behind =
      sides === 2 ? futureAtLeast(needed - (answers - right), more, answers - right + 1, right + 1) : 0;
    if (ahead + behind >= USUAL.power) return more;
  }
  return null;
}

/** P(Y ≥ k) for Y beta-binomial: m answers, chance drawn from Beta(a, b). */
function futureAtLeast(k: number, m: number, a: number, b: number): number {
  if (k <= 0) return 1;
  if (k > m) return 0;
  // From all right downward: C(m, j) B(a + j, b + m − j) / B(a, b), by ratios of neighbours.
  let term = 1;
  for (let i = 0; i < m; i++) term *= (a + i) / (a + b + i);
  let sum = 0;
  for (let j = m; j >= k; j--) {
    sum += term;
    term *= (j / (m - j + 1)) * ((b + m - j) / (a + j - 1));
  }
  return Math.min(1, sum);
}

/** Fewest tasters for a choice test to find a true chance `real` of a right answer with chance `power`. */
export function tastersNeeded(test: ChoiceTest, real: number, { alpha, power } = USUAL): number | null {
  const guessing = GUESSING[test];
  if (!(real > guessing && real <= 1)) {
    const remedy = "give the chance of a right answer when there is a difference";
    fail(
      "/plan/real",
      `expected a chance above guessing (${guessing.toFixed(3)}) and up to 1, got ${real}`,
      remedy,
    );
  }
  for (let n = 1; n <= MOST_ANSWERS; n++) {
    const needed = fewestForSignificance(n, guessing, alpha);
    if (needed !== null && atLeastChance(needed, n, real) >= power) return n;
  }
  return null;
}
