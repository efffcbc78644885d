import { cholesky, solveLower, solveUpper } from "../cholesky.ts";

/** `wins` of `trials` at a place `x`: the log odds of a win are taken as linear in x. */
export interface LogisticRow {
  x: readonly number[];
  /** May be halves: a tie is half a win. */
  wins: number;
  trials: number;
}

/** A fitted logistic regression without intercept. */
export interface LogisticFit {
  estimates: number[];
  /** Inverse of the Fisher information at the estimates, rows and columns as `estimates`. */
  covariance: number[][];
  /** Twice the log likelihood lost against fitting each row by itself. */
  deviance: number;
}

const MOST_STEPS = 100;
const STEP_LIMIT = 2;
const CONVERGED = 1e-10;

/**
 * Fit by Newton's method. With `reduceBias` the penalty of D. Firth (Biometrika 80, 1993) is added, half the
 * logarithm of the information's determinant: estimates stay finite even when somebody always wins, as
 * happens on small panels. Null when the rows do not fix the estimates.
 */
export function fitLogistic(
  rows: readonly LogisticRow[],
  options: { reduceBias?: boolean } = {},
): LogisticFit | null {
  const n = rows[0]?.x.length ?? 0;
  const estimates = new Float64Array(n);
  for (let step = 0; step < MOST_STEPS; step++) {
    const { information, factor } = informationAt(rows, estimates);
    if (factor === null) return null;
    const change = scoreAt(rows, estimates, options.reduceBias ? factor : null);
    solveLower(factor, change);
    solveUpper(factor, change);
    const size = change.reduce((most, d) => Math.max(most, Math.abs(d)), 0);
    const share = size > STEP_LIMIT ? STEP_LIMIT / size : 1;
    for (let k = 0; k < n; k++) estimates[k]! += share * change[k]!;
    // An estimate this large is on its way to infinity.
    if (estimates.some((b) => Math.abs(b) > 30)) return null;
    if (size < CONVERGED) {
      return {
        estimates: [...estimates],
        covariance: inverse(information, n),
        deviance: deviance(rows, estimates),
      };
    }
  }
  return null;
}

const oddsAt = (x: readonly number[], estimates: Float64Array): number =>
  x.reduce((sum, xk, k) => sum + xk * estimates[k]!, 0);

const chanceAt = (x: readonly number[], estimates: Float64Array): number =>
  1 / (1 + Math.exp(-oddsAt(x, estimates)));

function informationAt(rows: readonly LogisticRow[], estimates: Float64Array) {
  const n = estimates.length;
  const information = new Float64Array(n * n);
  for (const { x, trials } of rows) {
    const p = chanceAt(x, estimates);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) information[i * n + j]! += trials * p * (1 - p) * x[i]! * x[j]!;
    }
  }
  return { information, factor: n > 0 ? cholesky(information, n) : null };
}

/** Slope of the log likelihood, with Firth's correction where the information's factor is given. */
function scoreAt(
  rows: readonly LogisticRow[],
  estimates: Float64Array,
  factor: Float64Array | null,
): Float64Array {
  const score = new Float64Array(estimates.length);
  for (const { x, wins, trials } of rows) {
    const p = chanceAt(x, estimates);
    let correction = 0;
    if (factor !== null) {
      const whitened = Float64Array.from(x);
      solveLower(factor, whitened);
      const leverage = trials * p * (1 - p) * whitened.reduce((sum, w) => sum + w * w, 0);
      correction = leverage * (0.5 - p);
    }
    for (let k = 0; k < score.length; k++) score[k]! += (wins - trials * p + correction) * x[k]!;
  }
  return score;
}

function inverse(matrix: Float64Array, n: number): number[][] {
  const factor = cholesky(matrix, n)!;
  return Array.from({ length: n }, (_, i) => {
    const column = new Float64Array(n);
    column[i] = 1;
    solveLower(factor, column);
    solveUpper(factor, column);
    return [...column];
  });
}

function deviance(rows: readonly LogisticRow[], estimates: Float64Array): number {
  const part = (seen: number, expected: number) => (seen > 0 ? seen * Math.log(seen / expected) : 0);
  return (
    2 *
    rows.reduce((sum, { x, wins, trials }) => {
      const p = chanceAt(x, estimates);
      return sum + part(wins, trials * p) + part(trials - wins, trials * (1 - p));
    }, 0)
  );
}
