import { fromScaled } from "../../../engine/axes.ts";
import { doubtColumns } from "../../../engine/doubt/probability-inside.ts";
import { requireFinite } from "../../../engine/errors.ts";
import { addScaled3 } from "../../../engine/linalg.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";
import { normalQuantileFast, tQuantile } from "../../../engine/stats.ts";
import type { CompiledTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, Vec3 } from "../../../engine/types.ts";
import { type AnalyticProbability, analyticProbability } from "./integral-probability.ts";
import { sobolPoints } from "./sobol-points.ts";

/** The analytic probability beside an independent quasi-random one with its 95 % half-width. */
export interface ProbabilityInside extends AnalyticProbability {
  quasi: number;
  quasiHalfWidth: number;
  seed: number;
}

/** Independent shifts of the Sobol sequence, and points in each. */
const SHIFTS = 16;
const POINTS_PER_SHIFT = 512;

/** The analytic probability, checked by quasi-random sampling. The same seed gives the same answer. */
export function probabilityInside(
  target: CompiledTarget,
  mean: Vec3,
  covariance: Mat3,
  options: { seed?: number } = {},
): ProbabilityInside {
  const seed = requireFinite(options.seed ?? 1, "/seed");
  const analytic = analyticProbability(target, mean, covariance);
  return { ...analytic, ...quasiProbability(target, mean, covariance, seed), seed };
}

/**
 * Share of quasi-random draws inside: SHIFTS independently shifted Sobol sets, whose spread gives the 95 %
 * half-width by Student's t. When every set agrees, the half-width falls back on the rule of three, 3/n.
 */
function quasiProbability(
  target: CompiledTarget,
  mean: Vec3,
  covariance: Mat3,
  seed: number,
): { quasi: number; quasiHalfWidth: number } {
  const columns = doubtColumns(mean, covariance).map(fromScaled);
  const random = seededRandom(seed);
  const shares = Array.from({ length: SHIFTS }, () => {
    const shift = [random.bits(), random.bits(), random.bits()] as const;
    let inside = 0;
    for (const point of sobolPoints(POINTS_PER_SHIFT, shift)) {
      let p = mean;
      columns.forEach((column, k) => {
        p = addScaled3(p, normalQuantileFast(point[k]!), column);
      });
      if (target.contains(p)) inside++;
    }
    return inside / POINTS_PER_SHIFT;
  });
  const quasi = shares.reduce((sum, x) => sum + x, 0) / SHIFTS;
  const variance = shares.reduce((sum, x) => sum + (x - quasi) ** 2, 0) / (SHIFTS - 1);
  const spread = tQuantile(0.975, SHIFTS - 1) * Math.sqrt(variance / SHIFTS);
  return { quasi, quasiHalfWidth: Math.max(spread, 3 / (SHIFTS * POINTS_PER_SHIFT)) };
}
