import { decodeTime, monotonicFactory } from "ulid";
import type { AnyStored, RecordKind, Stamp } from "../../engine/bench/records.ts";
import { createStamper } from "../../engine/bench/stamp.ts";
import { cancelled, takeBack } from "../../engine/bench/take-back.ts";
import { type Backup, backUp, restore } from "./backup.ts";
import { type Database, fromRow, type Tables, toNumber, type Versioned, type Within } from "./database.ts";
import { type Link, linkOf, listLinks, makeLink, revokeLink } from "./links.ts";
import { migrate } from "./migrations.ts";
import { troubleOf } from "./trouble.ts";
import { loadRecords, takeIn, takeTurn, type WriteContext } from "./write.ts";

type Key = Pick<AnyStored, "bench" | "kind" | "id">;

/** What a reader may see: one bench and the house's ingredients and preps, or (null) everything. */
export type Scope = { bench: string | null };

/** A change as the history keeps it. */
export type HistoryEntry = AnyStored & {
  version: number;
  /** The latest stamp in the change: what is done at once has one. */
  stamp: Stamp;
  link: string | null;
  undoes: Stamp | null;
  at: string;
};

/** Fields of an earlier change that were written again since, so that it cannot be taken back alone. */
export class Overwritten extends Error {
  constructor(
    readonly change: HistoryEntry,
    readonly fields: readonly string[],
  ) {
    super("written again since");
    this.name = "Overwritten";
  }
}

/** Kinds of the house that who sees a bench sees too: its specs use them. */
const SHARED_KINDS: RecordKind[] = ["ingredient", "prep"];

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

  const seen = (scope: Scope) => {
    const query = db.selectFrom("records").selectAll();
    const { bench } = scope;
    if (bench === null) return query;
    return query.where((eb) =>
      eb.or([eb("bench", "=", bench), eb.and([eb("bench", "=", ""), eb("kind", "in", SHARED_KINDS)])]),
    );
  };
  const entries = (on: Within, bench: string | null) => {
    const query = on.selectFrom("history").selectAll();
    return bench === null ? query : query.where("bench", "=", bench);
  };
  const toEntry = (row: Tables["history"]): HistoryEntry => ({
    ...fromRow(row),
    version: toNumber(row.version),
    stamp: row.stamp,
    link: row.link,
    undoes: row.undoes,
    at: row.at,
  });
  const toVersioned = (row: Tables["records"]): Versioned => ({
    ...fromRow(row),
    version: toNumber(row.version),
  });
  const write = (changes: readonly AnyStored[], context: Omit<WriteContext, "at">): Promise<Versioned[]> =>
    within((trx) => takeIn(trx, changes, { ...context, at: now() }));

  return {
    /** Which store this is: numbers of another mean nothing here. */
    house,
    /** A stamp for a write made here in view of `seen`. */
    stamp,
    /** Take changes in, all or none. */
    write,

    /** One record. */
    record: async (key: Key): Promise<Versioned | null> =>
      (await told(() => loadRecords(db, [key]))).values().next().value ?? null,

    /** All records of some kinds that belong to one bench, or (null) to the house. */
    recordsIn: (bench: string | null, kinds: readonly RecordKind[]): Promise<Versioned[]> =>
      told(async () => {
        const rows = await db
          .selectFrom("records")
          .selectAll()
          .where("bench", "=", bench ?? "")
          .where("kind", "in", [...kinds])
          .execute();
        return rows.map(toVersioned);
      }),

    /** All benches with their rounds. */
    allBenches: (): Promise<Versioned[]> =>
      told(async () => {
        const rows = await db
          .selectFrom("records")
          .selectAll()
          .where("kind", "in", ["bench", "round"])
          .execute();
        return rows.map(toVersioned);
      }),

    /** Records changed after a number, in the order of their last change; `version` is where to go on. */
    since: (after: number, scope: Scope, most: number) =>
      told(async () => {
        // Read before the rows: what is written in between comes next time instead of never.
        const { version } = await db.selectFrom("house").select("version").executeTakeFirstOrThrow();
        const rows = await seen(scope)
          .where("version", ">", after)
          .where("version", "<=", toNumber(version))
          .orderBy("version")
          .limit(most + 1)
          .execute();
        const records = rows.slice(0, most).map(toVersioned);
        const more = rows.length > most;
        return { records, version: more ? records.at(-1)!.version : toNumber(version), more };
      }),

    /** Changes before a number, latest first. */
    history: (bench: string | null, before: number | null, most: number): Promise<HistoryEntry[]> =>
      told(async () => {
        const query = entries(db, bench).where("version", "<", before ?? Number.MAX_SAFE_INTEGER);
        return (await query.orderBy("version", "desc").limit(most).execute()).map(toEntry);
      }),

    /**
     * Take back what was done under one stamp, or the latest act that was neither taken back nor itself takes
     * one back. Gives the records concerned; null when there is no such act.
     *
     * @throws Overwritten when a field was written again since
     */
    undo: (bench: string | null, act: Stamp | null, link: string | null): Promise<Versioned[] | null> =>
      within(async (trx) => {
        await takeTurn(trx);
        const all = (await entries(trx, bench).orderBy("version", "desc").execute()).map(toEntry);
        const gone = cancelled(all);
        const undoes = act ?? all.find((entry) => entry.undoes === null && !gone.has(entry.stamp))?.stamp;
        // Seen without the acts that cancel out, and without what the act itself takes back.
        const others = cancelled(all.filter((entry) => entry.stamp !== undoes));
        const counting = all.filter((entry) => !others.has(entry.stamp));
        const at = stamp(
          all
            .map((entry) => entry.stamp)
            .sort()
            .at(-1),
        );
        const changes = all
          .filter((entry) => entry.stamp === undoes)
          .map((entry) => {
            const taking = takeBack(entry, counting, at);
            if ("overwritten" in taking) throw new Overwritten(entry, taking.overwritten);
            return taking.change;
          });
        if (undoes === undefined || changes.length === 0) return null;
        return takeIn(trx, changes, { link, undoes, at: now() });
      }),

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
