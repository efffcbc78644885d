import { AXIS_SCALE } from "../axes.ts";
import { addScaled3, dot3 } from "../linalg.ts";
import { normalCdf, normalQuantileFast } from "../stats.ts";
import { ellipsoidExcess, planeDistance } from "../targets/body.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { Mat3, Vec3 } from "../types.ts";
import { analyticProbability, doubtColumns } from "./probability-inside.ts";
import { sobolPoints } from "./sobol-points.ts";

/** Quasi-random draws that decide the clear cases. */
const DRAWS = 1024;
/**
 * How far from the asked chance the share of draws must be to decide by itself. The share of 1024 Sobol
 * points has been within 0.015 of the integral on every target tried (see the tests); this is twice that.
 */
const CLEAR = 0.03;

/** The draws as standard normal vectors, made once. */
let draws: readonly Vec3[] | null = null;

function normalDraws(): readonly Vec3[] {
  draws ??= sobolPoints(DRAWS, [0x2545f491, 0x9e3779b9, 0x85ebca6b]).map(
    (p): Vec3 => [normalQuantileFast(p[0]), normalQuantileFast(p[1]), normalQuantileFast(p[2])],
  );
  return draws;
}

/**
 * Whether `analyticProbability(target, mean, covariance)` is at least `chance` (0–1), much cheaper where the
 * answer is clear: first a bound by single faces, then a fixed set of quasi-random draws, and the integral
 * only when those leave it open. Deterministic. Errors: as `analyticProbability`.
 */
export function chanceAtLeast(target: CompiledTarget, mean: Vec3, covariance: Mat3, chance: number): boolean {
  const columns = doubtColumns(mean, covariance);
  if (mostByOneFace(target, mean, columns) < chance) return false;
  const offsets = columns.map(
    (c): Vec3 => [c[0] * AXIS_SCALE[0], c[1] * AXIS_SCALE[1], c[2] * AXIS_SCALE[2]],
  );
  let inside = 0;
  for (const z of normalDraws()) {
    let p = mean;
    for (let k = 0; k < offsets.length; k++) p = addScaled3(p, z[k]!, offsets[k]!);
    if (target.contains(p)) inside++;
  }
  const share = inside / DRAWS;
  if (Math.abs(share - chance) > CLEAR) return share > chance;
  return analyticProbability(target, mean, covariance).analytic >= chance;
}

/** The chance of being on the right side of the worst single flat face: never below the chance of being inside. */
function mostByOneFace(target: CompiledTarget, mean: Vec3, columns: readonly Vec3[]): number {
  const u: Vec3 = [mean[0] / AXIS_SCALE[0], mean[1] / AXIS_SCALE[1], mean[2] / AXIS_SCALE[2]];
  let most = 1;
  for (const plane of target.scaled.ownPlanes) {
    const size = Math.hypot(...columns.map((c) => dot3(plane.normal, c)));
    const distance = planeDistance(plane, u);
    if (size > 0) most = Math.min(most, normalCdf(-distance / size));
    else if (distance > 0) return 0;
  }
  // A mean outside an ellipsoid is beyond one of its tangent planes, so the chance is below a half.
  if (columns.length > 0 && target.scaled.ellipsoids.some((e) => ellipsoidExcess(e, u) > 0)) {
    most = Math.min(most, 0.5);
  }
  return most;
}
