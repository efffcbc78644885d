import { toPoint } from "../axes.ts";
import type { Mat3, Pantry, Placement, Point, Spec, UnitSettings } from "../types.ts";
import { pointCovariance } from "./covariance.ts";
import { usedRatioSd } from "./dilution-report.ts";
import { prepareSpec } from "./prepare-spec.ts";

/** A spec's point and its doubts: the part of a placement that chances rest on. */
export type DoubtedPoint = Pick<Placement, "point" | "sd" | "covariance" | "doubts">;

/**
 * Place a spec as far as chances need it. The same numbers as `place`, without the dilution model that is
 * only shown beside the one used, which takes most of its time.
 *
 * @throws EngineError naming each bad field and its remedy
 */
export function doubtedPoint(
  spec: Spec,
  pantry: Pantry,
  options: { unitSettings?: UnitSettings } = {},
): DoubtedPoint {
  const { model, volumesMl, volumeSdsMl, volumeDoubts } = prepareSpec(spec, pantry, options);
  const ratioSd = usedRatioSd(model, volumesMl, spec.dilution);
  const { covariance, doubts } = pointCovariance(model, volumesMl, volumeSdsMl, ratioSd, volumeDoubts);
  return {
    point: toPoint(model.finish(volumesMl).point),
    sd: sdOf(covariance),
    covariance,
    doubts: doubts(),
  };
}

/** Standard uncertainty on each axis. */
export function sdOf(covariance: Mat3): Point {
  return toPoint([Math.sqrt(covariance[0][0]), Math.sqrt(covariance[1][1]), Math.sqrt(covariance[2][2])]);
}
