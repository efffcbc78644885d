import { type Kysely, type Migration, Migrator, sql } from "kysely";
import { ulid } from "ulid";
import type { Database } from "./database.ts";
import { StoreTrouble } from "./trouble.ts";

/** The steps that lead any older store here, by name, in the order of their names. Never change one: add. */
const MIGRATIONS: Record<string, Migration> = {
  "0001-records": {
    async up(db: Kysely<unknown>) {
      await db.schema
        .createTable("house")
        .addColumn("id", "text", (c) => c.primaryKey())
        .addColumn("version", "bigint", (c) => c.notNull())
        .execute();
      await (db as Database).insertInto("house").values({ id: ulid(), version: 0 }).execute();
      await db.schema
        .createTable("records")
        .addColumn("bench", "text", (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("id", "text", (c) => c.notNull())
        .addColumn("body", "text", (c) => c.notNull())
        .addColumn("version", "bigint", (c) => c.notNull())
        .addPrimaryKeyConstraint("records_key", ["bench", "kind", "id"])
        .execute();
      await db.schema.createIndex("records_version").on("records").column("version").execute();
      await db.schema
        .createTable("history")
        .addColumn("version", "bigint", (c) => c.primaryKey())
        .addColumn("bench", "text", (c) => c.notNull())
        .addColumn("kind", "text", (c) => c.notNull())
        .addColumn("id", "text", (c) => c.notNull())
        .addColumn("stamp", "text", (c) => c.notNull())
        .addColumn("body", "text", (c) => c.notNull())
        .addColumn("link", "text")
        .addColumn("undoes", "text")
        .addColumn("at", "text", (c) => c.notNull())
        .execute();
      await db.schema
        .createIndex("history_record")
        .on("history")
        .columns(["bench", "kind", "id", "stamp"])
        .execute();
      await db.schema
        .createTable("links")
        .addColumn("id", "text", (c) => c.primaryKey())
        .addColumn("hash", "text", (c) => c.notNull().unique())
        .addColumn("role", "text", (c) => c.notNull())
        .addColumn("bench", "text")
        .addColumn("label", "text", (c) => c.notNull())
        .addColumn("made", "text", (c) => c.notNull())
        .addColumn("revoked", "text")
        .execute();
    },
  },
};

/**
 * Bring the tables to the present form; several processes may do so at once. A store written by a newer
 * version is refused, not touched.
 */
export async function migrate(db: Database): Promise<void> {
  const run = (on: Database) =>
    new Migrator({ db: on, provider: { getMigrations: async () => MIGRATIONS } }).migrateToLatest();
  // Against Postgres the migrator locks and uses a transaction by itself; against SQLite it does neither.
  const { error } = db.getExecutor().adapter.supportsTransactionalDdl
    ? await run(db)
    : await db.connection().execute(async (one) => {
        await sql`begin`.execute(one);
        const result = await run(one);
        await (result.error ? sql`rollback` : sql`commit`).execute(one);
        return result;
      });
  if (!error) return;
  if (error instanceof Error && error.message.startsWith("corrupted migrations")) {
    throw new StoreTrouble(
      "newer",
      "the store was written by a newer version of this program",
      "start that version again, or point DATA_DIR or DATABASE_URL elsewhere",
    );
  }
  throw error;
}
