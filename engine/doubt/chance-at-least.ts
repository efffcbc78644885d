import { AXIS_INDICES, PER_AXIS_SCALE, toScaled } from "../axes.ts";
import { dot3, matVec3, quadForm, rescale3, subtract3 } from "../linalg.ts";
import { chiSquareCdf, normalCdf } from "../stats.ts";
import { planeDistance } from "../targets/body.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { Mat3, Vec3 } from "../types.ts";
import { probabilityInside } from "./probability-inside.ts";

/**
 * Whether `probabilityInside(target, mean, covariance)` is at least `chance` (0–1), cheaper where bounds from
 * single faces decide it. Errors: as `probabilityInside`.
 */
export function chanceAtLeast(target: CompiledTarget, mean: Vec3, covariance: Mat3, chance: number): boolean {
  const [least, most] = boundsByFace(target, mean, covariance);
  if (most < chance) return false;
  return least >= chance || probabilityInside(target, mean, covariance) >= chance;
}

/**
 * Bounds on the chance of being inside. Above: the chance of being on the right side of the worst single
 * face, an ellipsoid's being its tangent plane towards the mean. Below: one less the chances of being out
 * by each face (Boole), an ellipsoid's from the largest ball of standard draws that stays in it.
 */
function boundsByFace(target: CompiledTarget, mean: Vec3, covariance: Mat3): [number, number] {
  const u = toScaled(mean);
  const doubt = rescale3(covariance, PER_AXIS_SCALE);
  let out = 0;
  let most = 1;
  /** Chance of normal·x ≤ offset, given how much of it is left at the mean. */
  const below = (normal: Vec3, left: number): number => {
    const size = Math.sqrt(quadForm(doubt, normal));
    return size > 0 ? normalCdf(left / size) : left >= 0 ? 1 : 0;
  };
  for (const plane of target.scaled.ownPlanes) {
    const p = below(plane.normal, -planeDistance(plane, u));
    out += 1 - p;
    most = Math.min(most, p);
  }
  for (const e of target.scaled.ellipsoids) {
    const d = subtract3(u, e.mean);
    const slope = matVec3(e.gauge, d);
    const gauge = Math.sqrt(Math.max(dot3(d, slope), 0));
    most = Math.min(most, below(slope, gauge - gauge * gauge));
    const stretch = AXIS_INDICES.reduce<number>((sum, k) => sum + dot3(e.gauge[k], doubt[k]), 0);
    out += gauge < 1 && stretch > 0 ? 1 - chiSquareCdf((1 - gauge) ** 2 / stretch, 3) : gauge > 1 ? 1 : 0;
  }
  return [1 - out, most];
}
