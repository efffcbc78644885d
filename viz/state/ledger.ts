import { readRecords } from "../../engine/bench/check.ts";
import { mergeRecords, type Records } from "../../engine/bench/merge.ts";
import { type AnyStored, recordKey } from "../../engine/bench/records.ts";
import { EngineError } from "../../engine/errors.ts";
import { isObject } from "../../engine/shapes/check.ts";
import type { Shelf } from "./storage.ts";

const LEDGER_KEY = "steelyard.ledger.v1";

/** What this browser knows of the server's records, and what it has still to hand in. */
export interface Ledger {
  /** The store that `after` is a number of. */
  house: string | null;
  after: number;
  records: Records;
  waiting: AnyStored[];
}

/** Where a ledger is kept: the one of this browser's own server, or of one behind a link. */
export interface LedgerBook {
  read(): Ledger;
  write(ledger: Ledger): void;
}

/** The ledger kept under a name; null: this browser's own. */
export function ledgerBook(shelf: Pick<Shelf, "getItem" | "setItem">, name: string | null): LedgerBook {
  const key = name === null ? LEDGER_KEY : `${LEDGER_KEY}.${name}`;
  return {
    read: () => readLedger(shelf, key),
    write({ records, ...rest }) {
      try {
        shelf.setItem(key, JSON.stringify({ ...rest, records: [...records.values()] }));
      } catch {
        // Full: the next page load sends everything again, which does no harm.
      }
    },
  };
}

function readLedger(shelf: Pick<Shelf, "getItem">, key: string): Ledger {
  const empty: Ledger = { house: null, after: 0, records: new Map(), waiting: [] };
  try {
    const kept: unknown = JSON.parse(shelf.getItem(key) ?? "null");
    if (!isObject(kept) || !Array.isArray(kept.records) || !Array.isArray(kept.waiting)) return empty;
    return {
      house: typeof kept.house === "string" ? kept.house : null,
      after: typeof kept.after === "number" ? kept.after : 0,
      records: mergeRecords(new Map(), readRecords(kept.records)),
      waiting: readRecords(kept.waiting),
    };
  } catch {
    // The benches themselves are kept elsewhere: a ledger that cannot be read is begun anew.
    return empty;
  }
}

/** What tells one change from another, whatever became of it on the way. */
export const changeKey = (change: AnyStored): string =>
  `${recordKey(change)} ${Object.values(change.stamps).sort().join()}`;

/** Changes as they can be kept; those of a thing that nobody could keep are left out, and `refuse` is told why. */
export function ableToKeep(
  name: string,
  changes: readonly AnyStored[],
  refuse: (why: string) => void,
): AnyStored[] {
  try {
    return readRecords(changes);
  } catch (error) {
    if (!(error instanceof EngineError)) throw error;
    const { detail, remedy } = error.issues[0]!;
    refuse(`${name.slice(0, 40)}: ${detail}; ${remedy}`);
    return [];
  }
}
