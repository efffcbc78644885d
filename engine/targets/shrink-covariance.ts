import type { Mat3, Vec3 } from "../types.ts";

const AXES3 = [0, 1, 2] as const;
const PAIRS = [
  [0, 1],
  [0, 2],
  [1, 2],
] as const;

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
  // Plain loops: the sizing of a small family runs this thousands of times.
  const n = points.length;
  const mean = [0, 0, 0];
  for (const p of points) for (const k of AXES3) mean[k]! += p[k] / n;
  const sum = [
    [0, 0, 0],
    [0, 0, 0],
    [0, 0, 0],
  ];
  for (const p of points) {
    for (const i of AXES3) for (const j of AXES3) sum[i]![j]! += (p[i] - mean[i]!) * (p[j] - mean[j]!);
  }
  const sample = sum.map((row) => row.map((x) => x / (n - 1))) as unknown as Mat3;
  let noise = 0;
  let signal = 0;
  for (const [i, j] of PAIRS) {
    const size = Math.sqrt(sample[i][i] * sample[j][j]);
    if (size === 0) continue;
    const average = sum[i]![j]! / n / size;
    let spread = 0;
    for (const p of points) spread += (((p[i] - mean[i]!) * (p[j] - mean[j]!)) / size - average) ** 2;
    noise += (n / (n - 1) ** 3) * spread;
    signal += ((n / (n - 1)) * average) ** 2;
  }
  const shrinkage = signal > 0 ? Math.min(1, noise / signal) : 1;
  return { covariance: floored(sample, shrinkage, floorSd), shrinkage };
}

/** Correlations times (1 − shrinkage), with standard deviations no smaller than `floorSd`. */
export function floored(sample: Mat3, shrinkage: number, floorSd: Vec3): Mat3 {
  const entry = (i: 0 | 1 | 2, j: 0 | 1 | 2) => {
    const floor = i === j ? Math.max(0, floorSd[i] ** 2 - sample[i][i]) : 0;
    return (i === j ? 1 : 1 - shrinkage) * sample[i][j] + floor;
  };
  const row = (i: 0 | 1 | 2): Vec3 => [entry(i, 0), entry(i, 1), entry(i, 2)];
  return [row(0), row(1), row(2)];
}
