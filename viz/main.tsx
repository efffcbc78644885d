import "./style/page.css";
import { effect, signal } from "@preact/signals";
import { render } from "preact";
import { toVec } from "../engine/axes.ts";
import { createAsking } from "./bench/asking.ts";
import { createWishing } from "./bench/wishing.ts";
import { loadNotes, loadPageData } from "./data/client.ts";
import { type House, HouseProvider } from "./house.ts";
import { fetchAhead } from "./parts/later.tsx";
import { ROOMS } from "./rooms.tsx";
import { Shell } from "./shell.tsx";
import { createSolver, type Solver } from "./solver/client.ts";
import { fragmentOf, keepInStep } from "./state/keeping.ts";
import { holdsKey, KEYS_KEY } from "./state/keys.ts";
import { openingWork } from "./state/opening.ts";
import { decode, loadOutside } from "./state/outside.ts";
import { awaited, followLinks, ROOMS_OF_A_BENCH, route } from "./state/route.ts";
import { hasBenches, lastBench, loadBenches, loadDraft, loadSettings, openShelf } from "./state/storage.ts";
import { createStore, type Reckon, reckonHere, type Store } from "./state/store.ts";
import { seatOf } from "./taste/seat.ts";

const isView = (hash: string) => hash.startsWith("#v=");
/** The solver and the pantry's other names are fetched once the page is at rest, so that nothing asked needs a network. */
const WARM_AFTER_MS = 3000;
const SYNC_AFTER_MS = 2000;

/** Undo and redo as everywhere, unless a field is being typed in and has its own. */
function listenForUndo(store: Store): void {
  window.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey)) return;
    const at = event.target;
    if (
      at instanceof HTMLElement &&
      at.matches("input:not([type=range], [type=checkbox], [type=radio]), textarea")
    )
      return;
    const key = event.key.toLowerCase();
    const forth = key === "y" || (key === "z" && event.shiftKey);
    if (!forth && key !== "z") return;
    event.preventDefault();
    if (forth) store.redo();
    else store.undo();
  });
}

/** Another bench or another view in the address: back, forward, or a link pasted into the open page. */
function followAddress(store: Store, shelf: House["keeping"]["shelf"]): void {
  let seen = route.value;
  effect(() => {
    const now = route.value;
    const before = seen;
    seen = now;
    if (now === before) return;
    // A link of someone's, pasted into the open page: it is opened as it would be in a new one.
    if (holdsKey(now)) return location.reload();
    awaited.route = null;
    if (!ROOMS_OF_A_BENCH.has(now.room)) return;
    const work = store.work.peek();
    const linked = isView(now.hash) && now.hash !== fragmentOf(store);
    const other = now.id !== null && now.id !== work.bench;
    if (!linked && !other) return;
    awaited.route = now;
    decode(linked ? now.hash : loadDraft(shelf, now.id ?? "")).then((decoded) => {
      if (awaited.route !== now) return;
      awaited.route = null;
      const { work: next, problems } = openingWork(store.data, {
        decoded,
        linked,
        bench: now.id,
        benches: work.benches,
        settings: { ...loadSettings(shelf), own: work.own, preps: work.preps },
      });
      const { prices, ...view } = next;
      store.edit({
        ...view,
        ...(linked ? {} : { measured: work.measured, unitSettings: work.unitSettings }),
      });
      if (problems.length > 0) store.tell(problems.join(" "), { tone: "problem", lasting: true });
    });
  });
}

/** The server's store is spoken to once the page is drawn; without it everything works in this browser. */
function startSyncing(house: House): void {
  setTimeout(async () => {
    try {
      (await import("./state/syncing.ts")).startSyncing(house);
    } catch {
      house.standing.value = { state: "alone" };
    }
  }, SYNC_AFTER_MS);
}

/** The chance off the page's thread, where the next input waits for nothing; here until the solver has come. */
function reckonBy(solver: Solver): Reckon {
  return async (within, of) => {
    const asked = { target: within.spec, mean: toVec(of.point), covariance: of.covariance };
    const reply = solver.isWarm() ? await solver.follow("chance", asked) : null;
    return reply && "result" in reply ? reply.result : reckonHere(within, of);
  };
}

/** A task behind the frame that is painted next. */
const afterPaint = (act: () => void) => requestAnimationFrame(() => setTimeout(act));

async function open(): Promise<void> {
  const root = document.getElementById("house")!;
  const seat = seatOf(location);
  if (seat !== null) return (await import("./taste/phone.tsx")).openSeat(seat, root);
  const data = await loadPageData();
  const { shelf, lasting } = openShelf();
  const kept = hasBenches(shelf)
    ? loadBenches(shelf, (await loadOutside()).readBench)
    : { benches: [], problem: null };
  // Links of others: most visits have none, and go without what reads them.
  const arrival =
    holdsKey(route.value) || shelf.getItem(KEYS_KEY) !== null
      ? await (await import("./state/arriving.ts")).arrive(shelf, data, kept.benches)
      : null;
  // Read now: a link may have brought the things of a house.
  const settings = { own: [], preps: [], ...loadSettings(shelf) };
  const linked = isView(route.value.hash);
  const named = route.value.id ?? (linked ? null : lastBench(shelf));
  const { work, problems } = openingWork(data, {
    decoded: await decode(linked ? route.value.hash : loadDraft(shelf, named ?? "")),
    linked,
    bench: ROOMS_OF_A_BENCH.has(route.value.room) ? named : lastBench(shelf),
    benches: arrival?.benches ?? kept.benches,
    settings,
  });
  if (arrival?.problem) problems.unshift(arrival.problem);
  const solver = createSolver();
  const lookup = createSolver();
  const store = createStore(data, work, {
    ...(arrival && { refusalOf: arrival.refusalOf }),
    reckon: reckonBy(lookup),
    afterPaint,
  });
  store.theme.value = settings.theme ?? "auto";
  effect(() => {
    document.documentElement.dataset.theme = store.theme.value;
  });
  const keeping = keepInStep(store, { shelf, lasting, base: arrival?.benches ?? kept.benches, settings });
  if (kept.problem) problems.unshift(kept.problem);
  if (problems.length > 0) store.tell(problems.join(" "), { tone: "problem", lasting: true });
  const house: House = {
    store,
    asking: createAsking(store, solver),
    wishing: createWishing(store, createSolver()),
    lookup,
    keeping,
    standing: signal(null),
  };
  followLinks();
  followAddress(store, shelf);
  listenForUndo(store);
  const first = await (ROOMS.find((entry) => entry.room === route.value.room) ?? ROOMS[0]!).load();
  root.replaceChildren();
  render(
    <HouseProvider value={house}>
      <Shell first={first} />
    </HouseProvider>,
    root,
  );
  setTimeout(() => {
    solver.warm();
    lookup.warm();
    fetchAhead();
    loadNotes(data);
  }, WARM_AFTER_MS);
  startSyncing(house);
}

open().catch((error: unknown) => {
  const opening = document.getElementById("opening");
  if (!opening) throw error;
  opening.setAttribute("role", "alert");
  opening.textContent = `The bench could not be opened. ${error instanceof Error ? error.message : String(error)}`;
});
