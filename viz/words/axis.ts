import { AXES, AXIS_INDICES, type AxisIndex } from "../../engine/axes.ts";

/** Plain names of the axes, in axis order. */
export const AXIS_NAME = ["sugar", "acid", "alcohol"] as const;

/** The same as a heading. */
export const AXIS_TITLE = ["Sugar", "Acid", "Alcohol"] as const;

/** Units as they stand beside a number. */
export const AXIS_UNIT = ["g/100 mL", "g/100 mL", "% vol"] as const;

/** What an axis of the map is called, unit included. */
export const AXIS_CAPTION = [
  "sugar, g per 100 mL",
  "acid as citric, g per 100 mL",
  "alcohol, % vol",
] as const;

/** Ids of the axes in the page's markup. */
export const AXIS_ID = ["sugar", "acid", "abv"] as const;

const DECIMALS = [AXES[0].decimals, AXES[1].decimals, AXES[2].decimals] as const;

/** An axis by its index in the engine's order. */
export type Axis = AxisIndex;

/** The three axes. */
export const AXES3 = AXIS_INDICES;

/** A number of an axis, with the decimals that axis deserves. */
export function axisNumber(axis: Axis, value: number): string {
  // By way of a number, because a small negative would print as −0.0.
  return Number(value.toFixed(DECIMALS[axis])).toFixed(DECIMALS[axis]);
}

/** A change along an axis: "+1.2", "−0.03", or "0" when it rounds to nothing. */
export function axisChange(axis: Axis, change: number): string {
  const size = axisNumber(axis, Math.abs(change));
  return Number(size) === 0 ? "0" : `${change < 0 ? "−" : "+"}${size}`;
}

/** What lies between two values as they are shown, so that the three figures agree. */
export function shownChange(axis: Axis, from: number, to: number): string {
  return axisChange(axis, Number(axisNumber(axis, to)) - Number(axisNumber(axis, from)));
}

/** A gap in an axis's unit: one too small for the usual decimals gets more, so it never reads 0. */
export function gapNumber(axis: Axis, gap: number): string {
  const size = Math.abs(gap);
  const usual = size.toFixed(DECIMALS[axis]);
  return Number(usual) === 0 && size > 0 ? size.toPrecision(1) : usual;
}

/** "8.4 g/100 mL", with one standard uncertainty where it is known (> 0). */
export function withUnit(axis: Axis, value: number, sd: number | null = null): string {
  const doubt = sd !== null && sd > 0 ? ` ± ${axisNumber(axis, sd)}` : "";
  return `${axisNumber(axis, value)}${doubt} ${AXIS_UNIT[axis]}`;
}

/** "8.4 sugar · 0.52 acid · 17.2 % vol". */
export function pointWords(point: readonly [number, number, number]): string {
  return `${axisNumber(0, point[0])} sugar · ${axisNumber(1, point[1])} acid · ${axisNumber(2, point[2])} % vol`;
}
