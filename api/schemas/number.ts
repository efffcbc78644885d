import { z } from "zod";

/** A number of an answer with its unit or meaning; every one has either, in its name or here. */
export function number(description: string) {
  return z.number().meta({ description });
}

/** The same, counted. */
export function count(description: string) {
  return z.int().meta({ description });
}
