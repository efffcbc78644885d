import type { Kysely, Transaction } from "kysely";
import type { AnyStored, RecordKind } from "../../engine/bench/records.ts";

/*
 * The tables, the same in SQLite and Postgres. Values are kept as JSON text, written once and read back to the
 * letter; what has to be searched has a column. No query depends on how a database sorts text.
 */
export interface Tables {
  /** One row: which store this is, and the number of the last write. */
  house: { id: string; version: number };
  /** How things stand. `bench` is "" for what the whole house shares. */
  records: { bench: string; kind: RecordKind; id: string; body: string; version: number };
  /** Every change ever taken in, in order; rows are only added. */
  history: {
    version: number;
    bench: string;
    kind: RecordKind;
    id: string;
    /** The latest stamp in the change. */
    stamp: string;
    body: string;
    /** The link it came through; null for the local owner. */
    link: string | null;
    /** The stamp of the change it takes back. */
    undoes: string | null;
    /** Server's time of writing, ISO 8601. */
    at: string;
  };
  links: {
    id: string;
    /** SHA-256 of the secret, hexadecimal. */
    hash: string;
    role: string;
    bench: string | null;
    label: string;
    made: string;
    revoked: string | null;
  };
}

export type Database = Kysely<Tables>;
export type Within = Transaction<Tables> | Database;

/** A record with the number of the write that last changed it. */
export type Versioned = AnyStored & { version: number };

/** Postgres gives its 64-bit integers as text; ours stay far below 2⁵³. */
export const toNumber = (value: number | string | bigint): number => Number(value);

export interface Row {
  bench: string;
  kind: RecordKind;
  id: string;
  body: string;
}

/** A row's record. */
export function fromRow({ bench, kind, id, body }: Row): AnyStored {
  return { kind, id, bench: bench === "" ? null : bench, ...JSON.parse(body) } as AnyStored;
}

/** A row's record with its number. */
export const toVersioned = (row: Tables["records"]): Versioned => ({
  ...fromRow(row),
  version: toNumber(row.version),
});

/** A record's row. */
export function toRow({ kind, id, bench, values, stamps }: AnyStored): Row {
  return { bench: bench ?? "", kind, id, body: JSON.stringify({ values, stamps }) };
}
