import { EngineError, type FieldIssue } from "../errors.ts";
import { type AnyStored, BENCH_KINDS, FIELDS, RECORD_KINDS, type RecordKind } from "./records.ts";
import {
  isObject,
  type JsonSchema,
  matching,
  object,
  oneOf,
  orNull,
  pointerStep,
  type Shape,
} from "./shape.ts";
import { idShape, SETTING_SHAPES } from "./spec-shape.ts";

const kindShape = oneOf(RECORD_KINDS, "What is kept.");
const benchShape = orNull(idShape);
/** Crockford's base 32: the first of 26 digits holds three bits only. */
const stampShape = matching(
  "^[0-7][0-9A-HJKMNP-TV-Z]{25}$",
  "A ULID: when the field was set, and by whom.",
  "give a ULID, in upper case",
);

const setting = (id: string): Shape<unknown> | undefined => SETTING_SHAPES[id.split(":")[0]!];

/** Everything wrong with a record's place: whose it is, and what it is called. */
function placeIssues(record: Record<string, unknown>, at: string): FieldIssue[] {
  const { kind, id, bench } = record as { kind: RecordKind; id: string; bench: string | null };
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
function fieldIssues(
  record: Record<string, unknown>,
  values: Record<string, unknown>,
  at: string,
): FieldIssue[] {
  const kind = record.kind as RecordKind;
  const shapes: Readonly<Record<string, Shape<unknown>>> = FIELDS[kind];
  const stamps = isObject(record.stamps) ? record.stamps : {};
  return [...new Set([...Object.keys(values), ...Object.keys(stamps)])].flatMap((field) => {
    const step = pointerStep(field);
    if (!Object.hasOwn(shapes, field)) {
      const remedy = `known here: ${Object.keys(shapes).join(", ")}`;
      return [{ pointer: `${at}/values${step}`, detail: "unknown field", remedy }];
    }
    if (!Object.hasOwn(values, field)) {
      const remedy = "give both or neither";
      return [{ pointer: `${at}/values${step}`, detail: "a stamp without its value", remedy }];
    }
    if (!Object.hasOwn(stamps, field)) {
      const remedy = "give both or neither";
      return [{ pointer: `${at}/stamps${step}`, detail: "a value without its stamp", remedy }];
    }
    const named = kind === "setting" && field === "value" ? setting(String(record.id)) : undefined;
    return [
      ...shapes[field]!.issues(values[field], `${at}/values${step}`),
      ...(named?.issues(values[field], `${at}/values${step}`) ?? []),
      ...stampShape.issues(stamps[field], `${at}/stamps${step}`),
    ];
  });
}

/** Everything wrong with something that should be a record or a change, by JSON pointer from `at`. */
export function recordIssues(x: unknown, at = ""): FieldIssue[] {
  if (!isObject(x)) return [{ pointer: at, detail: "not a record", remedy: "give an object" }];
  const known = ["kind", "id", "bench", "values", "stamps"];
  const issues = [
    ...Object.keys(x)
      .filter((key) => !known.includes(key))
      .map((key) => ({
        pointer: at + pointerStep(key),
        detail: "unknown field",
        remedy: `known here: ${known.join(", ")}`,
      })),
    ...kindShape.issues(x.kind, `${at}/kind`),
    ...idShape.issues(x.id, `${at}/id`),
    ...benchShape.issues(x.bench, `${at}/bench`),
    ...(isObject(x.values) && Object.keys(x.values).length > 0
      ? []
      : [{ pointer: `${at}/values`, detail: "nothing is set", remedy: "give at least one field" }]),
    ...(isObject(x.stamps) ? [] : [{ pointer: `${at}/stamps`, detail: "missing", remedy: "give an object" }]),
  ];
  if (issues.length > 0) return issues;
  return [...placeIssues(x, at), ...fieldIssues(x, x.values as Record<string, unknown>, at)];
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
export function recordSchema(kind: RecordKind, whole: boolean): JsonSchema {
  const shapes: Readonly<Record<string, Shape<unknown>>> = FIELDS[kind];
  const stamps = Object.fromEntries(Object.keys(shapes).map((field) => [field, stampShape]));
  const parts = (fields: Readonly<Record<string, Shape<unknown>>>) =>
    whole ? object(fields) : object({}, fields);
  return object({
    kind: oneOf([kind], "What is kept."),
    id: idShape,
    bench: BENCH_KINDS.has(kind) ? idShape : { ...idShape, schema: { type: "null" } },
    values: parts(shapes),
    stamps: parts(stamps),
  }).schema;
}
