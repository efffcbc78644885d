import type { RecordKind } from "../../engine/bench/records.ts";
import { toNumber, toVersioned, type Versioned, type Within } from "./database.ts";

/** What a reader may see: one bench with what it is poured from and by, or (null) everything. */
export type Scope = { bench: string | null };

/** Kinds of the house that who sees a bench sees too: its specs use them. */
const SHARED_KINDS: RecordKind[] = ["ingredient", "prep"];
/** So are these settings: without them a drink would stand elsewhere for them. Prices and the like are not. */
const SHARED_SIZES = "unit-sizes";
const SHARED_FIGURES = "measured:%";

const ofKinds = (db: Within, kinds: readonly RecordKind[]) =>
  db
    .selectFrom("records")
    .selectAll()
    .where("kind", "in", [...kinds]);

/** All records of some kinds that belong to one bench, or (null) to the house. */
export async function recordsIn(
  db: Within,
  bench: string | null,
  kinds: readonly RecordKind[],
): Promise<Versioned[]> {
  const rows = await ofKinds(db, kinds)
    .where("bench", "=", bench ?? "")
    .execute();
  return rows.map(toVersioned);
}

/** All benches with their rounds. */
export async function allBenches(db: Within): Promise<Versioned[]> {
  return (await ofKinds(db, ["bench", "round"]).execute()).map(toVersioned);
}

/** Records changed after a number, in the order of their last change; `version` is where to go on. */
export async function changedSince(
  db: Within,
  after: number,
  { bench }: Scope,
  most: number,
): Promise<{ records: Versioned[]; version: number; more: boolean }> {
  // Read before the rows: what is written in between comes next time instead of never.
  const { version } = await db.selectFrom("house").select("version").executeTakeFirstOrThrow();
  let query = db
    .selectFrom("records")
    .selectAll()
    .where("version", ">", after)
    .where("version", "<=", toNumber(version))
    .orderBy("version")
    .limit(most + 1);
  if (bench !== null) {
    query = query.where((eb) =>
      eb.or([
        eb("bench", "=", bench),
        eb.and([eb("bench", "=", ""), eb("kind", "in", SHARED_KINDS)]),
        eb.and([
          eb("kind", "=", "setting"),
          eb.or([eb("id", "=", SHARED_SIZES), eb("id", "like", SHARED_FIGURES)]),
        ]),
      ]),
    );
  }
  const rows = await query.execute();
  const records = rows.slice(0, most).map(toVersioned);
  const more = rows.length > most;
  return { records, version: more ? records.at(-1)!.version : toNumber(version), more };
}
