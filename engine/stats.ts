/**
 * Statistics; the only importer of simple-statistics. Every input is checked finite first: the library's
 * policies on empty and NaN input differ from function to function.
 * Its normal CDF is good to 1e-7 and its chi-square is a table, so the distribution functions below are our
 * own, by the textbook series and continued fractions of the NIST Digital Library of Mathematical Functions
 * (DLMF, https://dlmf.nist.gov): incomplete gamma 8.11.4 and 8.9.2, incomplete beta 8.17.22.
 */

import { gammaln, sampleCovariance as libraryCovariance, mean as libraryMean } from "simple-statistics";
import { AXIS_INDICES, type AxisIndex, perAxis } from "./axes.ts";
import { fail, requireFinite } from "./errors.ts";
import { mat3 } from "./linalg.ts";
import { polynomial } from "./physics/polynomial.ts";
import { MAX_ITERATIONS, SERIES_TOLERANCE } from "./tolerances.ts";
import type { Mat3, Vec3 } from "./types.ts";

function requireSample(values: readonly number[], least: number, pointer: string): number[] {
  if (values.length < least) {
    fail(
      pointer,
      `needs at least ${least} value${least === 1 ? "" : "s"}, got ${values.length}`,
      "add values",
    );
  }
  values.forEach((x, i) => {
    requireFinite(x, `${pointer}/${i}`);
  });
  return [...values];
}

function requireProbability(p: number): void {
  requireFinite(p, "/p");
  if (p <= 0 || p >= 1) fail("/p", `expected a probability between 0 and 1, got ${p}`, "give 0 < p < 1");
}

function requirePositive(x: number, pointer: string): number {
  requireFinite(x, pointer);
  if (x <= 0) fail(pointer, `expected a positive number, got ${x}`, "give a number above 0");
  return x;
}

/** Arithmetic mean of at least one finite number. */
export function mean(values: readonly number[]): number {
  return libraryMean(requireSample(values, 1, "/values"));
}

/** Mean of points, per axis. */
export function meanVec3(points: readonly Vec3[]): Vec3 {
  return perAxis((k) => mean(points.map((p) => p[k])));
}

/** Sample covariance (divisor n − 1) of at least two points; units are products of axis units. */
export function covarianceMat3(points: readonly Vec3[]): Mat3 {
  const column = (k: AxisIndex) => points.map((p) => p[k]);
  for (const k of AXIS_INDICES) requireSample(column(k), 2, "/points");
  return mat3((i, j) => libraryCovariance(column(i), column(j)));
}

const LOG_GAMMA_HALF = 0.5 * Math.log(Math.PI);

const logGamma = (a: number) => (a === 0.5 ? LOG_GAMMA_HALF : gammaln(a));

/** Lower and upper regularised incomplete gamma functions P(a, x) and Q(a, x) = 1 − P; a > 0, x ≥ 0. */
export function incompleteGamma(a: number, x: number): { lower: number; upper: number } {
  requirePositive(a, "/a");
  if (!(x > 0)) return { lower: 0, upper: 1 };
  if (x === Infinity) return { lower: 1, upper: 0 };
  const front = Math.exp(a * Math.log(x) - x - logGamma(a));
  // The series needs about √a more terms than the base number near its switch point x ≈ a.
  const limit = MAX_ITERATIONS + 10 * Math.sqrt(a);
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let k = 1; k < limit && term > sum * SERIES_TOLERANCE; k++) {
      term *= x / (a + k);
      sum += term;
    }
    const lower = Math.min(front * sum, 1);
    return { lower, upper: 1 - lower };
  }
  const fraction = continuedFraction(
    (k) => (k === 1 ? 1 : -(k - 1) * (k - 1 - a)),
    (k) => x + 2 * k - 1 - a,
    limit,
  );
  const upper = Math.min(front * fraction, 1);
  return { lower: 1 - upper, upper };
}

/** Value of a₁/(b₁ + a₂/(b₂ + …)) by the modified Lentz method (DLMF 3.10(iii)). */
function continuedFraction(a: (k: number) => number, b: (k: number) => number, limit: number): number {
  const tiny = 1e-300;
  let value = tiny;
  let c = value;
  let d = 0;
  for (let k = 1; k <= limit; k++) {
    d = b(k) + a(k) * d || tiny;
    c = b(k) + a(k) / c || tiny;
    d = 1 / d;
    const step = c * d;
    value *= step;
    if (Math.abs(step - 1) < SERIES_TOLERANCE) break;
  }
  return value;
}

/**
 * Regularised incomplete beta function I_x(a, b); a, b > 0. `y` is 1 − x, given apart so that x near 1
 * loses no digits.
 */
export function incompleteBeta(a: number, b: number, x: number, y: number = 1 - x): number {
  requirePositive(a, "/a");
  requirePositive(b, "/b");
  if (!(x > 0)) return 0;
  if (!(y > 0)) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(b, a, y, x);
  const front = Math.exp(
    logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(y) - Math.log(a),
  );
  const limit = MAX_ITERATIONS + 10 * Math.sqrt(Math.max(a, b));
  const fraction = continuedFraction(
    (k) => {
      if (k === 1) return 1;
      const m = Math.floor((k - 1) / 2);
      return (k - 1) % 2 === 0
        ? (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
        : (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    },
    () => 1,
    2 * limit,
  );
  return front * fraction;
}

/**
 * Standard normal distribution function Φ(z), relative error below 1e-10 in both tails; ±Infinity allowed. Up
 * to |z| = 7 by the rational approximation of J. F. Hart et al. (Computer Approximations, 1968, no. 5666, as
 * used by G. West, Wilmott Magazine, 2005; coefficients from memory, checked against the incomplete gamma
 * function), because it runs thousands of times in a probability; beyond by the incomplete gamma function.
 */
export function normalCdf(z: number): number {
  if (Number.isNaN(z)) fail("/z", "expected a number, got NaN", "give a plain number");
  const x = Math.abs(z);
  const tail = x < 7 ? hartTail(x) : 0.5 * incompleteGamma(0.5, 0.5 * x * x).upper;
  return z < 0 ? tail : 1 - tail;
}

function hartTail(x: number): number {
  const top =
    (((((0.0352624965998911 * x + 0.700383064443688) * x + 6.37396220353165) * x + 33.912866078383) * x +
      112.079291497871) *
      x +
      221.213596169931) *
      x +
    220.206867912376;
  const bottom =
    ((((((0.0883883476483184 * x + 1.75566716318264) * x + 16.064177579207) * x + 86.7807322029461) * x +
      296.564248779674) *
      x +
      637.333633378831) *
      x +
      793.826512519948) *
      x +
    440.413735824752;
  return (Math.exp(-0.5 * x * x) * top) / bottom;
}

/** Standard normal density. */
export function normalDensity(z: number): number {
  return Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
}

/** Acklam's polynomials, coefficients from the constant up: of the tails and of the middle. */
const ACKLAM = {
  tailTop: [
    2.938163982698783, 4.374664141464968, -2.549732539343734, -2.400758277161838, -0.3223964580411365,
    -7.784894002430293e-3,
  ],
  tailBottom: [1, 3.754408661907416, 2.445134137142996, 0.3224671290700398, 7.784695709041462e-3],
  top: [
    2.506628277459239, -30.66479806614716, 138.357751867269, -275.9285104469687, 220.9460984245205,
    -39.69683028665376,
  ],
  bottom: [
    1, -13.28068155288572, 66.80131188771972, -155.6989798598866, 161.5858368580409, -54.47609879822406,
  ],
};

/**
 * Standard normal quantile to about nine digits, for sampling: the rational approximation of P. J. Acklam
 * (2003; coefficients from memory, checked against normalQuantile). 0 < p < 1, not checked.
 */
export function normalQuantileFast(p: number): number {
  if (p > 0.5) return -normalQuantileFast(1 - p);
  if (p < 0.02425) {
    const q = Math.sqrt(-2 * Math.log(p));
    return polynomial(ACKLAM.tailTop, q) / polynomial(ACKLAM.tailBottom, q);
  }
  const q = p - 0.5;
  const r = q * q;
  return (q * polynomial(ACKLAM.top, r)) / polynomial(ACKLAM.bottom, r);
}

/** Standard normal quantile: the fast value polished by Newton steps on log Φ. 0 < p < 1. */
export function normalQuantile(p: number): number {
  requireProbability(p);
  if (p > 0.5) return -normalQuantile(1 - p);
  let z = normalQuantileFast(p);
  for (let k = 0; k < 3; k++) {
    const cdf = normalCdf(z);
    z -= (Math.log(cdf / p) * cdf) / normalDensity(z);
  }
  return z;
}

/** Chi-square distribution function, `df` > 0 degrees of freedom. */
export function chiSquareCdf(x: number, df: number): number {
  requireFinite(x, "/x");
  return incompleteGamma(requirePositive(df, "/df") / 2, Math.max(x, 0) / 2).lower;
}

/** F distribution function with `df1`, `df2` > 0 degrees of freedom. */
export function fCdf(x: number, df1: number, df2: number): number {
  requireFinite(x, "/x");
  requirePositive(df1, "/df1");
  requirePositive(df2, "/df2");
  if (x <= 0) return 0;
  const sum = df1 * x + df2;
  return incompleteBeta(df1 / 2, df2 / 2, (df1 * x) / sum, df2 / sum);
}

/** Root of an increasing distribution function on (0, ∞), by bisection on the logarithm. */
function invertPositive(cdf: (x: number) => number, p: number): number {
  requireProbability(p);
  let low = -200;
  let high = 200;
  for (let k = 0; k < MAX_ITERATIONS && high - low > SERIES_TOLERANCE * 10; k++) {
    const middle = 0.5 * (low + high);
    if (middle === low || middle === high) break;
    if (cdf(Math.exp(middle)) < p) low = middle;
    else high = middle;
  }
  return Math.exp(0.5 * (low + high));
}

/** Quantile of the chi-square distribution: the x with P(X ≤ x) = p. */
export function chiSquareQuantile(p: number, df: number): number {
  return invertPositive((x) => chiSquareCdf(x, df), p);
}

/** Quantile of the F distribution: the x with P(X ≤ x) = p. */
export function fQuantile(p: number, df1: number, df2: number): number {
  return invertPositive((x) => fCdf(x, df1, df2), p);
}

/**
 * Quantile of Student's t distribution: the x with P(X ≤ x) = p.
 */
export function tQuantile(p: number, df: number): number {
  requireProbability(p);
  requirePositive(df, "/df");
  if (p === 0.5) return 0;
  // T² is F with (1, df): one root search serves both.
  const size = Math.sqrt(fQuantile(Math.abs(2 * p - 1), 1, df));
  return p < 0.5 ? -size : size;
}
