import { toScaled } from "../../../engine/axes.ts";
import { doubtColumns, standardRegion } from "../../../engine/doubt/probability-inside.ts";
import type { CompiledTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, Vec3 } from "../../../engine/types.ts";
import { normalIntegral } from "./normal-region.ts";

/** A probability with how it was found and an estimate of its absolute error. */
export interface AnalyticProbability {
  analytic: number;
  analyticError: number;
  method: string;
}

/** What `probabilityInside` stands for, by nested adaptive quadrature: slow, and good to 1e-6. */
export function analyticProbability(
  target: CompiledTarget,
  mean: Vec3,
  covariance: Mat3,
): AnalyticProbability {
  const columns = doubtColumns(mean, covariance);
  const u = toScaled(mean);
  if (columns.length === 0) {
    return { analytic: target.contains(mean) ? 1 : 0, analyticError: 0, method: "the point is certain" };
  }
  const region = standardRegion(target, u, columns);
  if (region === null) return { analytic: 0, analyticError: 1e-16, method: "out of reach of the doubt" };
  if (region.planes.length + region.quadrics.length === 0) {
    return { analytic: 1, analyticError: 1e-16, method: "no edge within reach of the doubt" };
  }
  const { value, error } = normalIntegral(region);
  return region.dimension === 1
    ? { analytic: value, analyticError: 1e-15, method: "exact normal probability along one direction" }
    : {
        analytic: value,
        analyticError: error,
        method: `normal integrated over the region, nested quadrature in ${region.dimension} dimensions`,
      };
}
