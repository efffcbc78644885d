import { effect } from "@preact/signals";
import { decodeTime, monotonicFactory } from "ulid";
import { canonical } from "../../engine/bench/merge.ts";
import { createStamper } from "../../engine/bench/stamp.ts";
import type { Prep } from "../../engine/prep/types.ts";
import type { House } from "../house.ts";
import { mergeBenches, withBenches } from "./merge.ts";
import { mergedShelf, type prepsOf } from "./prep-records.ts";
import { createServer } from "./server.ts";
import type { Work } from "./view.ts";

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

  let shelved: readonly Prep[] = [];
  const bring = async () => {
    const { benches: sent, preps } = store.work.peek();
    const brought = await server.bring(sent, {
      changed: preps.filter((p) => !shelved.includes(p)),
      dropped: shelved.filter((p) => preps.every(({ id }) => id !== p.id)).map(({ id }) => id),
    });
    standing.value = brought.standing;
    shelved = preps;
    await takeShelf(preps, brought.shelf);
    const work = store.work.peek();
    // A copy, so that the user's own order of benches stays.
    const benches = mergeBenches(sent, [...work.benches], brought.benches);
    if (JSON.stringify(benches) === JSON.stringify(work.benches)) return;
    store.adopt(withBenches(work, benches));
  };

  /** Put in what others did to the shelf; how preps are worked out is fetched only then. */
  const takeShelf = async (sent: readonly Prep[], theirs: ReturnType<typeof prepsOf>) => {
    const shelf = mergedShelf(store.work.peek().preps, sent, theirs);
    if (canonical(shelf) === canonical(store.work.peek().preps)) return;
    const { withShelf } = await import("../preps/shelf-work.ts");
    const work = store.work.peek();
    const preps = mergedShelf(work.preps, sent, theirs);
    store.adopt({ ...work, ...withShelf(work, store.pantry.peek(), preps) });
    shelved = preps;
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
  let handed: Pick<Work, "benches" | "preps"> | null = null;
  effect(() => {
    const { benches, preps } = store.work.value;
    if (benches === handed?.benches && preps === handed.preps) return;
    handed = { benches, preps };
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
