import type { Prep } from "../../engine/prep/types.ts";
import type { Bench, Ingredient, UnitSettings } from "../../engine/types.ts";
import { mergeBenches } from "./merge.ts";
import type { LadderChoice, Measured } from "./view.ts";

/**
 * Benches and settings in this browser. Keys carry a version; an unreadable entry is moved aside
 * under a `.unreadable` key and never overwritten, so nothing a user typed is lost.
 */
export const BENCHES_KEY = "steelyard.benches.v1";
const SETTINGS_KEY = "steelyard.settings.v1";
/** The unsaved spec of each bench, as the fragment of a link. */
const DRAFT_KEY = "steelyard.draft.v1.";
const LAST_KEY = "steelyard.last.v1";
const LESSONS_KEY = "steelyard.lessons.v1";

/** What is remembered beside the benches. */
export interface Settings {
  theme?: "auto" | "light" | "dark";
  units?: "oz" | "ml";
  ladder?: LadderChoice;
  prices?: Record<string, number>;
  unitSettings?: UnitSettings;
  measured?: Record<string, Measured>;
  own?: Ingredient[];
  preps?: Prep[];
}

/** The part of the Storage interface this page uses. */
export type Shelf = Pick<Storage, "getItem" | "setItem" | "removeItem">;

/** The browser's storage; where it is switched off, one that lasts as long as the page. */
export function openShelf(): { shelf: Shelf; lasting: boolean } {
  try {
    const { localStorage } = globalThis;
    localStorage.getItem(SETTINGS_KEY);
    return { shelf: localStorage, lasting: true };
  } catch {
    const kept = new Map<string, string>();
    const shelf: Shelf = {
      getItem: (key) => kept.get(key) ?? null,
      setItem: (key, value) => void kept.set(key, value),
      removeItem: (key) => void kept.delete(key),
    };
    return { shelf, lasting: false };
  }
}

function isObject(x: unknown): x is Record<string, unknown> {
  return typeof x === "object" && x !== null && !Array.isArray(x);
}

/** A bench read from what is not known to be one; a string is the reason it cannot be. */
type ReadBench = (x: unknown) => Bench | string;

/** The benches of a text that can be read, and why the others cannot. */
function readList(text: string, readBench: ReadBench): { benches: Bench[]; failed: string[] } {
  const parsed: unknown = JSON.parse(text);
  if (!isObject(parsed) || !Array.isArray(parsed.benches)) throw new Error("no list of benches");
  const read = parsed.benches.map(readBench);
  return {
    benches: read.filter((bench) => typeof bench !== "string"),
    failed: read.filter((bench) => typeof bench === "string"),
  };
}

/** What another tab of this page wrote while this one runs: of the right form, or it is left alone. */
const asWritten: ReadBench = (x) =>
  isObject(x) && typeof x.id === "string" && Array.isArray(x.rounds) ? (x as unknown as Bench) : "no bench";

/** Whether this browser keeps any benches yet. */
export const hasBenches = (shelf: Shelf): boolean => shelf.getItem(BENCHES_KEY) !== null;

/** The benches kept in this browser; empty when there are none yet. */
export function loadBenches(
  shelf: Shelf,
  readBench: ReadBench,
): { benches: Bench[]; problem: string | null } {
  const text = shelf.getItem(BENCHES_KEY);
  if (text === null) return { benches: [], problem: null };
  const setAside = (which: string, why: string) => {
    write(shelf, `${BENCHES_KEY}.unreadable`, text);
    return `${which} could not be read (${why}). As it was kept, it is set aside under “${BENCHES_KEY}.unreadable”.`;
  };
  try {
    const { benches, failed } = readList(text, readBench);
    const [why] = failed;
    const which = `Of the benches kept in this browser ${failed.length}`;
    return { benches, problem: why === undefined ? null : setAside(which, why) };
  } catch (error) {
    const why = error instanceof Error ? error.message : "unknown reason";
    return { benches: [], problem: setAside("What this browser keeps of benches", why) };
  }
}

const REFUSED =
  "This browser refuses to keep the bench (storage full or switched off). Use “Save a file” in the bench's menu, or the work is lost when this page closes.";

/** Keeps the benches, together with whatever another tab of this browser did to them. */
export interface Keeper {
  /**
   * Merge `benches` with what is stored and store both. Returns the merged list, and the reason when the
   * browser refuses.
   */
  save(benches: Bench[]): { merged: Bench[]; refused: string | null };
  /** What another tab stored, merged into `benches`; null when it says nothing new. */
  take(stored: string, benches: Bench[]): Bench[] | null;
}

/** `base` is what this tab read last: the common ground of the merge. */
export function createKeeper(shelf: Shelf, base: Bench[]): Keeper {
  let known = base;
  const theirs = (text: string | null): Bench[] => {
    try {
      return text === null ? known : readList(text, asWritten).benches;
    } catch {
      return known;
    }
  };
  return {
    save(benches) {
      const merged = mergeBenches(known, benches, theirs(shelf.getItem(BENCHES_KEY)));
      try {
        shelf.setItem(BENCHES_KEY, JSON.stringify({ version: 1, benches: merged }));
        known = merged;
        return { merged, refused: null };
      } catch {
        return { merged, refused: REFUSED };
      }
    },
    take(stored, benches) {
      const other = theirs(stored);
      if (JSON.stringify(other) === JSON.stringify(known)) return null;
      const merged = mergeBenches(known, benches, other);
      known = other;
      return merged;
    },
  };
}

function write(shelf: Shelf, key: string, value: string): void {
  try {
    shelf.setItem(key, value);
  } catch {
    // The page works without it; benches, which matter, report their refusal.
  }
}

/** The unsaved state of a bench, so that coming back without a link finds it again. */
export const loadDraft = (shelf: Shelf, bench: string): string => shelf.getItem(DRAFT_KEY + bench) ?? "";

/** Keep the unsaved state of a bench, and that it was the last one in work. */
export function keepDraft(shelf: Shelf, bench: string, fragment: string): void {
  write(shelf, DRAFT_KEY + bench, fragment);
  write(shelf, LAST_KEY, bench);
}

/** Forget the unsaved state of a bench that was deleted. */
export const dropDraft = (shelf: Shelf, bench: string): void => shelf.removeItem(DRAFT_KEY + bench);

/** The bench that was in work last. */
export const lastBench = (shelf: Shelf): string | null => shelf.getItem(LAST_KEY);

/** Lessons answered so far. */
export function loadLessons(shelf: Shelf): number[] {
  try {
    const parsed: unknown = JSON.parse(shelf.getItem(LESSONS_KEY) ?? "[]");
    return Array.isArray(parsed) ? parsed.filter((x): x is number => typeof x === "number") : [];
  } catch {
    return [];
  }
}

/** Keep which lessons were answered. */
export const keepLessons = (shelf: Shelf, done: readonly number[]): void =>
  write(shelf, LESSONS_KEY, JSON.stringify(done));

/** Settings kept in this browser; unreadable ones count as none. */
export function loadSettings(shelf: Shelf): Settings {
  try {
    const parsed: unknown = JSON.parse(shelf.getItem(SETTINGS_KEY) ?? "{}");
    return isObject(parsed) ? (parsed as Settings) : {};
  } catch {
    return {};
  }
}

/** Keep the settings as they are given. */
export const writeSettings = (shelf: Shelf, settings: Settings): void =>
  write(shelf, SETTINGS_KEY, JSON.stringify(settings));

/** `kept` with what changed from `before` to `now`, entry by entry: another tab may have kept others. */
function withChanges<T>(
  kept: Readonly<Record<string, T>>,
  before: Readonly<Record<string, T>>,
  now: Readonly<Record<string, T>>,
): Record<string, T> {
  const next = { ...kept };
  for (const [id, value] of Object.entries(now)) if (before[id] !== value) next[id] = value;
  for (const id of Object.keys(before)) if (!(id in now)) delete next[id];
  return next;
}

/** The same for lists whose entries go by their ids. */
function withChanged<T extends { id: string }>(
  kept: readonly T[] = [],
  before: readonly T[],
  now: readonly T[],
): T[] {
  const byId = (list: readonly T[]) => Object.fromEntries(list.map((entry) => [entry.id, entry]));
  return Object.values(withChanges(byId(kept), byId(before), byId(now)));
}

/**
 * Remember what the user changed since `before`, and only that: a link may show another user's figures
 * and measures without replacing the ones kept here.
 */
export function rememberSettings(shelf: Shelf, before: Required<Settings>, now: Required<Settings>): void {
  const kept = loadSettings(shelf);
  const changed: Settings = {};
  if (now.theme !== before.theme) changed.theme = now.theme;
  if (now.units !== before.units) changed.units = now.units;
  if (now.ladder !== before.ladder) changed.ladder = now.ladder;
  if (now.unitSettings !== before.unitSettings) changed.unitSettings = now.unitSettings;
  if (now.prices !== before.prices)
    changed.prices = withChanges(kept.prices ?? {}, before.prices, now.prices);
  if (now.measured !== before.measured) {
    changed.measured = withChanges(kept.measured ?? {}, before.measured, now.measured);
  }
  if (now.own !== before.own) changed.own = withChanged(kept.own, before.own, now.own);
  if (now.preps !== before.preps) changed.preps = withChanged(kept.preps, before.preps, now.preps);
  if (Object.keys(changed).length > 0) writeSettings(shelf, { ...kept, ...changed });
}
