import { mergeRecord } from "./merge.ts";
import { type AnyStored, recordKey, type Stamp } from "./records.ts";
import { changeOf } from "./view.ts";

/** The change that takes another back, or the fields that were written again since and stand in its way. */
export type TakingBack = { change: AnyStored } | { overwritten: string[] };

/**
 * Undo one change and keep what came after it: each field it set gets the value it had before; a record it
 * made is put away. `written`: everything ever written to the record, in any order; `at`: a fresh stamp.
 */
export function takeBack(change: AnyStored, written: readonly AnyStored[], at: Stamp): TakingBack {
  const key = recordKey(change);
  const own = written.filter((other) => recordKey(other) === key);
  const set: Record<string, Stamp> = change.stamps;
  const fields = Object.keys(set);
  const first = Object.values(set).sort()[0]!;
  const earlier = own.filter((other) => Object.values(other.stamps).every((stamp) => stamp < first));
  if (earlier.length === 0) {
    return { change: changeOf(change.kind, change.id, change.bench, { deleted: true }, at) as AnyStored };
  }
  const now: Record<string, Stamp> = own.reduce(mergeRecord).stamps;
  const overwritten = fields.filter((field) => now[field] !== set[field]);
  if (overwritten.length > 0) return { overwritten };
  const before: Record<string, unknown> = earlier.reduce(mergeRecord).values;
  const values = Object.fromEntries(fields.map((field) => [field, before[field]]));
  return { change: changeOf(change.kind, change.id, change.bench, values, at) as AnyStored };
}

/** What was done under one stamp, and the stamp of the act it takes back, if it does. */
export interface Act {
  stamp: Stamp;
  undoes: Stamp | null;
}

/**
 * The acts that no longer count: each act taken back, with the act that took it back. An act that was taken
 * back and brought back counts again. `acts`: latest first.
 */
export function cancelled(acts: readonly Act[]): Set<Stamp> {
  const gone = new Set<Stamp>();
  for (const { stamp, undoes } of acts) {
    if (undoes === null || gone.has(stamp)) continue;
    gone.add(stamp);
    gone.add(undoes);
  }
  return gone;
}
