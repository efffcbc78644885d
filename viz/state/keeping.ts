import { effect } from "@preact/signals";
import type { Bench } from "../../engine/types.ts";
import { encodeView } from "./link-writer.ts";
import { withBenches } from "./merge.ts";
import { addressOf, awaited, noteHash, route } from "./route.ts";
import {
  BENCHES_KEY,
  createKeeper,
  dropDraft,
  keepDraft,
  type openShelf,
  rememberSettings,
  type Settings,
} from "./storage.ts";
import type { Store } from "./store.ts";

/** What keeps the work in this browser. */
export interface Keeping {
  shelf: ReturnType<typeof openShelf>["shelf"];
  /** Ids of the benches this browser had kept when the page opened. */
  opened: ReadonlySet<string>;
  /** Write at once what has not been written yet. */
  now(): void;
}

/**
 * The address is written once the hand has done: browsers limit how often it may change, and at each change they read
 * the window's icon anew, which an input that follows would wait for. Who leaves the page has it written at once.
 */
const REST_MS = 900;

/** The view as a fragment of an address. */
export const fragmentOf = (store: Store): string =>
  `#${encodeView({ ...store.work.value, reference: store.reference.value })}`;

const settingsOf = (store: Store): Required<Settings> => {
  const { units, ladder, prices, unitSettings, measured, own, preps } = store.work.value;
  return { theme: store.theme.value, units, ladder, prices, unitSettings, measured, own, preps };
};

/**
 * Keep the benches, the drafts and the settings in step with the work, the address in step with the view, and
 * this tab in step with the others: what another tab stored is merged in, round by round.
 */
export function keepInStep(
  store: Store,
  {
    shelf,
    lasting,
    base,
    settings: { own, preps },
  }: {
    shelf: Keeping["shelf"];
    lasting: boolean;
    base: Bench[];
    /** As they were kept when the page opened. */
    settings: Pick<Required<Settings>, "own" | "preps">;
  },
): Keeping {
  const keeper = createKeeper(shelf, base);
  let timer: ReturnType<typeof setTimeout> | undefined;
  let saved: Bench[] | null = base.length > 0 ? store.work.value.benches : null;
  // What a link shows is not kept for that; what it brought along is.
  let before = { ...settingsOf(store), own, preps };

  const saveBenches = () => {
    const { benches } = store.work.value;
    if (benches === saved) return;
    const first = saved === null;
    const gone = (saved ?? []).filter((old) => !benches.some((bench) => bench.id === old.id));
    const { merged, refused } = keeper.save(benches);
    saved = merged;
    for (const { id } of gone) dropDraft(shelf, id);
    if (JSON.stringify(merged) !== JSON.stringify(benches)) adopt(merged);
    else saved = benches;
    if (refused && !first) store.tell(refused, { tone: "problem", lasting: true });
  };
  const adopt = (benches: Bench[]) => {
    saved = benches;
    store.adopt(withBenches(store.work.value, benches));
  };
  const write = () => {
    clearTimeout(timer);
    timer = undefined;
    const fragment = fragmentOf(store);
    const { bench } = store.work.value;
    if (route.value.room === "bench" && awaited.route === null) {
      const address = addressOf("bench", bench);
      if (location.pathname !== address) history.replaceState(null, "", address + fragment);
      else noteHash(fragment);
      route.value = { ...route.value, id: bench, hash: fragment };
    }
    if (bench) keepDraft(shelf, bench, fragment);
    saveBenches();
    const now = settingsOf(store);
    rememberSettings(shelf, before, now);
    before = now;
  };
  // The benches are kept at once, a round being worth more than a frame; the address can wait.
  effect(() => {
    store.work.value.benches;
    queueMicrotask(saveBenches);
  });
  effect(() => {
    store.work.value;
    store.reference.value;
    store.theme.value;
    clearTimeout(timer);
    timer = setTimeout(write, REST_MS);
  });
  window.addEventListener("pagehide", write);
  document.addEventListener("visibilitychange", () => document.hidden && write());
  window.addEventListener("storage", (event) => {
    if (event.key !== BENCHES_KEY || event.newValue === null) return;
    const merged = keeper.take(event.newValue, store.work.value.benches);
    if (merged) adopt(merged);
  });
  if (!lasting) {
    store.tell(
      "This browser keeps nothing for this page (its storage is switched off). All works; save a file before you close it.",
      { tone: "problem", lasting: true },
    );
  }
  return { shelf, opened: new Set(base.map(({ id }) => id)), now: write };
}
