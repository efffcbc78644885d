import type { FieldIssue } from "../errors.ts";

/** JSON Schema, draft 2020-12, as far as it is used here. */
export type JsonSchema = Readonly<Record<string, unknown>>;

/**
 * What a stored value may be, said once and used twice: `issues` checks it in words for people, `schema`
 * says the same to machines. `T` is the type of what passes.
 */
export interface Shape<T> {
  schema: JsonSchema;
  /** Everything wrong with `x`, by JSON pointer from `at`; empty when it is a `T`. */
  issues(x: unknown, at: string): FieldIssue[];
  /** For the type checker alone: never there. */
  readonly passes?: T;
}

/** The type of what a shape lets through. */
export type Of<S> = S extends Shape<infer T> ? T : never;

/** A plain object: no list, not null. */
export function isObject(x: unknown): x is Record<string, unknown> {
  return typeof x === "object" && x !== null && !Array.isArray(x);
}

/** A shape that is one question with one remedy. */
function question<T>(schema: JsonSchema, passes: (x: unknown) => boolean, remedy: string): Shape<T> {
  return {
    schema,
    issues: (x, pointer) =>
      passes(x) ? [] : [{ pointer, detail: x === undefined ? "missing" : "not of this form", remedy }],
  };
}

/** Text of at most `most` characters (Unicode code points, as JSON Schema counts them). */
export function text(most: number, description: string): Shape<string> {
  return question(
    { type: "string", maxLength: most, description },
    (x) => typeof x === "string" && (x.length <= most || Array.from(x).length <= most),
    `give a text of at most ${most} characters`,
  );
}

/** Text that a pattern without flags accepts whole. */
export function matching(pattern: string, description: string, remedy: string): Shape<string> {
  const form = new RegExp(pattern, "u");
  return question(
    { type: "string", pattern, description },
    (x) => typeof x === "string" && form.test(x),
    remedy,
  );
}

/** A finite number in a closed range. */
export function number(min: number, max: number, description: string): Shape<number> {
  return question(
    { type: "number", minimum: min, maximum: max, description },
    (x) => typeof x === "number" && x >= min && x <= max,
    `give a number from ${min} to ${max}`,
  );
}

/** A whole number in a closed range. */
export function whole(min: number, max: number, description: string): Shape<number> {
  return question(
    { type: "integer", minimum: min, maximum: max, description },
    (x) => Number.isInteger(x) && (x as number) >= min && (x as number) <= max,
    `give a whole number from ${min} to ${max}`,
  );
}

/** True or false. */
export function flag(description: string): Shape<boolean> {
  return question({ type: "boolean", description }, (x) => typeof x === "boolean", "give true or false");
}

/** One of a closed list. */
export function oneOf<const T extends string>(values: readonly T[], description: string): Shape<T> {
  return question(
    { type: "string", enum: values, description },
    (x) => (values as readonly unknown[]).includes(x),
    `give one of ${values.join(", ")}`,
  );
}

/** The shape, or null for "none". */
export function orNull<T>(shape: Shape<T>): Shape<T | null> {
  return {
    schema: { anyOf: [shape.schema, { type: "null" }] },
    issues: (x, at) => (x === null ? [] : shape.issues(x, at)),
  };
}

/** At most `most` of a shape. */
export function list<T>(item: Shape<T>, most: number, description: string): Shape<T[]> {
  return {
    schema: { type: "array", items: item.schema, maxItems: most, description },
    issues(x, at) {
      if (!Array.isArray(x) || x.length > most) {
        return [{ pointer: at, detail: "not of this form", remedy: `give a list of at most ${most}` }];
      }
      return x.flatMap((entry, i) => item.issues(entry, `${at}/${i}`));
    },
  };
}

/** A key as a step of a JSON pointer (RFC 6901). */
export function pointerStep(key: string): string {
  return `/${key.slice(0, 80).replaceAll("~", "~0").replaceAll("/", "~1")}`;
}

function strange(at: string, key: string, known: readonly string[]): FieldIssue {
  return {
    pointer: at + pointerStep(key),
    detail: "unknown field",
    remedy: `known here: ${known.join(", ")}`,
  };
}

type Shapes = Readonly<Record<string, Shape<unknown>>>;
type OfAll<S extends Shapes> = { [K in keyof S]: Of<S[K]> };

/** An object with these fields and no others; those of `optional` may be left out. */
export function object<R extends Shapes, O extends Shapes = Record<never, never>>(
  required: R,
  optional: O = {} as O,
  description?: string,
): Shape<OfAll<R> & Partial<OfAll<O>>> {
  const fields: Shapes = { ...required, ...optional };
  const known = Object.keys(fields);
  return {
    schema: {
      type: "object",
      properties: Object.fromEntries(Object.entries(fields).map(([key, { schema }]) => [key, schema])),
      ...(Object.keys(required).length > 0 && { required: Object.keys(required) }),
      additionalProperties: false,
      ...(description !== undefined && { description }),
    },
    issues(x, at) {
      if (!isObject(x)) return [{ pointer: at, detail: "not of this form", remedy: "give an object" }];
      const stray = Object.keys(x).filter((key) => !Object.hasOwn(fields, key));
      return [
        ...stray.map((key) => strange(at, key, known)),
        ...known.flatMap((key) =>
          x[key] === undefined && Object.hasOwn(optional, key)
            ? []
            : fields[key]!.issues(x[key], at + pointerStep(key)),
        ),
      ];
    },
  };
}

type OptionalKeys<T> = { [K in keyof T]-?: undefined extends T[K] ? K : never }[keyof T];

/** `object` for a type of the engine's: a field that the type gains has to be let in here too. */
export function objectOf<T>() {
  return (
    required: { [K in Exclude<keyof T, OptionalKeys<T>>]: Shape<T[K]> },
    optional: { [K in OptionalKeys<T>]-?: Shape<Exclude<T[K], undefined>> },
  ): Shape<T> => object(required as Shapes, optional as Shapes) as Shape<T>;
}

/** One of several shapes, told apart by the value of one field. */
export function oneBy<T>(field: string, variants: Readonly<Record<string, Shape<T>>>): Shape<T> {
  const names = Object.keys(variants);
  return {
    schema: { oneOf: Object.values(variants).map(({ schema }) => schema) },
    issues(x, at) {
      const name = isObject(x) ? x[field] : undefined;
      if (typeof name === "string" && Object.hasOwn(variants, name)) return variants[name]!.issues(x, at);
      return [
        { pointer: `${at}/${field}`, detail: "not of this form", remedy: `give one of ${names.join(", ")}` },
      ];
    },
  };
}

/** Any JSON of at most `most` characters once written: kept as it is, judged by whoever reads it. */
export function anyJson(most: number, description: string): Shape<unknown> {
  return question(
    { description: `${description} At most ${most} characters of JSON.` },
    (x) => x !== undefined && (JSON.stringify(x)?.length ?? Infinity) <= most,
    `give JSON of at most ${most} characters`,
  );
}

/** Any JSON object of at most `most` characters once written. */
export function json(most: number, description: string): Shape<Record<string, unknown>> {
  return question(
    { type: "object", description: `${description} At most ${most} characters of JSON.` },
    (x) => isObject(x) && JSON.stringify(x).length <= most,
    `give an object of at most ${most} characters`,
  );
}

/** A shape with one more condition, said in both ways. */
export function also<T>(
  shape: Shape<T>,
  schema: JsonSchema,
  passes: (x: T) => boolean,
  remedy: string,
): Shape<T> {
  return {
    schema: { allOf: [shape.schema, schema] },
    issues(x, at) {
      const issues = shape.issues(x, at);
      if (issues.length > 0 || passes(x as T)) return issues;
      return [{ pointer: at, detail: "not of this form", remedy }];
    },
  };
}
