import { readRecords } from "../../engine/bench/check.ts";
import { type AnyStored, recordKey, type Stamp } from "../../engine/bench/records.ts";
import { EngineError, under } from "../../engine/errors.ts";
import { fromRow, type Within } from "./database.ts";
import type { Link } from "./links.ts";
import { takeIn } from "./write.ts";

/** One change of the history, as a backup keeps it. */
export interface KeptChange {
  change: AnyStored;
  link: string | null;
  undoes: Stamp | null;
  at: string;
}

/** Everything in a store, as one JSON document. Secrets are not in it: of links it has only the hashes. */
export interface Backup {
  format: "steelyard-backup";
  version: 1;
  /** How things stand. */
  records: AnyStored[];
  /** How they came to stand so, first change first. */
  history: KeptChange[];
  links: (Link & { hash: string })[];
}

const byText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

/** The whole store; run inside a transaction, so that its parts are of one moment. */
export async function backUp(db: Within): Promise<Backup> {
  const records = (await db.selectFrom("records").selectAll().execute()).map(fromRow);
  const history = await db.selectFrom("history").selectAll().orderBy("version").execute();
  const links = await db.selectFrom("links").selectAll().execute();
  return {
    format: "steelyard-backup",
    version: 1,
    records: records.sort((a, b) => byText(recordKey(a), recordKey(b))),
    history: history.map((row) => ({
      change: fromRow(row),
      link: row.link,
      undoes: row.undoes,
      at: row.at,
    })),
    links: links
      .map(({ id, hash, role, bench, label, made, revoked }) => ({
        id,
        hash,
        role: role as Link["role"],
        bench,
        label,
        made,
        revoked,
      }))
      .sort((a, b) => byText(a.id, b.id)),
  };
}

/**
 * Bring a backup in, inside a transaction: into an empty store it restores everything to the letter; into
 * one in use it merges, so that nothing later is overwritten and nothing is doubled. A link revoked on either
 * side is revoked.
 *
 * @throws EngineError for records that are wrong or lean on others that are not there
 */
export async function restore(db: Within, { records, history, links }: Backup, at: string): Promise<void> {
  under("/records", () => readRecords(records));
  under("/history", () => readRecords(history.map(({ change }) => change)));
  for (const [i, { change, link, undoes, at: then }] of history.entries()) {
    try {
      await takeIn(db, [change], { link, at: then, ...(undoes !== null && { undoes }) });
    } catch (error) {
      if (!(error instanceof EngineError)) throw error;
      throw new EngineError(
        error.issues.map((issue) => ({
          ...issue,
          pointer: issue.pointer.replace("/0", `/history/${i}/change`),
        })),
      );
    }
  }
  if (records.length > 0) await takeIn(db, records, { link: null, at });
  for (const link of links) {
    await db
      .insertInto("links")
      .values(link)
      .onConflict((oc) => oc.doNothing())
      .execute();
    if (link.revoked === null) continue;
    await db
      .updateTable("links")
      .set({ revoked: link.revoked })
      .where("id", "=", link.id)
      .where("revoked", "is", null)
      .execute();
  }
}
