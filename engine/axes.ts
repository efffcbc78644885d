import type { Point, Vec3 } from "./types.ts";

/**
 * The three axes of balance space, in the one order used everywhere.
 *
 * `scale` is the step that counts as "one" when distances mix axes: about one standard
 * deviation of the reference sours on that axis, rounded. It is a choice, not a measurement;
 * distances in axis-scale units are for ranking and words, never for membership tests.
 */
export const AXES = [
  { key: "sugarGPer100Ml", name: "sugar", unit: "g/100 mL", scale: 2 },
  { key: "acidGPer100Ml", name: "acid", unit: "g/100 mL", scale: 0.2 },
  { key: "abvPercent", name: "ABV", unit: "% vol", scale: 3 },
] as const;

/** The axes' scales as a vector: sugar 2 g/100 mL, acid 0.2 g/100 mL, ABV 3 % vol. */
export const AXIS_SCALE: Vec3 = [AXES[0].scale, AXES[1].scale, AXES[2].scale];

/** Point → [sugar, acid, ABV]. */
export function toVec(p: Point): Vec3 {
  return [p.sugarGPer100Ml, p.acidGPer100Ml, p.abvPercent];
}

/** [sugar, acid, ABV] → Point. */
export function toPoint(v: Vec3): Point {
  return { sugarGPer100Ml: v[0], acidGPer100Ml: v[1], abvPercent: v[2] };
}

/** Euclidean distance in axis-scale units. */
export function scaledDistance(a: Vec3, b: Vec3): number {
  return Math.hypot(
    (a[0] - b[0]) / AXIS_SCALE[0],
    (a[1] - b[1]) / AXIS_SCALE[1],
    (a[2] - b[2]) / AXIS_SCALE[2],
  );
}
