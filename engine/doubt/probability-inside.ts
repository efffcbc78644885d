import { AXES, AXIS_SCALE } from "../axes.ts";
import { fail, requireFinite } from "../errors.ts";
import { addScaled3, dot3, eigenSymmetric3, rescale3 } from "../linalg.ts";
import { normalQuantileFast, tQuantile } from "../stats.ts";
import { planeDistance } from "../targets/body.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import { restrictQuadric } from "../targets/restrict-quadric.ts";
import { NO_DOUBT_VARIANCE, NORMAL_REACH } from "../tolerances.ts";
import type { Mat3, Vec3 } from "../types.ts";
import { type NormalRegion, normalProbability } from "./normal-region.ts";
import { seededRandom } from "../seeded-random.ts";
import { sobolPoints } from "../sobol-points.ts";

/** A probability with how it was found and an estimate of its absolute error. */
export interface AnalyticProbability {
  analytic: number;
  analyticError: number;
  method: string;
}

/** The analytic probability beside an independent quasi-random one with its 95 % half-width. */
export interface ProbabilityInside extends AnalyticProbability {
  quasi: number;
  quasiHalfWidth: number;
  seed: number;
}

/** Independent shifts of the Sobol sequence, and points in each. */
const SHIFTS = 16;
const POINTS_PER_SHIFT = 512;

/** Beyond this distance from the mean, in standard deviations, nothing of the normal is left to count. */
const REACH = NORMAL_REACH * Math.sqrt(3);

/**
 * Probability that a drink whose point is normal with `mean` and `covariance` (axis units) is inside the
 * target. One flat face: exact. Anything else: the normal integrated over the region by nested quadrature,
 * in as few dimensions as the faces span. Errors: EngineError for a non-finite mean, or a covariance that is
 * not finite, symmetric and positive semi-definite.
 */
export function analyticProbability(
  target: CompiledTarget,
  mean: Vec3,
  covariance: Mat3,
): AnalyticProbability {
  const columns = doubtColumns(mean, covariance);
  const u = scale(mean);
  if (columns.length === 0) {
    return { analytic: target.contains(mean) ? 1 : 0, analyticError: 0, method: "the point is certain" };
  }
  const region = standardRegion(target, u, columns);
  if (region === null) return { analytic: 0, analyticError: 1e-16, method: "out of reach of the doubt" };
  if (region.planes.length + region.quadrics.length === 0) {
    return { analytic: 1, analyticError: 1e-16, method: "no edge within reach of the doubt" };
  }
  if (region.dimension === 1) {
    const { value } = normalProbability(region);
    return { analytic: value, analyticError: 1e-15, method: "exact normal probability along one direction" };
  }
  const { value, error } = normalProbability(region);
  return {
    analytic: value,
    analyticError: error,
    method: `normal integrated over the region, nested quadrature in ${region.dimension} dimensions`,
  };
}

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
  const columns = doubtColumns(mean, covariance).map(
    (c): Vec3 => [c[0] * AXIS_SCALE[0], c[1] * AXIS_SCALE[1], c[2] * AXIS_SCALE[2]],
  );
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

/** Independent directions of the doubt (axis-scale units, one standard deviation long), largest first. */
export function doubtColumns(mean: Vec3, covariance: Mat3): Vec3[] {
  mean.forEach((x, k) => {
    requireFinite(x, `/mean/${AXES[k]!.key}`);
  });
  covariance.forEach((row, i) => {
    row.forEach((x, j) => {
      requireFinite(x, `/covariance/${i}/${j}`);
    });
  });
  const { values, vectors } = eigenSymmetric3(
    rescale3(covariance, [1 / AXIS_SCALE[0], 1 / AXIS_SCALE[1], 1 / AXIS_SCALE[2]]),
  );
  if (values[0] < -1e-9 * Math.max(values[2], 1e-6)) {
    fail(
      "/covariance",
      "the matrix is not positive semi-definite",
      "give variances and covariances of real doubts",
    );
  }
  return ([2, 1, 0] as const)
    .filter((k) => values[k] > NO_DOUBT_VARIANCE)
    .map((k): Vec3 => {
      const sd = Math.sqrt(values[k]);
      return [sd * vectors[k][0], sd * vectors[k][1], sd * vectors[k][2]];
    });
}

function scale(p: Vec3): Vec3 {
  return [p[0] / AXIS_SCALE[0], p[1] / AXIS_SCALE[1], p[2] / AXIS_SCALE[2]];
}

/**
 * The target as a region of standard normal space, without faces out of reach and in as few dimensions as
 * possible; null when the region itself is out of reach. The target's own faces count, not the physical
 * range: a normal tail below zero acid stands for drinks with next to none.
 */
function standardRegion(target: CompiledTarget, u: Vec3, columns: readonly Vec3[]): NormalRegion | null {
  const planes: { normal: number[]; offset: number }[] = [];
  for (const plane of target.scaled.ownPlanes) {
    const slope = columns.map((c) => dot3(plane.normal, c));
    const size = Math.hypot(...slope);
    const offset = -planeDistance(plane, u) / size;
    if (!(size > 0) || Math.abs(offset) > REACH) {
      if (planeDistance(plane, u) > 0) return null;
    } else planes.push({ normal: slope.map((x) => x / size), offset });
  }
  const quadrics: NormalRegion["quadrics"][number][] = [];
  for (const e of target.scaled.ellipsoids) {
    const part = restrictQuadric(e, u, columns);
    // Null: in fewer than three dimensions of doubt the ellipsoid may be missed altogether.
    if (part === null) return null;
    const distance = Math.hypot(...part.mean);
    const trace = part.gauge.reduce((sum, row, i) => sum + row[i]!, 0);
    // The largest gauge over everything within reach is at most √trace·(distance + reach).
    if (Math.sqrt(trace) * (distance + REACH) <= 1) continue;
    quadrics.push(part);
  }
  if (quadrics.length > 0) return { dimension: columns.length, planes, quadrics };
  // Flat faces only: turn the axes so that the faces act in the first few, and forget the rest.
  const basis: number[][] = [];
  for (const { normal } of planes) {
    let rest = normal;
    for (const b of basis) {
      const c = rest.reduce((sum, x, i) => sum + x * b[i]!, 0);
      rest = rest.map((x, i) => x - c * b[i]!);
    }
    const length = Math.hypot(...rest);
    if (length > 1e-9) basis.push(rest.map((x) => x / length));
  }
  return {
    dimension: basis.length,
    planes: planes.map(({ normal, offset }) => {
      const turned = basis.map((b) => b.reduce((sum, x, i) => sum + x * normal[i]!, 0));
      return { normal: turned, offset };
    }),
    quadrics,
  };
}
