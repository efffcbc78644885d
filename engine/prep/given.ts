import { fail } from "../errors.ts";

/** The figure, if it is a number above 0; `what` it is ends the sentence "give …". */
export function positive(value: number, pointer: string, what: string): number {
  if (!(value > 0 && Number.isFinite(value))) {
    fail(pointer, `${value} is not a number above 0`, `give ${what}`);
  }
  return value;
}

/** Refuse a figure outside a closed range, its unit beside it where it has one. */
export function inRange(
  value: number,
  [min, max]: readonly [number, number],
  pointer: string,
  unit = "",
  remedy = "check the reading and its unit",
): void {
  if (value >= min && value <= max) return;
  fail(pointer, `${value}${unit && ` ${unit}`} is not in ${min}..${max}`, remedy);
}
