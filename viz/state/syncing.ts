import { effect } from "@preact/signals";
import { decodeTime, monotonicFactory } from "ulid";
import { createStamper } from "../../engine/bench/stamp.ts";
import type { House } from "../house.ts";
import { mergeBenches } from "./merge.ts";
import { createServer } from "./server.ts";

/** A round is handed in once the hand rests; what others did is asked for now and then while the page is seen. */
const REST_MS = 600;
const ASK_AGAIN_MS = 20_000;

/** Keep this browser's benches and the server's together for as long as the page is open. */
export function startSyncing({ store, keeping, standing }: House): void {
  const server = createServer({
    shelf: keeping.shelf,
    request: (path, init) => fetch(path, init),
    stamp: createStamper({ now: Date.now, make: monotonicFactory(), timeOf: decodeTime }),
    shipped: [store.data.demo],
  });

  const bring = async () => {
    const sent = store.work.peek().benches;
    const brought = await server.bring(sent);
    standing.value = brought.standing;
    const work = store.work.peek();
    // A copy, so that the user's own order of benches stays.
    const benches = mergeBenches(sent, [...work.benches], brought.benches);
    if (JSON.stringify(benches) === JSON.stringify(work.benches)) return;
    const bench = benches.find(({ id }) => id === work.bench) ?? benches[0];
    const isThere = bench?.rounds.some(({ id }) => id === work.round);
    const round = isThere ? work.round : bench?.current || null;
    store.adopt({ ...work, benches, bench: bench?.id ?? null, round });
  };

  let busy = false;
  let again = false;
  /** One at a time; what is asked for meanwhile is done right after. */
  const ask = async () => {
    if (busy) {
      again = true;
      return;
    }
    busy = true;
    do {
      again = false;
      await bring();
    } while (again);
    busy = false;
  };

  let resting: ReturnType<typeof setTimeout> | undefined;
  let handed: unknown = null;
  effect(() => {
    const { benches } = store.work.value;
    if (benches === handed) return;
    handed = benches;
    clearTimeout(resting);
    resting = setTimeout(ask, REST_MS);
  });
  const askIfSeen = () => {
    if (document.visibilityState === "visible") ask();
  };
  window.addEventListener("online", ask);
  document.addEventListener("visibilitychange", askIfSeen);
  setInterval(askIfSeen, ASK_AGAIN_MS);
}
