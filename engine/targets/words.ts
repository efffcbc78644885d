import { AXES, type AxisIndex } from "../axes.ts";
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
