import { type AxisIndex, fromScaled, PER_AXIS_SCALE, perAxis, toScaled, unitAxis } from "../axes.ts";
import { addScaled3, mat3, norm3, quadForm, rescale3, scaled3, subtract3 } from "../linalg.ts";
import { nearestEdge } from "../targets/body.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { DoubtShare, Mat3, Vec3 } from "../types.ts";

/** Half of the step, in axis-scale units, over which the slope of the margin is taken. */
const SLOPE_STEP = 1e-5;
/** Closer to the edge than this, axis-scale units, the way to it has no direction left. */
const ON_EDGE = 1e-9;

/**
 * Whose doubt decides whether the drink is inside? The variance of the point along the direction to the
 * nearest edge of the target, split among the independent doubts: nᵀCᵢn / nᵀCn, exact where the edge is flat
 * (the tests hold it against sampled Sobol indices). In the order of the doubts; they sum to 1, or are all 0
 * where there is no doubt along that direction.
 */
export function linearShares(doubts: readonly DoubtShare[], target: CompiledTarget, mean: Vec3): number[] {
  const direction = directionToEdge(target, mean);
  const along = doubts.map((doubt) =>
    Math.max(quadForm(rescale3(ownCovariance(doubt), PER_AXIS_SCALE), direction), 0),
  );
  const whole = along.reduce((sum, x) => sum + x, 0);
  return along.map((x) => (whole > 0 ? x / whole : 0));
}

/** A doubt's own covariance (axis units); without one its axes are taken as unrelated. */
export function ownCovariance({ covariance, variance }: DoubtShare): Mat3 {
  return covariance ?? mat3((i, j) => (i === j ? variance[i] : 0));
}

/** Unit vector (axis-scale) from the point to the nearest edge of the target, from inside or outside. */
export function directionToEdge(target: CompiledTarget, mean: Vec3): Vec3 {
  const u = toScaled(mean);
  const edge = target.contains(mean)
    ? nearestEdge({ planes: target.scaled.ownPlanes, ellipsoids: target.scaled.ellipsoids }, u).point
    : toScaled(target.nearest(mean));
  const away = subtract3(edge, u);
  if (norm3(away) > ON_EDGE) return scaled3(1 / norm3(away), away);
  // On the edge itself: the margin's own slope.
  const margin = (k: AxisIndex, step: number) => target.margin(fromScaled(addScaled3(u, step, unitAxis(k))));
  const slope = perAxis((k) => margin(k, SLOPE_STEP) - margin(k, -SLOPE_STEP));
  return scaled3(1 / (norm3(slope) || 1), slope);
}
