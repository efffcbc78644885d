import { Kysely, PostgresDialect } from "kysely";
import pg from "pg";
import type { Database, Tables } from "./database.ts";

/** Connections a process holds at most: writes take turns anyway. */
const CONNECTIONS = 8;
const CONNECT_MS = 5000;

/** A pool on a Postgres-compatible server. Lost connections are made again; `onLost` hears of them. */
export function openPostgres(url: string, onLost: (error: Error) => void): Database {
  const pool = new pg.Pool({
    connectionString: url,
    max: CONNECTIONS,
    connectionTimeoutMillis: CONNECT_MS,
    application_name: "steelyard",
  });
  pool.on("error", onLost);
  return new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) });
}
