import { addScaled, addTo, dot } from "../../linalg.ts";
import { type Factor, SymmetricSum } from "../../symmetric.ts";

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
  let estimates: readonly number[] = new Array<number>(n).fill(0);
  for (let step = 0; step < MOST_STEPS; step++) {
    const factor = informationAt(rows, estimates);
    if (factor === null) return null;
    const change = factor.solve(scoreAt(rows, estimates, options.reduceBias ? factor : null));
    const size = Math.max(...change.map(Math.abs));
    const share = size > STEP_LIMIT ? STEP_LIMIT / size : 1;
    estimates = addScaled(estimates, share, change);
    // An estimate this large is on its way to infinity.
    if (estimates.some((b) => Math.abs(b) > 30)) return null;
    if (size < CONVERGED) {
      return {
        estimates: [...estimates],
        covariance: estimates.map((_, i) => factor.solve(estimates.map((_, j) => (j === i ? 1 : 0)))),
        deviance: deviance(rows, estimates),
      };
    }
  }
  return null;
}

const chanceAt = (x: readonly number[], estimates: readonly number[]): number =>
  1 / (1 + Math.exp(-dot(x, estimates)));

/** The Fisher information's factor; null when the rows do not fix the estimates. */
function informationAt(rows: readonly LogisticRow[], estimates: readonly number[]): Factor | null {
  if (estimates.length === 0) return null;
  const information = new SymmetricSum(estimates.length);
  for (const { x, trials } of rows) {
    const p = chanceAt(x, estimates);
    information.addSquare(trials * p * (1 - p), x);
  }
  return information.factor();
}

/** Slope of the log likelihood, with Firth's correction where the information's factor is given. */
function scoreAt(
  rows: readonly LogisticRow[],
  estimates: readonly number[],
  factor: Factor | null,
): number[] {
  const score = estimates.map(() => 0);
  for (const { x, wins, trials } of rows) {
    const p = chanceAt(x, estimates);
    let correction = 0;
    if (factor !== null) {
      const whitened = factor.solveLower(x);
      const leverage = trials * p * (1 - p) * dot(whitened, whitened);
      correction = leverage * (0.5 - p);
    }
    addTo(score, wins - trials * p + correction, x);
  }
  return score;
}

function deviance(rows: readonly LogisticRow[], estimates: readonly number[]): number {
  const part = (seen: number, expected: number) => (seen > 0 ? seen * Math.log(seen / expected) : 0);
  return (
    2 *
    rows.reduce((sum, { x, wins, trials }) => {
      const p = chanceAt(x, estimates);
      return sum + part(wins, trials * p) + part(trials - wins, trials * (1 - p));
    }, 0)
  );
}
