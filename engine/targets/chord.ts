import { AXIS_SCALE, type AxisIndex, toScaled } from "../axes.ts";
import { addScaled3, dot3, matVec3, subtract3 } from "../linalg.ts";
import type { Vec3 } from "../types.ts";
import type { CompiledTarget } from "./compile-target.ts";

/** A line that grazes a face by less than this (axis-scale units) still meets it: the nearest point lies on the edge. */
const GRAZING = 1e-7;

/**
 * The values of one axis (its own unit) for which a point stays in the target while its other two axes are
 * held: where a weight on that axis's arm hangs in range. Null when the line misses the target.
 *
 * Through the target's nearest point to an outside drink, the drink's own value lies beyond an end of the
 * chord by exactly the gap on that axis, so a gauge drawn from it agrees with the verdict.
 */
export function chordThrough(target: CompiledTarget, point: Vec3, axis: 0 | 1 | 2): [number, number] | null {
  const u = toScaled(point);
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  for (const { normal, offset } of target.scaled.planes) {
    const slope = normal[axis];
    const room = offset - dot3(normal, u);
    if (slope > 0) high = Math.min(high, room / slope);
    else if (slope < 0) low = Math.max(low, room / slope);
    else if (room < -GRAZING) return null;
  }
  for (const { mean, gauge } of target.scaled.ellipsoids) {
    // (d + t·e)ᵀ G (d + t·e) ≤ 1 along the axis's unit vector e.
    const d = subtract3(u, mean);
    const slope = matVec3(gauge, d);
    const a = gauge[axis][axis];
    const b = slope[axis];
    const c = dot3(d, slope) - 1;
    const discriminant = b * b - a * c;
    if (discriminant < -GRAZING * a) return null;
    const half = Math.sqrt(Math.max(discriminant, 0)) / a;
    low = Math.max(low, -b / a - half);
    high = Math.min(high, -b / a + half);
  }
  if (low > high + GRAZING) return null;
  const at = (t: number) => point[axis] + t * AXIS_SCALE[axis];
  return [at(Math.min(low, high)), at(Math.max(low, high))];
}

/** How far inside its nearest edge, as a share of the way to the middle, the target is as wide as a gauge shows it. */
const WELL_INSIDE = 0.4;
/** Closer than this, in axis-scale units, a value is at the edge. */
const AT_EDGE = 1e-6;

/**
 * The stretch of each axis that a gauge shows as in range, made to agree with the verdict. Inside the target it
 * is what that axis alone may do. Outside, `nearest` being the point of the target nearest to `point`, it ends
 * at `nearest` on the axes that are off, and holds the value on those that are not. Null where the axis is open
 * to no value.
 */
export function gaugeBands(
  target: CompiledTarget,
  point: Vec3,
  nearest: Vec3,
): [[number, number] | null, [number, number] | null, [number, number] | null] {
  const gap = toScaled(subtract3(point, nearest));
  const inside = gap.every((g) => Math.abs(g) < AT_EDGE);
  const deeper = addScaled3(nearest, WELL_INSIDE, subtract3(target.centre, nearest));
  const band = (k: AxisIndex): [number, number] | null => {
    if (inside) return chordThrough(target, point, k);
    const wide = chordThrough(target, deeper, k);
    if (!wide) return null;
    if (gap[k] < -AT_EDGE) return [nearest[k], Math.max(nearest[k], wide[1])];
    if (gap[k] > AT_EDGE) return [Math.min(nearest[k], wide[0]), nearest[k]];
    return [Math.min(wide[0], point[k]), Math.max(wide[1], point[k])];
  };
  return [band(0), band(1), band(2)];
}
