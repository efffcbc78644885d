import { isObject } from "../shapes/check.ts";
import { type AnyStored, recordKey, type Stamp } from "./records.ts";

/**
 * Records written apart, brought together: a join of state-based replicated data types (M. Shapiro,
 * N. Preguiça, C. Baquero, M. Zawirski, "Conflict-free replicated data types", SSS 2011; from memory). Each
 * field is a register of which the later write stays; the set of records only grows, deletion being a field.
 * So order, repetition and grouping of merges do not matter, and nothing is lost or doubled.
 */

/** JSON with sorted keys, so that equal values are equal texts; without what stands under `leftOut`, at any depth. */
export function canonical(x: unknown, leftOut?: ReadonlySet<string>): string {
  return JSON.stringify(x, (key, value: unknown) => {
    if (leftOut?.has(key)) return undefined;
    if (!isObject(value)) return value;
    return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
  });
}

type Loose = { values: Record<string, unknown>; stamps: Record<string, Stamp> };

/** Whether `b`'s field replaces `a`'s: later, or, if some writer used a stamp twice, greater as text. */
function replaces(a: Loose, b: Loose, field: string): boolean {
  const [was, is] = [a.stamps[field], b.stamps[field]];
  if (is === undefined || (was !== undefined && is < was)) return false;
  if (was === undefined || is > was) return true;
  return canonical(b.values[field]) > canonical(a.values[field]);
}

/** The record with the later of each field; `a` itself when `b` brings nothing new. Both must be of one key. */
export function mergeRecord<R extends AnyStored>(a: R, b: R): R {
  const mine: Loose = a;
  const theirs: Loose = b;
  const fresh = Object.keys(theirs.stamps).filter((field) => replaces(mine, theirs, field));
  if (fresh.length === 0) return a;
  const pick = <T>(from: Record<string, T>) => Object.fromEntries(fresh.map((field) => [field, from[field]]));
  return {
    ...a,
    values: { ...mine.values, ...pick(theirs.values) },
    stamps: { ...mine.stamps, ...pick(theirs.stamps) },
  };
}

/** Records by key. */
export type Records = ReadonlyMap<string, AnyStored>;

/** Both sets together; `records` itself when `others` bring nothing new. */
export function mergeRecords(records: Records, others: Iterable<AnyStored>): Records {
  let merged: Map<string, AnyStored> | null = null;
  for (const other of others) {
    const key = recordKey(other);
    const mine = (merged ?? records).get(key);
    const joined = mine ? mergeRecord(mine, other) : other;
    if (joined === mine) continue;
    merged ??= new Map(records);
    merged.set(key, joined);
  }
  return merged ?? records;
}

/** The latest stamp in some records, which the next write must pass; undefined when there is none. */
export function latestStamp(records: Iterable<AnyStored>): Stamp | undefined {
  let latest: Stamp | undefined;
  for (const { stamps } of records) {
    for (const stamp of Object.values(stamps)) if (latest === undefined || stamp > latest) latest = stamp;
  }
  return latest;
}

/** Whether a record is put away: deleted, and not written to since. */
export function isDeleted({ values, stamps }: AnyStored): boolean {
  if (values.deleted !== true) return false;
  return Object.values(stamps).every((stamp) => stamp <= stamps.deleted!);
}
