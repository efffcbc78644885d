import type { z } from "zod";
import type { SyncAnswerSchema } from "../../api/schemas/kept.ts";
import { readRecords } from "../../engine/bench/check.ts";
import { latestStamp, mergeRecords, type Records } from "../../engine/bench/merge.ts";
import {
  type AnyStored,
  FIRST_STAMP,
  type RecordKind,
  recordKey,
  type Stamp,
  type ValuesOf,
} from "../../engine/bench/records.ts";
import { benchesOf, benchOf, changeOf, changesTo } from "../../engine/bench/view.ts";
import { EngineError } from "../../engine/errors.ts";
import { isObject } from "../../engine/shapes/check.ts";
import type { Bench } from "../../engine/types.ts";
import { prepChanges, prepsOf, type ShelfChanges } from "./prep-records.ts";

/*
 * This browser's benches and the server's, kept together. The page goes on working on whole benches; here
 * they are taken apart into records, of which the server gets what is new and gives what others did. Without
 * a server nothing is lost: what was not acknowledged waits, and is sent again when it is back.
 */

const LEDGER_KEY = "steelyard.ledger.v1";
/** Records one request may bring. */
const BATCH = 400;

/** What this browser knows of the server's records, and what it has still to hand in. */
interface Ledger {
  /** The store that `after` is a number of. */
  house: string | null;
  after: number;
  records: Records;
  waiting: AnyStored[];
}

type Answer = z.infer<typeof SyncAnswerSchema>;

/** How it went: `kept` on the server; `alone` without one, or without a link to it; `refused` in part. */
export type Standing =
  | { state: "kept" | "alone" }
  /** Why, in a sentence of the server's; what was refused stays in this browser. */
  | { state: "refused"; reason: string };

export interface ServerDeps {
  shelf: Pick<Storage, "getItem" | "setItem">;
  /** `fetch`, or what stands for it in tests. */
  request(path: string, init: RequestInit): Promise<Response>;
  /** A fresh stamp, later than the one given: `createStamper` on the `ulid` library. */
  stamp(seen?: Stamp): Stamp;
  /** Benches that come with the page: one is kept only once it was worked on. */
  shipped: readonly Bench[];
  /** The secret of the link the page was opened by, if it was. */
  secret?: string | undefined;
}

function readLedger(shelf: ServerDeps["shelf"]): Ledger {
  const empty: Ledger = { house: null, after: 0, records: new Map(), waiting: [] };
  try {
    const kept: unknown = JSON.parse(shelf.getItem(LEDGER_KEY) ?? "null");
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

function writeLedger(shelf: ServerDeps["shelf"], { records, ...rest }: Ledger): void {
  try {
    shelf.setItem(LEDGER_KEY, JSON.stringify({ ...rest, records: [...records.values()] }));
  } catch {
    // Full: the next page load sends everything again, which does no harm.
  }
}

const changeKey = (change: AnyStored): string =>
  `${recordKey(change)} ${Object.values(change.stamps).sort().join()}`;

/** The index of the change that a problem document names first; null when it names none. */
function refusedChange(body: unknown): number | null {
  const errors = isObject(body) && Array.isArray(body.errors) ? (body.errors as { pointer?: unknown }[]) : [];
  const index = /^#(?:\/changes)?\/(\d+)/.exec(String(errors[0]?.pointer ?? ""))?.[1];
  return index === undefined ? null : Number(index);
}

/** This browser's side of the server's store: what the page calls when its benches changed, when it opens, and now and then. */
export function createServer({ shelf, request, stamp, shipped, secret }: ServerDeps) {
  const asShipped = new Map(shipped.map((bench) => [bench.id, bench]));

  /** What was done to one bench since the ledger last heard of it. */
  function changesOf(records: Records, bench: Bench, at: Stamp): AnyStored[] {
    const before = benchOf(records, bench.id);
    const original = asShipped.get(bench.id);
    if (before || !original) return changesTo(before, bench, at);
    const worked = changesTo(original, bench, at);
    return worked.length === 0 ? [] : [...changesTo(null, original, FIRST_STAMP), ...worked];
  }

  /** Note in the ledger what the page did to its benches; a bench that nobody could keep is left out, and why. */
  function note(
    ledger: Ledger,
    benches: readonly Bench[],
    shelved: ShelfChanges,
  ): { ledger: Ledger; refused: string | null } {
    const at = stamp(latestStamp(ledger.records.values()));
    let refused: string | null = null;
    const changes = benches.flatMap((bench): AnyStored[] => {
      try {
        return readRecords(changesOf(ledger.records, bench, at));
      } catch (error) {
        if (!(error instanceof EngineError)) throw error;
        const { detail, remedy } = error.issues[0]!;
        refused = `${bench.name.slice(0, 40)}: ${detail}; ${remedy}`;
        return [];
      }
    });
    const there = new Set(benches.map(({ id }) => id));
    const gone = benchesOf(ledger.records).filter(({ id }) => !there.has(id));
    const all = [
      ...changes,
      ...gone.flatMap((bench) => changesTo(bench, null, at)),
      ...prepChanges(ledger.records, shelved, at),
    ];
    if (all.length === 0) return { ledger, refused };
    const records = mergeRecords(ledger.records, all);
    return { ledger: { ...ledger, records, waiting: [...ledger.waiting, ...all] }, refused };
  }

  /**
   * Keep a record that belongs to a bench and is no part of it (a flight, a tasting); `bring` hands it in. The
   * bench itself is noted first: nothing can lean on a bench that is not there.
   *
   * @throws EngineError for a record nobody could keep
   */
  function write<K extends RecordKind>(
    bench: Bench,
    kind: K,
    id: string,
    values: Partial<ValuesOf<K>>,
  ): void {
    const ledger = readLedger(shelf);
    const at = stamp(latestStamp(ledger.records.values()));
    const known = benchOf(ledger.records, bench.id) !== null;
    const worked = changesOf(ledger.records, bench, at);
    const basis = known || worked.length > 0 ? worked : changesTo(null, bench, FIRST_STAMP);
    const all = readRecords([...basis, changeOf(kind, id, bench.id, values, at)]);
    const records = mergeRecords(ledger.records, all);
    writeLedger(shelf, { ...ledger, records, waiting: [...ledger.waiting, ...all] });
  }

  async function post(ledger: Ledger, changes: readonly AnyStored[]): Promise<Response | null> {
    try {
      return await request("/v1/sync", {
        method: "POST",
        headers: {
          "Content-Type": "application/json",
          ...(secret !== undefined && { Authorization: `Bearer ${secret}` }),
        },
        body: JSON.stringify({ house: ledger.house, after: ledger.after, changes }),
      });
    } catch {
      return null;
    }
  }

  /** Take in what the server said; another tab may have written the ledger meanwhile. */
  function settle(sent: readonly AnyStored[], answer: Answer): Ledger {
    const now = readLedger(shelf);
    const done = new Set(sent.map(changeKey));
    const records = mergeRecords(now.records, readRecords(answer.records.map(({ record }) => record)));
    const isOther = now.house !== null && now.house !== answer.house;
    const ledger: Ledger = {
      house: answer.house,
      after: answer.after,
      records,
      // Another store than last time (one restored, say) gets everything this browser has.
      waiting: isOther ? [...records.values()] : now.waiting.filter((change) => !done.has(changeKey(change))),
    };
    writeLedger(shelf, ledger);
    return ledger;
  }

  /**
   * Bring benches and server together.
   *
   * @param shelved what was done to the shelf of preps here
   * @returns the benches and the shelf with what others did, to be merged into what the user did meanwhile, and how it went
   */
  async function bring(
    benches: readonly Bench[],
    shelved: ShelfChanges = { changed: [], dropped: [] },
  ): Promise<{ benches: Bench[]; shelf: ReturnType<typeof prepsOf>; standing: Standing }> {
    let { ledger, refused } = note(readLedger(shelf), benches, shelved);
    writeLedger(shelf, ledger);
    const isNoted = ({ id }: Bench) => ledger.records.has(recordKey({ kind: "bench", id, bench: id }));
    const result = (standing: Standing) => ({
      benches: [...benches.filter((bench) => !isNoted(bench)), ...benchesOf(ledger.records)],
      shelf: prepsOf(ledger.records),
      standing,
    });
    for (let more = true; more; ) {
      const sent = ledger.waiting.slice(0, BATCH);
      const response = await post(ledger, sent);
      if (!response || response.status === 401) return result({ state: "alone" });
      const body: unknown = await response.json().catch(() => null);
      if (response.ok) {
        const answer = body as Answer;
        ledger = settle(sent, answer);
        more = answer.more || ledger.waiting.length > 0;
        continue;
      }
      const wrong = response.status === 422 ? sent[refusedChange(body) ?? -1] : undefined;
      const reason =
        isObject(body) && typeof body.detail === "string" ? body.detail : `answer ${response.status}`;
      if (!wrong) return result({ state: "refused", reason });
      // One record that cannot stand must not keep the others back; it stays here.
      refused = reason;
      const now = readLedger(shelf);
      ledger = { ...now, waiting: now.waiting.filter((change) => changeKey(change) !== changeKey(wrong)) };
      writeLedger(shelf, ledger);
    }
    return result(refused === null ? { state: "kept" } : { state: "refused", reason: refused });
  }

  return {
    bring,
    write,
    /** Everything this browser knows of, the benches of others included. */
    records: (): Records => readLedger(shelf).records,
  };
}
