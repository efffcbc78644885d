import { mat3 } from "../linalg.ts";
import type { Mat3, Vec3 } from "../types.ts";

/**
 * Sample covariance with its correlations shrunk toward zero by the share that minimises the expected squared
 * error, estimated from the data: λ = Σ Var(rᵢⱼ) / Σ rᵢⱼ² over the pairs of axes, held to 0–1 (O. Ledoit and
 * M. Wolf, J. Multivariate Analysis 88, 2004; the form toward a diagonal with unequal variances is target D of
 * J. Schäfer and K. Strimmer, Stat. Appl. Genet. Mol. Biol. 4, 2005, article 32; formula from memory).
 * Variances are kept, so the result does not depend on the axes' units. `floorSd` (axis units) is the least
 * standard deviation an axis is given. Needs at least three points.
 */
export function shrinkCovariance(
  points: readonly Vec3[],
  floorSd: Vec3,
): { covariance: Mat3; shrinkage: number } {
  const { covariance, shrinkage } = shrinkMoments(Float64Array.from(points.flat()), points.length);
  return { covariance: floored(covariance, shrinkage, floorSd), shrinkage };
}

/**
 * Mean, plain covariance and shrinkage of n points laid end to end in `flat`. Plain loops over a flat array:
 * sizing a small family runs this thousands of times.
 */
export function shrinkMoments(
  flat: Float64Array,
  n: number,
): { mean: Vec3; covariance: Mat3; shrinkage: number } {
  let [m0, m1, m2] = [0, 0, 0];
  for (let k = 0; k < 3 * n; k += 3) {
    m0 += flat[k]! / n;
    m1 += flat[k + 1]! / n;
    m2 += flat[k + 2]! / n;
  }
  // Sums of products of deviations, and of their squares: axes 00, 11, 22, 01, 02, 12.
  let [s00, s11, s22, s01, s02, s12, q01, q02, q12] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let k = 0; k < 3 * n; k += 3) {
    const [a, b, c] = [flat[k]! - m0, flat[k + 1]! - m1, flat[k + 2]! - m2];
    s00 += a * a;
    s11 += b * b;
    s22 += c * c;
    s01 += a * b;
    s02 += a * c;
    s12 += b * c;
    q01 += a * a * b * b;
    q02 += a * a * c * c;
    q12 += b * b * c * c;
  }
  let noise = 0;
  let signal = 0;
  const pair = (sum: number, squares: number, si: number, sj: number) => {
    const size = si * sj;
    if (size === 0) return;
    // With deviations over standard deviations: Σ(w − w̄)² = Σw² − n w̄², and r = Σw/(n−1).
    const degrees = n - 1;
    noise += (n / degrees ** 3) * Math.max(0, ((squares - (sum * sum) / n) * degrees * degrees) / size);
    signal += (sum * sum) / size;
  };
  pair(s01, q01, s00, s11);
  pair(s02, q02, s00, s22);
  pair(s12, q12, s11, s22);
  const d = n - 1;
  return {
    mean: [m0, m1, m2],
    covariance: [
      [s00 / d, s01 / d, s02 / d],
      [s01 / d, s11 / d, s12 / d],
      [s02 / d, s12 / d, s22 / d],
    ],
    shrinkage: signal > 0 ? Math.min(1, noise / signal) : 1,
  };
}

/** Correlations times (1 − shrinkage), with standard deviations no smaller than `floorSd`. */
export function floored(sample: Mat3, shrinkage: number, floorSd: Vec3): Mat3 {
  return mat3((i, j) => {
    const floor = i === j ? Math.max(0, floorSd[i] ** 2 - sample[i][i]) : 0;
    return (i === j ? 1 : 1 - shrinkage) * sample[i][j] + floor;
  });
}
