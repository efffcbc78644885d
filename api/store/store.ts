import { decodeTime, monotonicFactory } from "ulid";
import type { AnyStored, RecordKind, Stamp } from "../../engine/bench/records.ts";
import { createStamper } from "../../engine/bench/stamp.ts";
import { type Backup, backUp, restore } from "./backup.ts";
import type { Database, Versioned, Within } from "./database.ts";
import { type HistoryEntry, historyOf, undoAct } from "./history.ts";
import { type Link, linkOf, listLinks, makeLink, revokeLink } from "./links.ts";
import { migrate } from "./migrations.ts";
import { allBenches, changedSince, recordsIn, type Scope } from "./read.ts";
import { troubleOf } from "./trouble.ts";
import { loadRecords, takeIn, type WriteContext } from "./write.ts";

/** Where benches are kept: SQLite and Postgres alike. */
export type Store = Awaited<ReturnType<typeof createStore>>;

/**
 * The store on an opened database, brought to its present form. Every method is all or nothing, and what it
 * has answered is on disk.
 *
 * @param place what to call it in sentences: the file, or "the database"
 * @throws StoreTrouble from every method
 */
export async function createStore(db: Database, place: string) {
  const stamp = createStamper({ now: Date.now, make: monotonicFactory(), timeOf: decodeTime });
  const now = (): string => new Date().toISOString();
  const told = async <T>(work: () => Promise<T>): Promise<T> => {
    try {
      return await work();
    } catch (error) {
      throw troubleOf(error, place);
    }
  };
  const within = <T>(work: (trx: Within) => Promise<T>): Promise<T> =>
    told(() => db.transaction().execute(work));
  await told(() => migrate(db));
  const house = (await told(() => db.selectFrom("house").select("id").executeTakeFirstOrThrow())).id;

  return {
    /** Which store this is: numbers of another mean nothing here. */
    house,
    /** A stamp for a write made here in view of `seen`. */
    stamp,
    /** Take changes in, all or none. */
    write: (changes: readonly AnyStored[], context: Omit<WriteContext, "at">): Promise<Versioned[]> =>
      within((trx) => takeIn(trx, changes, { ...context, at: now() })),

    /** One record. */
    record: async (key: Pick<AnyStored, "bench" | "kind" | "id">): Promise<Versioned | null> =>
      (await told(() => loadRecords(db, [key]))).values().next().value ?? null,
    recordsIn: (bench: string | null, kinds: readonly RecordKind[]) =>
      told(() => recordsIn(db, bench, kinds)),
    allBenches: () => told(() => allBenches(db)),
    since: (after: number, scope: Scope, most: number) => told(() => changedSince(db, after, scope, most)),

    history: (bench: string | null, before: number | null, most: number): Promise<HistoryEntry[]> =>
      told(() => historyOf(db, bench, before, most)),
    undo: (bench: string | null, act: Stamp | null, link: string | null): Promise<Versioned[] | null> =>
      within((trx) => undoAct(trx, bench, act, stamp, { link, at: now() })),

    makeLink: (wanted: Pick<Link, "role" | "bench" | "label">) =>
      within((trx) => makeLink(trx, wanted, now())),
    linkOf: (secret: string) => told(() => linkOf(db, secret)),
    links: () => told(() => listLinks(db)),
    revokeLink: (id: string) => within((trx) => revokeLink(trx, id, now())),

    backUp: (): Promise<Backup> =>
      told(() =>
        db
          .transaction()
          .setIsolationLevel("repeatable read")
          .execute((trx) => backUp(trx)),
      ),
    restore: (backup: Backup) => within((trx) => restore(trx, backup, now())),

    close: () => db.destroy(),
  };
}
