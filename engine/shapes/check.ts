import * as z from "zod/mini";
import { EngineError, type FieldIssue } from "../errors.ts";
import { nearestKey } from "./nearest-key.ts";

// A browser page whose policy forbids making code from text would report zod's attempt to; there it goes without.
if (!("process" in globalThis)) z.config({ jitless: true });

/** A schema of either kind zod has. */
export type Shape<T = unknown> = z.core.$ZodType<T>;

type RawIssue = z.core.$ZodRawIssue;
type Words = Pick<FieldIssue, "detail" | "remedy">;

/** Longest stretch of the sender's own text that a complaint repeats. */
const ECHO_LENGTH = 60;
/** Unknown keys named in one complaint; more are counted. */
const MAX_KEYS_NAMED = 8;

/** The sender's own text, quoted, and cut where it is long. */
export function echo(text: string): string {
  return JSON.stringify(text.length > ECHO_LENGTH ? `${text.slice(0, ECHO_LENGTH)}…` : text);
}

/** A JSON pointer (RFC 6901) for a path of keys. */
export function toPointer(path: readonly PropertyKey[]): string {
  return path.map((key) => `/${String(key).replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");
}

/** A plain object: no list, not null. */
export function isObject(x: unknown): x is Record<string, unknown> {
  return typeof x === "object" && x !== null && !Array.isArray(x);
}

/** A rule about a whole value, with what is wrong when it is broken and what to do about it. */
export function must<T>(holds: (value: T) => boolean, detail: string, remedy: string) {
  return z.refine<T>(holds, { error: detail, params: { remedy } });
}

const PATTERN_WORDS = new Map<string, Words>();
const UNFIT: Words = { detail: "not in the form of this text", remedy: "rewrite it" };

/** A regular expression without flags (they cannot be written in JSON Schema), with its own words. */
export function pattern(regex: RegExp, detail: string, remedy: string) {
  PATTERN_WORDS.set(String(regex), { detail, remedy });
  return z.regex(regex);
}

/**
 * The value, if it has the shape; the same object otherwise untouched by defaults.
 *
 * @param pointer where the value stands in what the sender sent
 * @throws EngineError naming each bad field
 */
export function check<T>(shape: Shape<T>, value: unknown, pointer = ""): T {
  const read = tryRead(shape, value, pointer);
  if ("issues" in read) throw new EngineError(read.issues);
  return read.value;
}

/** The same without throwing. */
export function tryRead<T>(
  shape: Shape<T>,
  value: unknown,
  pointer = "",
): { value: T } | { issues: FieldIssue[] } {
  // zod keeps one sentence an issue. What is said is kept beside, and the sentence is its number here.
  const said: Words[] = [];
  const error = (issue: RawIssue) => String(said.push(wordsFor(issue)) - 1);
  const result = z.safeParse(shape, value, { error, reportInput: true });
  if (result.success) return { value: result.data };
  return { issues: result.error.issues.flatMap((issue) => complaints(issue, pointer, said)) };
}

/** An issue as one complaint a field; of a union the branch that was most likely meant. */
function complaints(issue: z.core.$ZodIssue, at: string, said: readonly Words[]): FieldIssue[] {
  const pointer = at + toPointer(issue.path);
  if (issue.code === "invalid_union" && issue.errors.length > 0) {
    return likeliestBranch(issue.errors).flatMap((inner) => complaints(inner, pointer, said));
  }
  const remedy: unknown = issue.code === "custom" ? issue.params?.remedy : undefined;
  // Only a broken `must` has a sentence of its own.
  if (typeof remedy === "string") return [{ pointer, detail: issue.message, remedy }];
  return [{ pointer, ...said[Number(issue.message)]! }];
}

/** The branch of a union the sender most likely meant: the fewest complaints at its top level, then in all. */
function likeliestBranch(branches: readonly z.core.$ZodIssue[][]): readonly z.core.$ZodIssue[] {
  const cost = (issues: readonly z.core.$ZodIssue[]): number => {
    // A branch of the wrong basic type (a text is wanted, an object was sent) was not the one meant.
    if (issues.some((i) => i.path.length === 0 && (i.code === "invalid_type" || i.code === "invalid_value")))
      return 1000;
    return issues.reduce(
      (sum, i) => sum + (i.path.length > 1 ? 1 : 10) * (i.code === "unrecognized_keys" ? i.keys.length : 1),
      0,
    );
  };
  return branches.reduce((best, branch) => (cost(branch) < cost(best) ? branch : best));
}

const NAMES: Record<string, string> = {
  string: "a text",
  number: "a number",
  int: "a whole number",
  boolean: "true or false",
  array: "a list",
  tuple: "a list",
  object: "an object",
  record: "an object",
  null: "null",
};

const nameOf = (type: string): string => NAMES[type] ?? `a ${type}`;

function typeOf(value: unknown): string {
  if (value === null) return "null";
  if (Array.isArray(value)) return "array";
  return typeof value;
}

/** What is wrong and what to do, from what zod found: never from its sentences. */
function wordsFor(issue: RawIssue): Words {
  switch (issue.code) {
    case "invalid_type": {
      const wanted = nameOf(issue.expected);
      return issue.input === undefined
        ? { detail: "missing", remedy: `give it as ${wanted}` }
        : { detail: `this is ${nameOf(typeOf(issue.input))}`, remedy: `give ${wanted}` };
    }
    case "invalid_value":
      return {
        detail: issue.input === undefined ? "missing" : "not one of the known values",
        remedy: `use one of: ${issue.values.join(", ")}`,
      };
    case "invalid_union": {
      const options = "options" in issue && Array.isArray(issue.options) ? issue.options : [];
      return {
        detail: "this kind is not known",
        remedy: options.length > 0 ? `use one of: ${options.join(", ")}` : "see the reference for the kinds",
      };
    }
    case "unrecognized_keys":
      return unknownKeys(issue.keys, keysOf(issue.inst));
    case "too_small": {
      const { of, unit } = SIZES[issue.origin] ?? SIZE_OF_NUMBER;
      const least = `${issue.inclusive === false ? "more than" : "at least"} ${issue.minimum}`;
      return { detail: `too small for ${of}`, remedy: `give ${least}${unit}` };
    }
    case "too_big": {
      const { of, unit } = SIZES[issue.origin] ?? SIZE_OF_NUMBER;
      const most = `${issue.inclusive === false ? "less than" : "at most"} ${issue.maximum}`;
      return { detail: `too large for ${of}`, remedy: `give ${most}${unit}` };
    }
    case "invalid_format":
      return PATTERN_WORDS.get(issue.pattern ?? "") ?? UNFIT;
    case "invalid_key":
      return { detail: "this key cannot be used", remedy: "use an id as the key" };
    default:
      return { detail: "not allowed here", remedy: "see the reference for what is" };
  }
}

/** What has a size other than its own value, and what that is counted in. */
const SIZES: Record<string, { of: string; unit: string }> = {
  string: { of: "a text", unit: " characters" },
  array: { of: "a list", unit: " items" },
};
const SIZE_OF_NUMBER = { of: "this number", unit: "" };

/** Names of the fields of an object schema. */
function keysOf(inst: unknown): string[] {
  const shape = inst instanceof z.core.$ZodObject ? inst._zod.def.shape : {};
  return Object.keys(shape);
}

/** A key that is not known is most often a known one misspelt. */
export function unknownKeys(keys: readonly string[], known: readonly string[]): Words {
  const named = keys.slice(0, MAX_KEYS_NAMED);
  const more = keys.length > named.length ? ` and ${keys.length - named.length} more` : "";
  const fixes = named.map((key) => {
    const nearest = nearestKey(key, known);
    return nearest ? `write ${nearest} for ${echo(key)}` : `remove ${echo(key)}`;
  });
  return {
    detail: `unknown field ${named.map(echo).join(", ")}${more}`,
    remedy: `${fixes.join(", ")}. Known here: ${known.join(", ")}`,
  };
}
