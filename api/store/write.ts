import { lacking } from "../../engine/bench/check.ts";
import { mergeRecord } from "../../engine/bench/merge.ts";
import { type AnyStored, recordKey, type Stamp } from "../../engine/bench/records.ts";
import { EngineError, type FieldIssue } from "../../engine/errors.ts";
import { toNumber, toRow, toVersioned, type Versioned, type Within } from "./database.ts";

/** Beside the changes: whose write it is, and what it was made in view of. */
export interface WriteContext {
  /** The link it came through; null for the local owner. */
  link: string | null;
  /** Server's time, ISO 8601. */
  at: string;
  /** The stamp of the change it takes back. */
  undoes?: Stamp;
  /** For a single change: the version it was made in view of, or null when there must be no record yet. */
  expected?: number | null;
}

/** A write made in view of a version that is no longer the present one. */
export class VersionConflict extends Error {
  /** The record as it is now; null when there is none. */
  constructor(readonly now: Versioned | null) {
    super("the record was changed since");
    this.name = "VersionConflict";
  }
}

/** The records of these keys that exist. */
export async function loadRecords(
  db: Within,
  keys: readonly Pick<AnyStored, "bench" | "kind" | "id">[],
): Promise<Map<string, Versioned>> {
  if (keys.length === 0) return new Map();
  const wanted = new Set(keys.map(recordKey));
  const rows = await db
    .selectFrom("records")
    .selectAll()
    .where("id", "in", [...new Set(keys.map(({ id }) => id))])
    .where("bench", "in", [...new Set(keys.map(({ bench }) => bench ?? ""))])
    .execute();
  const found = rows.map(toVersioned);
  return new Map(found.filter((record) => wanted.has(recordKey(record))).map((r) => [recordKey(r), r]));
}

type Key = Pick<AnyStored, "bench" | "kind" | "id">;

/** The records a change leans on, with the pointer that names each. */
function leansOn({ kind, bench, values }: AnyStored): (Key & { pointer: string })[] {
  if (bench === null) return [];
  const round = (id: string | null | undefined, pointer: string) =>
    id === null || id === undefined ? [] : [{ kind: "round" as const, bench, id, pointer }];
  const own = kind === "bench" ? [] : [{ kind: "bench" as const, bench, id: bench, pointer: "/bench" }];
  if (kind === "round") return [...own, ...round(values.parent, "/values/parent")];
  if (kind === "flight") {
    const glasses = values.glasses ?? [];
    return [...own, ...glasses.flatMap((glass, i) => round(glass.round, `/values/glasses/${i}/round`))];
  }
  if (kind !== "tasting") return own;
  const { flight } = values;
  return [
    ...own,
    ...round(values.round, "/values/round"),
    ...(flight ? [{ kind: "flight" as const, bench, id: flight, pointer: "/values/flight" }] : []),
  ];
}

/** Whether the very change was taken in before, even if other writes have long replaced what it set. */
async function wasTaken(db: Within, change: AnyStored, stamp: Stamp): Promise<boolean> {
  const { bench, kind, id } = toRow(change);
  const row = await db
    .selectFrom("history")
    .select("version")
    .where("bench", "=", bench)
    .where("kind", "=", kind)
    .where("id", "=", id)
    .where("stamp", "=", stamp)
    .executeTakeFirst();
  return row !== undefined;
}

/** A change's latest stamp, which stands for the change in the history. */
export const stampOf = (change: AnyStored): Stamp => Object.values(change.stamps).sort().at(-1)!;

/**
 * Wait for one's turn to write, to the end of the transaction: writers take turns at the house's counter, in
 * every process on one database, so that what is read after this is the present.
 */
export async function takeTurn(db: Within, count = 0): Promise<number> {
  const { version } = await db
    .updateTable("house")
    .set((eb) => ({ version: eb("version", "+", count) }))
    .returning("version")
    .executeTakeFirstOrThrow();
  return toNumber(version) - count;
}

/**
 * Take changes in, all or none, inside a transaction. Numbers are in the order of commits: whoever has seen
 * number n misses nothing up to n.
 *
 * @returns the records concerned as they are now, in the order of the changes
 * @throws EngineError for a change that cannot stand (by index), VersionConflict
 */
export async function takeIn(
  db: Within,
  changes: readonly AnyStored[],
  { link, at, undoes, expected }: WriteContext,
): Promise<Versioned[]> {
  let version = await takeTurn(db, changes.length);
  const known = await loadRecords(db, [...changes, ...changes.flatMap(leansOn)]);
  if (expected !== undefined) {
    const now = known.get(recordKey(changes[0]!)) ?? null;
    if ((now?.version ?? null) !== expected) throw new VersionConflict(now);
  }

  // Records of one batch may lean on one another in any order.
  const there = new Set([...known.keys(), ...changes.filter((c) => lacking(c).length === 0).map(recordKey)]);
  const issues: FieldIssue[] = [];
  const written = new Set<string>();
  for (const [i, change] of changes.entries()) {
    const key = recordKey(change);
    const before = known.get(key);
    const stamp = stampOf(change);
    const joined: AnyStored = before ? mergeRecord<AnyStored>(before, change) : change;
    version += 1;
    const missing = before ? [] : lacking(change);
    if (missing.length > 0) {
      issues.push({
        pointer: `/${i}`,
        detail: `no such ${change.kind} is kept, and the change lacks ${missing.join(", ")}`,
        remedy: "send the whole record",
      });
      continue;
    }
    for (const { pointer, ...other } of leansOn(change)) {
      if (there.has(recordKey(other))) continue;
      const remedy = "send that first, or in the same batch";
      issues.push({ pointer: `/${i}${pointer}`, detail: `no such ${other.kind} is kept`, remedy });
    }
    if (joined === before && (await wasTaken(db, change, stamp))) continue;
    await db
      .insertInto("history")
      .values({ version, ...toRow(change), stamp, link, undoes: undoes ?? null, at })
      .execute();
    if (joined === before) continue;
    known.set(key, { ...joined, version });
    written.add(key);
  }
  if (issues.length > 0) throw new EngineError(issues);

  for (const key of written) {
    const record = known.get(key)!;
    await db
      .insertInto("records")
      .values({ ...toRow(record), version: record.version })
      .onConflict((oc) =>
        oc
          .columns(["bench", "kind", "id"])
          .doUpdateSet((eb) => ({ body: eb.ref("excluded.body"), version: eb.ref("excluded.version") })),
      )
      .execute();
  }
  return changes.map((change) => known.get(recordKey(change))!);
}
