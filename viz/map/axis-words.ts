import { AXES } from "../../engine/axes.ts";
import type { Axis } from "./model.ts";

/** Plain names of the axes, in axis order. */
export const AXIS_NAME = ["sugar", "acid", "alcohol"] as const;

/** Axis titles in words, with their units. */
export const AXIS_TITLE = [
  "sugar, g per 100 mL",
  "acid (as citric), g per 100 mL",
  "alcohol, % by volume",
] as const;

const DECIMALS = [1, 2, 1] as const;

/** A value as the map prints it, without its unit: "8.4", "0.52", "17.2". */
export function formatAxis(axis: Axis, value: number): string {
  // By way of a number, because a small negative would print as −0.0.
  return Number(value.toFixed(DECIMALS[axis])).toFixed(DECIMALS[axis]);
}

/** A value with its unit, and one standard uncertainty where it is known (> 0). */
export function formatWithUnit(axis: Axis, value: number, sd: number | null): string {
  const doubt = sd !== null && sd > 0 ? ` ± ${formatAxis(axis, sd)}` : "";
  return `${formatAxis(axis, value)}${doubt} ${AXES[axis].unit}`;
}
