import { AXES, AXIS_INDICES, AXIS_SCALE, perAxis } from "../axes.ts";
import { fail, requireFinite } from "../errors.ts";
import { COVERAGE } from "../limits.ts";
import { dot3, solvePositiveDefinite, squareRootColumns3 } from "../linalg.ts";
import { seededRandom } from "../seeded-random.ts";
import { chiSquareQuantile, covarianceMat3, fQuantile, meanVec3, sampleQuantile } from "../stats.ts";
import { FAMILY_REPLICATES, FAMILY_SD_FLOOR, LARGE_FAMILY } from "../tolerances.ts";
import type { Mat3, TargetSpec, Vec3 } from "../types.ts";
import { floored, shrinkCovariance, shrinkMoments } from "./shrink-covariance.ts";
import { formatNumber } from "./words.ts";

/** Fewest drinks a family region is made from. */
export const SMALLEST_FAMILY = 6;

const FLOOR = perAxis((k) => FAMILY_SD_FLOOR * AXIS_SCALE[k]);

/** A family of drinks as a region: the ellipsoid, what it was made from, and how, in words. */
export interface FamilyTarget {
  target: TargetSpec & { kind: "ellipsoid" };
  n: number;
  mean: Vec3;
  covariance: Mat3;
  /** Share of each correlation taken away (0 = the plain covariance). */
  shrinkage: number;
  method: string;
  note: string;
}

/**
 * Prediction ellipsoid of a family: the region meant to hold the next drink of its kind with probability
 * `coverage`, given the placed drinks `points` (axis units) and normal scatter.
 *
 * A plain "mean ± covariance at the chi-square quantile" treats the estimates as the truth and covers too
 * little when drinks are few. For LARGE_FAMILY drinks or more this is Hotelling's prediction region,
 * radius² = p(n+1)(n−1)/(n(n−p)) · F_{p,n−p}(coverage), p = 3 (H. Hotelling, Ann. Math. Stat. 2, 1931; e.g.
 * R. Johnson and D. Wichern, Applied Multivariate Statistical Analysis, section 5.4). For fewer, that radius
 * explodes (n = 5: 30 standard deviations at 95 %) because three correlations hang on a handful of points;
 * so correlations are shrunk (see shrinkCovariance), and as F no longer holds, the radius is the quantile of
 * the same statistic over simulated families of the same size, each shrunk by its own data. Same points, same
 * answer: the simulation is seeded.
 *
 * Errors: EngineError for fewer than SMALLEST_FAMILY points, a non-finite point, coverage outside 0.05–0.99.
 */
export function familyTarget(points: readonly Vec3[], coverage: number): FamilyTarget {
  const n = points.length;
  requireFinite(coverage, "/coverage");
  if (coverage < COVERAGE.min || coverage > COVERAGE.max) {
    fail(
      "/coverage",
      `expected ${COVERAGE.min} to ${COVERAGE.max}, got ${coverage}`,
      "give a share such as 0.8",
    );
  }
  if (n < SMALLEST_FAMILY) {
    fail(
      "/points",
      `a family region needs at least ${SMALLEST_FAMILY} drinks, got ${n}`,
      "choose a broader family or a published band",
    );
  }
  points.forEach((p, i) => {
    p.forEach((x, k) => {
      requireFinite(x, `/points/${i}/${AXES[k]!.key}`);
    });
  });
  const mean = meanVec3(points);
  const percent = `${formatNumber(coverage * 100)} %`;
  const ideal = Math.sqrt(chiSquareQuantile(coverage, 3));
  const purpose = `meant to hold the next such drink with ${percent} chance`;

  if (n >= LARGE_FAMILY) {
    const covariance = floored(covarianceMat3(points), 0, FLOOR);
    const radius = hotellingRadius(n, coverage);
    return {
      target: { kind: "ellipsoid", mean, covariance, radius },
      n,
      mean,
      covariance,
      shrinkage: 0,
      method: "Hotelling prediction ellipsoid (F quantile), plain covariance",
      note: `n = ${n}; ${purpose}: radius ${formatNumber(radius)} standard deviations, allowing for ${n} drinks only (${formatNumber(ideal)} if the family were known exactly).`,
    };
  }
  const { covariance, shrinkage } = shrinkCovariance(points, FLOOR);
  const radius = Math.sqrt(
    sampleQuantile(
      simulateDistances(n, covariance, { shrink: true, seed: n, replicates: FAMILY_REPLICATES }),
      coverage,
    ),
  );
  const few = n < 8 ? " So few drinks say little: take the edge as a hint." : "";
  return {
    target: { kind: "ellipsoid", mean, covariance, radius },
    n,
    mean,
    covariance,
    shrinkage,
    method: "shrunk covariance, prediction ellipsoid sized by simulation at this n",
    note: `n = ${n}; ${purpose}: correlations shrunk ${Math.round(shrinkage * 100)} % toward none, radius ${formatNumber(Number(radius.toPrecision(2)))} standard deviations (${formatNumber(Number(ideal.toPrecision(2)))} if the family were known exactly).${few}`,
  };
}

/** Radius of Hotelling's prediction ellipsoid for one further point: √(p(n+1)(n−1)/(n(n−p)) F), p = 3 < n. */
export function hotellingRadius(n: number, coverage: number): number {
  const p = 3;
  return Math.sqrt(((p * (n + 1) * (n - 1)) / (n * (n - p))) * fQuantile(coverage, p, n - p));
}

/**
 * Squared distances of a further drink from simulated families of n drinks, scatter normal with `covariance`:
 * (x − x̄)ᵀ S⁻¹ (x − x̄), S the family's own (shrunk, if asked) covariance.
 */
export function simulateDistances(
  n: number,
  covariance: Mat3,
  options: { shrink: boolean; seed: number; replicates: number },
): number[] {
  const random = seededRandom(options.seed);
  const [c0, c1, c2] = squareRootColumns3(covariance);
  const flat = new Float64Array(3 * (n + 1));
  return Array.from({ length: options.replicates }, () => {
    for (let k = 0; k < flat.length; k += 3) {
      const [x, y, z] = [random.normal(), random.normal(), random.normal()];
      for (const i of AXIS_INDICES) flat[k + i] = x * c0[i] + y * c1[i] + z * c2[i];
    }
    const family = shrinkMoments(flat, n);
    const s = options.shrink ? floored(family.covariance, family.shrinkage, FLOOR) : family.covariance;
    // The last triple is the further drink.
    const d: Vec3 = [
      flat[3 * n]! - family.mean[0],
      flat[3 * n + 1]! - family.mean[1],
      flat[3 * n + 2]! - family.mean[2],
    ];
    const solved = solvePositiveDefinite(s, d);
    return dot3(d, [solved[0]!, solved[1]!, solved[2]!]);
  });
}
