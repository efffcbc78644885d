import { effect } from "@preact/signals";
import { decodeTime, monotonicFactory } from "ulid";
import { canonical } from "../../engine/bench/merge.ts";
import { recordKey } from "../../engine/bench/records.ts";
import { createStamper } from "../../engine/bench/stamp.ts";
import type { Bench } from "../../engine/types.ts";
import type { House } from "../house.ts";
import {
  type KeptThings,
  keepThings,
  mergedThings,
  type ThingChanges,
  type Things,
  thingsHere,
  thingsSince,
} from "./house-things.ts";
import { keepKey } from "./kept-keys.ts";
import { isOwnHouse, type Key, keys, keyTo } from "./keys.ts";
import { mergeBenches, withBenches } from "./merge.ts";
import { createServer, type ServerDeps } from "./server.ts";
import { loadSettings } from "./storage.ts";
import type { Work } from "./view.ts";

/** A round is handed in once the hand rests; what others did is asked for now and then while the page is seen. */
const REST_MS = 600;
const ASK_AGAIN_MS = 20_000;

type Server = ReturnType<typeof createServer>;
type Brought = Awaited<ReturnType<Server["bring"]>>;

/** This browser's exchange with its server, one for the whole page. */
export interface Syncing {
  /** Hand in what waits and fetch what others did; done when all of what was there at the call is. */
  bring(): Promise<void>;
  /** The side of the server that keeps a bench: this browser's own, or the one behind the link it came by. */
  serverOf(bench: string | null): Server;
  /** The header by which a bench is asked for. */
  leaveFor(bench: string | null): Record<string, string>;
}

/** The browser's copy of what lies behind a key. */
export function serverBehind(key: Key, deps: Omit<ServerDeps, "link" | "keeps">): Server {
  const { bench, secret, role } = key;
  // Who owns the whole house works in it as on their own machine.
  const link = { secret, onlySees: role === "viewer", ledger: `${role}.${bench ?? "house"}` };
  return createServer({ ...deps, link, keeps: (id) => isBehind(key, id) });
}

/** A bench is behind the key to it alone, else behind the house's, unless this browser has it as its own. */
function isBehind(key: Key, id: string): boolean {
  if (key.bench !== null) return key.bench === id;
  return keys.value.every((other) => other === key || other.bench !== id);
}

/** What a server needs of this page. */
export const depsOf = (shelf: ServerDeps["shelf"], shipped: readonly Bench[]): ServerDeps => ({
  shelf,
  request: (path, init) => fetch(path, init),
  stamp: createStamper({ now: Date.now, make: monotonicFactory(), timeOf: decodeTime }),
  shipped,
});

const made = new WeakMap<House, Syncing>();

/** The exchange of a house, made when it is first asked for. */
export function syncingOf(house: House): Syncing {
  const found = made.get(house) ?? createSyncing(house);
  made.set(house, found);
  return found;
}

function createSyncing({ store, keeping, standing }: House): Syncing {
  const { shelf } = keeping;
  const deps = { ...depsOf(shelf, [store.data.demo]), had: keeping.opened };
  const own = createServer({ ...deps, keeps: (id) => keyTo(id) === undefined });
  const behind = new Map<string, Server>();
  const serverBy = (key: Key): Server => {
    const server = behind.get(key.secret) ?? serverBehind(key, deps);
    behind.set(key.secret, server);
    return server;
  };

  /** The benches behind a key with what others did; what can be told of the key is noted. */
  const bringBy = async (
    key: Key,
    sent: readonly Bench[],
    shared: ThingChanges | undefined,
  ): Promise<Pick<Brought, "benches" | "house">> => {
    // Who puts away a bench that is only seen lets go of the link.
    if (key.bench !== null && key.role === "viewer" && sent.every(({ id }) => id !== key.bench)) {
      keepKey(shelf, key.bench, null);
      return { benches: [], house: { things: new Map(), off: new Set() } };
    }
    const { benches, house, standing: how } = await serverBy(key).bring(sent, shared);
    const { lend } = await import("./lending.ts");
    lend(key, serverBy(key).records(), store.data.pantry);
    const gone = how.state === "shut";
    const found = [...new Set([...key.benches, ...benches.map(({ id }) => id)])];
    if (gone !== (key.gone ?? false) || found.length !== key.benches.length) {
      const { gone: _, ...rest } = key;
      keepKey(shelf, key.bench, { ...rest, benches: found, ...(gone && { gone }) });
    }
    if (keyTo(store.work.peek().bench)?.bench === key.bench) standing.value = how;
    if (key.role === "owner") return { benches, house };
    // What only this browser still has of it is not let go of because its ledger was lost.
    const noted = serverBy(key).records();
    const held = ({ id }: Bench) => key.benches.includes(id);
    const isNoted = ({ id }: Bench) => noted.has(recordKey({ kind: "bench", id, bench: id }));
    return { benches: [...benches, ...sent.filter((bench) => held(bench) && !isNoted(bench))], house };
  };

  /** What the house shares, as it was when the server was last spoken with. */
  let known: Things | null = null;
  const bringOnce = async () => {
    keeping.now();
    const sent = store.work.peek().benches;
    const here = thingsHere(shelf, store.work.peek().benches);
    const shared = thingsSince(known, here);
    const houses = keys.peek().find((key) => isOwnHouse(key) && !key.gone);
    const brought = await own.bring(sent, houses ? undefined : shared);
    if (!keyTo(store.work.peek().bench)) standing.value = brought.standing;
    const theirs = [...brought.benches];
    let { house } = brought;
    for (const key of keys.peek()) {
      const by = await bringBy(key, sent, key === houses ? shared : undefined);
      theirs.push(...by.benches);
      if (key === houses) ({ house } = by);
    }
    known = await takeThings(here, house);
    const work = store.work.peek();
    // A copy, so that the user's own order of benches stays.
    const benches = mergeBenches(sent, [...work.benches], theirs);
    if (JSON.stringify(benches) === JSON.stringify(work.benches)) return;
    store.adopt(withBenches(work, benches));
  };

  /** Put in what others did to what the house shares. Gives what is now in step with the server. */
  const takeThings = async (sent: Things, theirs: KeptThings): Promise<Things> => {
    keeping.now();
    const here = thingsHere(shelf, store.work.peek().benches);
    const merged = mergedThings(here, sent, theirs);
    const inStep = new Map(
      [...merged].filter(([key, value]) => canonical(theirs.things.get(key)) === canonical(value)),
    );
    for (const [key, value] of sent) if (!inStep.has(key)) inStep.set(key, value);
    if (thingsSince(here, merged).changed.size + thingsSince(here, merged).dropped.length === 0)
      return inStep;
    const before = loadSettings(shelf);
    const kept = keepThings(shelf, merged);
    const work = store.work.peek();
    // Another's figures and measures, shown by a link, stay as long as they are shown.
    const usual = <K extends "units" | "ladder" | "unitSettings" | "measured">(key: K): Partial<Work> =>
      kept[key] !== undefined &&
      (before[key] === undefined || canonical(work[key]) === canonical(before[key]))
        ? ({ [key]: kept[key] } as Partial<Work>)
        : {};
    store.adopt({
      ...work,
      ...usual("units"),
      ...usual("ladder"),
      ...usual("unitSettings"),
      ...usual("measured"),
      prices: kept.prices,
      own: kept.own,
    });
    if (canonical([kept.preps, kept.own]) !== canonical([before.preps, before.own])) {
      // How preps are worked out is fetched only then.
      const { withShelf } = await import("../preps/shelf-work.ts");
      store.adopt({ ...store.work.peek(), ...withShelf(store.work.peek(), store.pantry.peek(), kept.preps) });
    }
    return inStep;
  };

  let busy: Promise<void> | null = null;
  let again = false;
  const bringAll = async () => {
    try {
      do {
        again = false;
        await bringOnce();
      } while (again);
    } finally {
      busy = null;
    }
  };
  return {
    /** One at a time; what is asked for meanwhile is done right after. */
    bring() {
      if (busy) again = true;
      busy ??= bringAll();
      return busy;
    },
    serverOf(bench) {
      const key = keyTo(bench);
      return key ? serverBy(key) : own;
    },
    leaveFor(bench) {
      const key = keyTo(bench);
      const none: Record<string, string> = {};
      return key ? { Authorization: `Bearer ${key.secret}` } : none;
    },
  };
}

/** Keep this browser's benches and the server's together for as long as the page is open. */
export function startSyncing(house: House): void {
  const { store } = house;
  const { bring } = syncingOf(house);
  let resting: ReturnType<typeof setTimeout> | undefined;
  let handed: unknown[] = [];
  effect(() => {
    const { benches, preps, own, prices, measured, unitSettings, units, ladder } = store.work.value;
    const now = [benches, preps, own, prices, measured, unitSettings, units, ladder];
    if (now.every((part, i) => part === handed[i])) return;
    handed = now;
    clearTimeout(resting);
    resting = setTimeout(bring, REST_MS);
  });
  const askIfSeen = () => {
    if (document.visibilityState === "visible") bring();
  };
  window.addEventListener("online", bring);
  document.addEventListener("visibilitychange", askIfSeen);
  setInterval(askIfSeen, ASK_AGAIN_MS);
}
