import { z } from "@hono/zod-openapi";
import { LONGEST } from "../../engine/limits.ts";
import { nearestKey } from "../nearest.ts";

/** Longest stretch of the caller's own text that an error may repeat. */
const ECHO_LENGTH = 60;

export function echo(text: string): string {
  return JSON.stringify(text.length > ECHO_LENGTH ? `${text.slice(0, ECHO_LENGTH)}…` : text);
}

/**
 * An object for input: a key it does not know is an error that names the nearest one it does.
 * Every message in the schemas is written "what is wrong; what to do": see `toEntry` in problems.ts.
 */
export function strictObject<T extends z.core.$ZodLooseShape>(shape: T) {
  return z.strictObject(shape, {
    error: (issue) => {
      if (issue.code !== "unrecognized_keys") return undefined;
      const keys = issue.keys as string[];
      const names = Object.keys(shape);
      const fixes = keys.map((key) => {
        const nearest = nearestKey(key, names);
        return nearest ? `write ${nearest} for ${echo(key)}` : `remove ${echo(key)}`;
      });
      return `unknown field ${keys.map(echo).join(", ")}; ${fixes.join(", ")}. Known here: ${names.join(", ")}`;
    },
  });
}

/** Free text a person writes, bounded. */
export function words(maxLength: number) {
  return z.string().max(maxLength);
}

/** Ids of pantry items, drinks, rounds: bounded, and safe to echo. */
export const IdSchema = z
  .string()
  .min(1)
  .max(LONGEST.id)
  .regex(
    /^[a-z0-9][a-z0-9:._-]*$/i,
    "an id has letters, digits and : . _ - only; take one from GET /v1/pantry or make your own in that form",
  );
