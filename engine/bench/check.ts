import * as z from "zod/mini";
import { EngineError, type FieldIssue } from "../errors.ts";
import { idShape } from "../shapes/amounts.ts";
import { jsonSchemaOf, pattern, type Shape, toPointer, tryRead, unknownKeys } from "../shapes/check.ts";
import { SETTING_SHAPES } from "../shapes/settings.ts";
import { type AnyStored, BENCH_KINDS, FIELDS, RECORD_KINDS, type RecordKind } from "./records.ts";

/** Crockford's base 32: the first of 26 digits holds three bits only. */
const stampShape = z
  .string()
  .check(
    pattern(/^[0-7][0-9A-HJKMNP-TV-Z]{25}$/, "no ULID", "give a ULID, in upper case"),
    z.describe("A ULID: when the field was set, and by whom."),
  );

/** What every record has, whatever its kind; its fields are checked by kind. */
const recordShape = z.strictObject({
  kind: z.enum(RECORD_KINDS),
  id: idShape,
  bench: z.nullable(idShape),
  values: z.record(z.string(), z.unknown()),
  stamps: z.record(z.string(), z.unknown()),
});

function issuesOf(shape: Shape, x: unknown, pointer: string): FieldIssue[] {
  const read = tryRead(shape, x, pointer);
  return "issues" in read ? read.issues : [];
}

const setting = (id: string): Shape | undefined => SETTING_SHAPES[id.split(":")[0]!];

/** Everything wrong with a record's place: whose it is, and what it is called. */
function placeIssues({ kind, id, bench }: z.infer<typeof recordShape>, at: string): FieldIssue[] {
  if (kind === "bench" && bench !== id) {
    return [{ pointer: `${at}/bench`, detail: "a bench belongs to itself", remedy: "give its own id" }];
  }
  if (BENCH_KINDS.has(kind) !== (bench !== null)) {
    const remedy = bench === null ? "give the bench's id" : "give null";
    return [{ pointer: `${at}/bench`, detail: `no ${kind} is kept there`, remedy }];
  }
  if (kind === "setting" && !setting(id)) {
    const remedy = `start it with one of ${Object.keys(SETTING_SHAPES).join(", ")}`;
    return [{ pointer: `${at}/id`, detail: "no such setting", remedy }];
  }
  return [];
}

/** Everything wrong with the fields, given a kind that exists. */
function fieldIssues(record: z.infer<typeof recordShape>, at: string): FieldIssue[] {
  const { kind, values, stamps } = record;
  const shapes: Readonly<Record<string, Shape>> = FIELDS[kind];
  return [...new Set([...Object.keys(values), ...Object.keys(stamps)])].flatMap((field) => {
    const step = toPointer([field]);
    if (!Object.hasOwn(shapes, field)) {
      return [{ pointer: `${at}/values`, ...unknownKeys([field], Object.keys(shapes)) }];
    }
    if (!Object.hasOwn(values, field)) {
      const remedy = "give both or neither";
      return [{ pointer: `${at}/values${step}`, detail: "a stamp without its value", remedy }];
    }
    if (!Object.hasOwn(stamps, field)) {
      const remedy = "give both or neither";
      return [{ pointer: `${at}/stamps${step}`, detail: "a value without its stamp", remedy }];
    }
    const named = kind === "setting" && field === "value" ? setting(record.id) : undefined;
    return [
      ...issuesOf(shapes[field]!, values[field], `${at}/values${step}`),
      ...(named ? issuesOf(named, values[field], `${at}/values${step}`) : []),
      ...issuesOf(stampShape, stamps[field], `${at}/stamps${step}`),
    ];
  });
}

/** Everything wrong with something that should be a record or a change, by JSON pointer from `at`. */
export function recordIssues(x: unknown, at = ""): FieldIssue[] {
  const read = tryRead(recordShape, x, at);
  if ("issues" in read) return read.issues;
  if (Object.keys(read.value.values).length === 0) {
    return [{ pointer: `${at}/values`, detail: "nothing is set", remedy: "give at least one field" }];
  }
  return [...placeIssues(read.value, at), ...fieldIssues(read.value, at)];
}

/**
 * Records or changes read from outside: a request, a file, a browser's storage.
 *
 * @throws EngineError with everything that is wrong, by pointer from `at`
 */
export function readRecords(list: readonly unknown[], at = ""): AnyStored[] {
  const issues = list.flatMap((x, i) => recordIssues(x, `${at}/${i}`));
  if (issues.length > 0) throw new EngineError(issues);
  return list as AnyStored[];
}

/** The fields a record still lacks: a change to something unknown cannot stand alone. */
export function lacking({ kind, values }: AnyStored): string[] {
  return Object.keys(FIELDS[kind]).filter((field) => !Object.hasOwn(values, field));
}

/** JSON Schema of a record; with `whole`, of one that has all of its fields. */
export function recordSchema(kind: RecordKind, whole: boolean): Record<string, unknown> {
  const shapes: Readonly<Record<string, Shape>> = FIELDS[kind];
  const stamps = Object.fromEntries(Object.keys(shapes).map((field) => [field, stampShape]));
  const parts = (fields: Readonly<Record<string, Shape>>) =>
    whole ? z.strictObject(fields) : z.partial(z.strictObject(fields));
  return jsonSchemaOf(
    z.strictObject({
      kind: z.literal(kind),
      id: idShape,
      bench: BENCH_KINDS.has(kind) ? idShape : z.null(),
      values: parts(shapes),
      stamps: parts(stamps),
    }),
  );
}
