import type { AnyStored, Stamp } from "../../engine/bench/records.ts";
import { cancelled, takeBack } from "../../engine/bench/take-back.ts";
import { fromRow, type Tables, toNumber, type Versioned, type Within } from "./database.ts";
import { takeIn, takeTurn, type WriteContext } from "./write.ts";

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

function toEntry(row: Tables["history"]): HistoryEntry {
  const { version, stamp, link, undoes, at } = row;
  return { ...fromRow(row), version: toNumber(version), stamp, link, undoes, at };
}

/** Changes before a number, latest first: of one bench, or (null) of everything. */
export async function historyOf(
  db: Within,
  bench: string | null,
  before: number | null = null,
  most: number | null = null,
): Promise<HistoryEntry[]> {
  let query = db.selectFrom("history").selectAll().orderBy("version", "desc");
  if (bench !== null) query = query.where("bench", "=", bench);
  if (before !== null) query = query.where("version", "<", before);
  if (most !== null) query = query.limit(most);
  return (await query.execute()).map(toEntry);
}

/**
 * Take back what was done under one stamp, or (null) the latest act that was neither taken back nor itself
 * takes one back.
 *
 * @returns the records concerned; null when there is no such act
 * @throws Overwritten when a field was written again since
 */
export async function undoAct(
  db: Within,
  bench: string | null,
  act: Stamp | null,
  stampAfter: (seen: Stamp | undefined) => Stamp,
  context: Pick<WriteContext, "link" | "at">,
): Promise<Versioned[] | null> {
  await takeTurn(db);
  const all = await historyOf(db, bench);
  const gone = cancelled(all);
  const undoes = act ?? all.find((entry) => entry.undoes === null && !gone.has(entry.stamp))?.stamp;
  // Seen without the acts that cancel out, and without what the act itself takes back.
  const others = cancelled(all.filter((entry) => entry.stamp !== undoes));
  const counting = all.filter((entry) => !others.has(entry.stamp));
  const stamps = all.map((entry) => entry.stamp).sort();
  const stamp = stampAfter(stamps.at(-1));
  const changes = all
    .filter((entry) => entry.stamp === undoes)
    .map((entry) => {
      const taking = takeBack(entry, counting, stamp);
      if ("overwritten" in taking) throw new Overwritten(entry, taking.overwritten);
      return taking.change;
    });
  if (undoes === undefined || changes.length === 0) return null;
  return takeIn(db, changes, { ...context, undoes });
}
