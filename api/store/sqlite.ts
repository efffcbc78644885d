import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { DatabaseSync, type DatabaseSyncInstance } from "@photostructure/sqlite";
import { Kysely, type SqliteDatabase, SqliteDialect } from "kysely";
import type { Database, Tables } from "./database.ts";
import { StoreTrouble } from "./trouble.ts";

/** How long a write waits for another process, ms. */
const BUSY_MS = 5000;

/** What kysely asks of a SQLite driver, by the interface that later Node brings itself (node:sqlite). */
function asKyselyWants(db: DatabaseSyncInstance): SqliteDatabase {
  return {
    close: () => db.close(),
    prepare(sql) {
      // A transaction that starts as a reader cannot always become a writer; ours all write.
      if (sql === "begin") return command(() => db.exec("begin immediate"));
      // After a full disk SQLite has rolled back by itself.
      if (sql === "rollback") return command(() => db.isTransaction && db.exec("rollback"));
      const statement = db.prepare(sql);
      return {
        reader: statement.columns().length > 0,
        all: (parameters) => statement.all(...parameters),
        run: (parameters) => statement.run(...parameters),
        iterate: (parameters) => statement.iterate(...parameters),
      };
    },
  };
}

function command(run: () => unknown): ReturnType<SqliteDatabase["prepare"]> {
  const done = () => {
    run();
    return { changes: 0, lastInsertRowid: 0 };
  };
  return { reader: false, all: () => [], run: done, iterate: () => [][Symbol.iterator]() };
}

/** The file inside a data folder. */
export const storeFile = (folder: string): string => join(folder, "steelyard.db");

/**
 * Open the one file of a data folder, which is made when missing; null keeps everything in memory, for tests.
 * Each commit is on disk before it is answered (write-ahead log, synchronous FULL); several processes may
 * share the file. A damaged file is refused before anything is written.
 */
export function openSqlite(folder: string | null): Database {
  if (folder !== null) {
    try {
      mkdirSync(folder, { recursive: true, mode: 0o700 });
    } catch (error) {
      throw new StoreTrouble(
        "missing",
        `the folder ${folder} cannot be made (${(error as NodeJS.ErrnoException).code ?? "unknown reason"})`,
        "set DATA_DIR to a folder that this user may write to",
        error,
      );
    }
  }
  const db = new DatabaseSync(folder === null ? ":memory:" : storeFile(folder), { timeout: BUSY_MS });
  try {
    const check = db.prepare("pragma quick_check(1)").get() as { quick_check: string };
    if (check.quick_check !== "ok") throw Object.assign(new Error(check.quick_check), { errcode: 11 });
    db.exec("pragma journal_mode = wal");
    db.exec("pragma synchronous = full");
  } catch (error) {
    db.close();
    throw error;
  }
  return new Kysely<Tables>({ dialect: new SqliteDialect({ database: asKyselyWants(db) }) });
}
