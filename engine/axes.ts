import type { AxisName, Point, Vec3 } from "./types.ts";

/** Position of an axis: 0 sugar, 1 acid, 2 ABV. */
export type AxisIndex = 0 | 1 | 2;

/**
 * The three axes of balance space, in the one order used everywhere.
 *
 * `scale` is the step that counts as "one" when distances mix axes: about one standard
 * deviation of the reference sours on that axis, rounded. It is a choice, not a measurement;
 * distances in axis-scale units are for ranking and words, never for membership tests.
 * `decimals` is what a figure on the axis is shown with: a tenth of a step or finer.
 */
export const AXES = [
  { id: "sugar", key: "sugarGPer100Ml", name: "sugar", unit: "g/100 mL", scale: 2, decimals: 1 },
  { id: "acid", key: "acidGPer100Ml", name: "acid", unit: "g/100 mL", scale: 0.2, decimals: 2 },
  { id: "abv", key: "abvPercent", name: "ABV", unit: "% vol", scale: 3, decimals: 1 },
] as const satisfies readonly { id: AxisName; key: keyof Point; [more: string]: unknown }[];

/** The axes in order, for loops. */
export const AXIS_INDICES = [0, 1, 2] as const satisfies readonly AxisIndex[];

/** Position of an axis by its name. */
export const AXIS_INDEX: Readonly<Record<AxisName, AxisIndex>> = { sugar: 0, acid: 1, abv: 2 };

/** The axes' scales as a vector: sugar 2 g/100 mL, acid 0.2 g/100 mL, ABV 3 % vol. */
export const AXIS_SCALE: Vec3 = [AXES[0].scale, AXES[1].scale, AXES[2].scale];

/** One over the scales: what a covariance is rescaled by to be seen in axis-scale units. */
export const PER_AXIS_SCALE: Vec3 = [1 / AXIS_SCALE[0], 1 / AXIS_SCALE[1], 1 / AXIS_SCALE[2]];

/** A vector from its value on each axis. */
export function perAxis(f: (k: AxisIndex) => number): Vec3 {
  return [f(0), f(1), f(2)];
}

/** Three numbers as a vector. Throws RangeError for any other count: a caller's bug. */
export function asVec3(numbers: readonly number[]): Vec3 {
  const [sugar, acid, abv, more] = numbers;
  if (sugar === undefined || acid === undefined || abv === undefined || more !== undefined) {
    throw new RangeError(`three numbers make a vector, not ${numbers.length}`);
  }
  return [sugar, acid, abv];
}

/** `length` along one axis, nothing along the others. */
export function unitAxis(axis: AxisIndex, length = 1): Vec3 {
  return perAxis((k) => (k === axis ? length : 0));
}

/** The only axis that a direction runs along; null when it leans across several, or is none. */
export function loneAxis(direction: Vec3): AxisIndex | null {
  const [axis, another] = AXIS_INDICES.filter((k) => direction[k] !== 0);
  return another === undefined ? (axis ?? null) : null;
}

/** Axis units → axis-scale units. */
export function toScaled(p: Vec3): Vec3 {
  return [p[0] / AXIS_SCALE[0], p[1] / AXIS_SCALE[1], p[2] / AXIS_SCALE[2]];
}

/** Axis-scale units → axis units. */
export function fromScaled(u: Vec3): Vec3 {
  return [u[0] * AXIS_SCALE[0], u[1] * AXIS_SCALE[1], u[2] * AXIS_SCALE[2]];
}

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

/** A value with the axis's usual decimals, without its unit. */
export function showOnAxis(axis: AxisIndex, value: number): string {
  return value.toFixed(AXES[axis].decimals);
}
