import { MOST } from "../../../engine/limits.ts";
import { type Shape, tryRead } from "../../../engine/shapes/check.ts";
import type { Interval } from "../../../engine/types.ts";

const NUMBER = String.raw`-?\d+(?:\.\d+)?(?:e-?\d+)?`;
const MAX_ENTRIES = MOST.along;

/** Characters of the longest fragment that is read. */
export const LONGEST_FRAGMENT = 64_000;

/** Reads typed values out of parameters and notes, in words, what it could not read. */
export interface Reader {
  /** The first value of a key; undefined when absent or unreadable. */
  one<T>(key: string, read: (value: string) => T | null, what: string): T | undefined;
  /** Every readable value of a key. */
  many<T>(key: string, read: (value: string) => T | null, what: string): T[];
  text(key: string): string | null;
}

/** A reader of a fragment or query string whose complaints go to `problems`. */
export function createReader(text: string, problems: string[]): Reader {
  const params = new URLSearchParams(text);
  const attempt = <T>(value: string, read: (value: string) => T | null, what: string): T[] => {
    const result = read(value);
    if (result !== null) return [result];
    problems.push(`The link's ${what} “${clip(value)}” could not be read; it was left out.`);
    return [];
  };
  return {
    text: (key) => params.get(key),
    one(key, read, what) {
      const value = params.get(key);
      return value === null ? undefined : attempt(value, read, what)[0];
    },
    many: (key, read, what) =>
      params
        .getAll(key)
        .slice(0, MAX_ENTRIES)
        .flatMap((value) => attempt(value, read, what)),
  };
}

function clip(value: string): string {
  return value.length > 40 ? `${value.slice(0, 40)}…` : value;
}

/** The value, if it has the shape that files and the API are held to. */
export function fits<T>(shape: Shape<T>, value: unknown): T | null {
  const read = tryRead(shape, value);
  return "issues" in read ? null : read.value;
}

/** One of a closed list of words. */
export function oneOf<T extends string>(values: readonly T[]) {
  return (value: string): T | null => values.find((candidate) => candidate === value) ?? null;
}

/** An id: letters, digits and dashes. */
export function readId(value: string): string | null {
  return /^[a-z0-9][a-z0-9-]{0,79}$/i.test(value) ? value : null;
}

/** A plain finite number. */
export function finite(value: string): number | null {
  if (!new RegExp(`^${NUMBER}$`).test(value)) return null;
  const x = Number(value);
  return Number.isFinite(x) ? x : null;
}

/** The inverse of `range`; ends must be in order. */
export function readRange(value: string): Interval | null {
  const match = new RegExp(String.raw`^(${NUMBER})?\.\.(${NUMBER})?$`).exec(value);
  if (!match) return null;
  const low = match[1] === undefined ? null : Number(match[1]);
  const high = match[2] === undefined ? null : Number(match[2]);
  return low !== null && high !== null && low > high ? null : [low, high];
}
