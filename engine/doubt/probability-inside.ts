import { AXES, AXIS_INDICES, PER_AXIS_SCALE, toScaled } from "../axes.ts";
import { fail, requireFinite, under } from "../errors.ts";
import { addScaled, dot, dot3, eigenSymmetric3, rescale3, scaled3 } from "../linalg.ts";
import { planeDistance } from "../targets/body.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import { restrictQuadric } from "../targets/restrict-quadric.ts";
import { NO_DOUBT_VARIANCE, NORMAL_REACH } from "../tolerances.ts";
import type { Mat3, Vec3 } from "../types.ts";
import { type NormalRegion, normalProbability } from "./normal-probability.ts";

/** Beyond this distance from the mean, in standard deviations, nothing of the normal is left to count. */
const REACH = NORMAL_REACH * Math.sqrt(3);

/**
 * Probability that a drink whose point is normal with `mean` and `covariance` (axis units) is inside the
 * target. One flat face: exact; else to within 5e-4 (see `normalProbability`). Errors: EngineError for a
 * non-finite mean, or a covariance that is not finite, symmetric and positive semi-definite.
 */
export function probabilityInside(target: CompiledTarget, mean: Vec3, covariance: Mat3): number {
  const columns = doubtColumns(mean, covariance);
  if (columns.length === 0) return target.contains(mean) ? 1 : 0;
  const region = standardRegion(target, toScaled(mean), columns);
  return region === null ? 0 : normalProbability(region);
}

/** Independent directions of the doubt (axis-scale units, one standard deviation long), largest first. */
export function doubtColumns(mean: Vec3, covariance: Mat3): Vec3[] {
  for (const k of AXIS_INDICES) requireFinite(mean[k], `/mean/${AXES[k].key}`);
  const scaled = rescale3(covariance, PER_AXIS_SCALE);
  const { values, vectors } = under("/covariance", () => eigenSymmetric3(scaled));
  if (values[0] < -1e-9 * Math.max(values[2], 1e-6)) {
    fail(
      "/covariance",
      "the matrix is not positive semi-definite",
      "give variances and covariances of real doubts",
    );
  }
  return ([2, 1, 0] as const)
    .filter((k) => values[k] > NO_DOUBT_VARIANCE)
    .map((k) => scaled3(Math.sqrt(values[k]), vectors[k]));
}

/**
 * The target as a region of standard normal space, without faces out of reach and in as few dimensions as
 * possible; null when the region itself is out of reach. The target's own faces count, not the physical
 * range: a normal tail below zero acid stands for drinks with next to none.
 */
export function standardRegion(
  target: CompiledTarget,
  u: Vec3,
  columns: readonly Vec3[],
): NormalRegion | null {
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
    for (const b of basis) rest = addScaled(rest, -dot(rest, b), b);
    const length = Math.hypot(...rest);
    if (length > 1e-9) basis.push(rest.map((x) => x / length));
  }
  return {
    dimension: basis.length,
    planes: planes.map(({ normal, offset }) => ({ normal: basis.map((b) => dot(b, normal)), offset })),
    quadrics,
  };
}
