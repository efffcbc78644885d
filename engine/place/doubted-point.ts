import { perAxis, toPoint } from "../axes.ts";
import type { Mat3, Pantry, Placement, Point, Spec } from "../types.ts";
import { pointCovariance } from "./covariance.ts";
import { usedRatioSd } from "./dilution-report.ts";
import { type PrepareOptions, prepareSpec } from "./prepare-spec.ts";

/** A spec's point and its doubts: the part of a placement that chances rest on. */
export type DoubtedPoint = Pick<Placement, "point" | "sd" | "covariance" | "doubts">;

/**
 * Place a spec as far as chances need it. The same numbers as `place`, without the dilution model that is
 * only shown beside the one used, which takes most of its time.
 *
 * @throws EngineError naming each bad field and its remedy
 */
export function doubtedPoint(spec: Spec, pantry: Pantry, options: PrepareOptions = {}): DoubtedPoint {
  const prepared = prepareSpec(spec, pantry, options);
  const { model, volumesMl } = prepared;
  const ratioSd = usedRatioSd(model, volumesMl, spec.dilution);
  const { covariance, doubts } = pointCovariance(prepared, ratioSd);
  return {
    point: toPoint(model.finish(volumesMl).point),
    sd: sdOf(covariance),
    covariance,
    doubts: doubts(),
  };
}

/** Standard uncertainty on each axis. */
export function sdOf(covariance: Mat3): Point {
  return toPoint(perAxis((k) => Math.sqrt(covariance[k][k])));
}
