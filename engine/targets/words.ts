import { AXES, AXIS_INDICES, type AxisIndex } from "../axes.ts";
import type { Vec3 } from "../types.ts";

/** A size with `digits` decimals, or with its first significant digit when that would read as zero. */
export function formatGap(size: number, digits: number): string {
  const fixed = size.toFixed(digits);
  if (Number(fixed) !== 0 || size === 0) return fixed;
  return size < 1e-6 ? "a trace" : String(Number(size.toPrecision(1)).toFixed(7)).replace(/0+$/, "");
}

/** A limit as a person would write it: at most four significant digits, no trailing zeros. */
export function formatNumber(x: number): string {
  return String(Number(x.toPrecision(4)) + 0).replace("-", "−");
}

/** A gap on one axis, in its unit: "0.31", "3.4 %". */
export function formatAxisGap(axis: AxisIndex, size: number): string {
  return `${formatGap(size, AXES[axis].decimals)}${axis === 2 ? " %" : ""}`;
}

const SIDES = { floor: "at least", ceiling: "at most" };

/** "sugar at least 6 g/100 mL". */
export function axisLimitLabel(axis: AxisIndex, side: "floor" | "ceiling", limit: number): string {
  return `${AXES[axis].name} ${SIDES[side]} ${formatNumber(limit)} ${AXES[axis].unit}`;
}

/** "sugar:acid ratio at most 10". */
export function ratioLimitLabel(side: "floor" | "ceiling", limit: number): string {
  return `sugar:acid ratio ${SIDES[side]} ${formatNumber(limit)}`;
}

/** "sugar − 8·acid ≤ 1". */
export function planeLabel(normal: Vec3, offset: number): string {
  let text = "";
  for (const axis of AXIS_INDICES) {
    const weight = normal[axis];
    if (weight === 0) continue;
    const size = Math.abs(weight);
    const sign = weight < 0 ? (text === "" ? "−" : " − ") : text === "" ? "" : " + ";
    text += `${sign}${size === 1 ? "" : `${formatNumber(size)}·`}${AXES[axis].name}`;
  }
  return `${text} ≤ ${formatNumber(offset)}`;
}
