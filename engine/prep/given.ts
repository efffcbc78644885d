import { fail } from "../errors.ts";

/** The figure, if it is a number above 0; `what` it is ends the sentence "give …". */
export function positive(value: number, pointer: string, what: string): number {
  if (!(value > 0 && Number.isFinite(value))) {
    fail(pointer, `${value} is not a number above 0`, `give ${what}`);
  }
  return value;
}
