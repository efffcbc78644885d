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
import { isObject } from "../../engine/shapes/check.ts";
import type { Bench } from "../../engine/types.ts";
import { type KeptThings, type ThingChanges, thingChanges, thingsKept } from "./house-things.ts";
import { ableToKeep, changeKey, type Ledger, ledgerBook } from "./ledger.ts";

/*
 * This browser's benches and the server's, kept together. The page goes on working on whole benches; here
 * they are taken apart into records, of which the server gets what is new and gives what others did. Without
 * a server nothing is lost: what was not acknowledged waits, and is sent again when it is back.
 */

/** Records one request may bring. */
const BATCH = 400;

type Answer = z.infer<typeof SyncAnswerSchema>;

/**
 * How it went: `kept` on the server; `alone` without one, or without a link to it; `shut`: the link is no longer
 * taken; `refused` in part.
 */
export type Standing =
  | { state: "kept" | "alone" | "shut" }
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
  /** The link by which the server is asked, if it is by one: its secret, and whether its bearer changes nothing. */
  link?: { secret: string; onlySees: boolean; ledger: string } | undefined;
  /** Benches the page has had before the server is first spoken with: one put away by then is put away there too. */
  had?: Iterable<string>;
  /** Whether a bench is kept here, and not by another link; all of them unless it says so. */
  keeps?: (bench: string) => boolean;
}

const NOTHING_SHARED: ThingChanges = { changed: new Map(), dropped: [] };

/** The index of the change that a problem document names first; null when it names none. */
function refusedChange(body: unknown): number | null {
  const errors = isObject(body) && Array.isArray(body.errors) ? (body.errors as { pointer?: unknown }[]) : [];
  const index = /^#(?:\/changes)?\/(\d+)/.exec(String(errors[0]?.pointer ?? ""))?.[1];
  return index === undefined ? null : Number(index);
}

/** Hand changes in and ask what is new; null where nobody answers. */
async function post(
  { request, link }: Pick<ServerDeps, "request" | "link">,
  { house, after }: Ledger,
  changes: readonly AnyStored[],
): Promise<Response | null> {
  try {
    return await request("/v1/sync", {
      method: "POST",
      headers: {
        "Content-Type": "application/json",
        ...(link && { Authorization: `Bearer ${link.secret}` }),
      },
      body: JSON.stringify({ house, after, changes }),
    });
  } catch {
    return null;
  }
}

/** This browser's side of the server's store: what the page calls when its benches changed, when it opens, and now and then. */
export function createServer({
  shelf,
  request,
  stamp,
  shipped,
  link,
  had: opened = [],
  keeps = () => true,
}: ServerDeps) {
  const book = ledgerBook(shelf, link?.ledger ?? null);
  const asShipped = new Map(shipped.map((bench) => [bench.id, bench]));
  /** Benches the page has had: only one of these can be gone because someone put it away. */
  const had = new Set(opened);

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
    shared: ThingChanges,
  ): { ledger: Ledger; refused: string | null } {
    if (link?.onlySees) return { ledger, refused: null };
    const at = stamp(latestStamp(ledger.records.values()));
    let refused: string | null = null;
    const able = (name: string, changes: readonly AnyStored[]) =>
      ableToKeep(name, changes, (why) => {
        refused = why;
      });
    const changes = benches
      .filter(({ id }) => keeps(id))
      .flatMap((bench) => able(bench.name, changesOf(ledger.records, bench, at)));
    const there = new Set(benches.map(({ id }) => id));
    for (const id of there) had.add(id);
    const gone = benchesOf(ledger.records).filter(({ id }) => keeps(id) && had.has(id) && !there.has(id));
    const all = [
      ...changes,
      ...gone.flatMap((bench) => changesTo(bench, null, at)),
      ...thingChanges(ledger.records, shared, at).flatMap((change) => able(change.id, [change])),
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
    const ledger = book.read();
    const at = stamp(latestStamp(ledger.records.values()));
    const known = benchOf(ledger.records, bench.id) !== null;
    const worked = changesOf(ledger.records, bench, at);
    const basis = known || worked.length > 0 ? worked : changesTo(null, bench, FIRST_STAMP);
    const all = readRecords([...basis, changeOf(kind, id, bench.id, values, at)]);
    const records = mergeRecords(ledger.records, all);
    book.write({ ...ledger, records, waiting: [...ledger.waiting, ...all] });
  }

  /** Take in what the server said; another tab may have written the ledger meanwhile. */
  function settle(sent: readonly AnyStored[], answer: Answer): Ledger {
    const now = book.read();
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
    book.write(ledger);
    return ledger;
  }

  /**
   * Bring benches and server together.
   *
   * @param shared what was done here to what the house shares
   * @returns the benches kept here and what the house shares with what others did, to be merged into what the user did meanwhile, and how it went
   */
  async function bring(
    benches: readonly Bench[],
    shared: ThingChanges = NOTHING_SHARED,
  ): Promise<{ benches: Bench[]; house: KeptThings; standing: Standing }> {
    let { ledger, refused } = note(book.read(), benches, shared);
    book.write(ledger);
    const isNoted = (id: string) => ledger.records.has(recordKey({ kind: "bench", id, bench: id }));
    const isOnlyHere = ({ id }: Bench) => !link?.onlySees && keeps(id) && !isNoted(id);
    const result = (standing: Standing) => ({
      benches: [...benches.filter(isOnlyHere), ...benchesOf(ledger.records).filter(({ id }) => keeps(id))],
      house: thingsKept(ledger.records),
      standing,
    });
    for (let more = true; more; ) {
      const sent = ledger.waiting.slice(0, BATCH);
      const response = await post({ request, link }, ledger, sent);
      if (!response) return result({ state: "alone" });
      if (response.status === 401) return result({ state: link ? "shut" : "alone" });
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
      const now = book.read();
      ledger = { ...now, waiting: now.waiting.filter((change) => changeKey(change) !== changeKey(wrong)) };
      book.write(ledger);
    }
    return result(refused === null ? { state: "kept" } : { state: "refused", reason: refused });
  }

  return {
    bring,
    write,
    /** Everything this browser knows of, the benches of others included. */
    records: (): Records => book.read().records,
  };
}
