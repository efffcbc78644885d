import { AXIS_INDICES, perAxis } from "../axes.ts";
import { fail } from "../errors.ts";
import { invert3, mat3, rescale3 } from "../linalg.ts";
import { compileTarget } from "../targets/compile-target.ts";
import type { Mat3, TargetSpec, Vec3 } from "../types.ts";
import type { TablePrior } from "./types.ts";

/** The ellipsoid of a family's region, which a band of sugar to acid may cut; null for other regions. */
function classicsOf(target: TargetSpec) {
  const parts = target.kind === "intersection" ? target.parts : [target];
  const [classics, ...others] = parts.filter((part) => part.kind !== "ratio");
  return classics?.kind === "ellipsoid" && others.length === 0 ? classics : null;
}

/** Half the width of a range somebody drew, in standard deviations of the drinks meant to be in it. */
const RANGE_REACH = 1.6;

/**
 * What the region a bench works towards says of a table nobody has asked yet. A family's region has the mean
 * and covariance of its classics, whatever band of sugar to acid cuts it; of any other region the smallest box around it is taken, its edges to hold
 * most drinks of the kind.
 *
 * @throws EngineError for a malformed or empty target, by pointer below `pointer`
 */
export function priorOfTarget(target: TargetSpec, pointer = ""): TablePrior {
  const compiled = compileTarget(target, pointer);
  const classics = classicsOf(target);
  if (classics !== null) {
    const { mean, covariance } = classics;
    const spread = perAxis((k) => Math.sqrt(covariance[k][k]));
    const perSpread = perAxis((k) => 1 / spread[k]);
    return { centre: mean, spread, correlation: rescale3(covariance, perSpread) };
  }
  const [low, high] = compiled.boundingBox;
  const half: Vec3 = perAxis((k) => (high[k] - low[k]) / 2);
  if (!AXIS_INDICES.every((k) => half[k] > 0)) {
    fail(pointer, "the target has no width on some axis", "choose a family or a wider range");
  }
  return {
    centre: perAxis((k) => low[k] + half[k]),
    spread: perAxis((k) => half[k] / RANGE_REACH),
    correlation: mat3((i, j) => (i === j ? 1 : 0)),
  };
}

/** The correlations inverted, and the logarithm of their inverse's determinant. */
export function precisionOf({ correlation: r }: TablePrior): { precision: Mat3; logPrecision: number } {
  const precision = invert3(r);
  const determinant = 1 + 2 * r[0][1] * r[0][2] * r[1][2] - r[0][1] ** 2 - r[0][2] ** 2 - r[1][2] ** 2;
  if (precision === null || !(determinant > 0)) {
    return fail("/prior/correlation", "the classics' correlations leave no room", "use the family's region");
  }
  return { precision, logPrecision: -Math.log(determinant) };
}
