import { benchShape } from "../../engine/shapes/bench.ts";
import { tryRead } from "../../engine/shapes/check.ts";
import type { Bench, UnitSettings } from "../../engine/types.ts";

import type { Measured } from "./view.ts";

/**
 * Benches and settings in this browser. Keys carry a version; an unreadable entry is moved aside
 * under a `.unreadable` key and never overwritten, so nothing a user typed is lost.
 */
const BENCHES_KEY = "steelyard.benches.v1";
const VIEW_KEY = "steelyard.view.v1";
const SETTINGS_KEY = "steelyard.settings.v1";

/** What is remembered beside the benches. */
export interface Settings {
  theme?: "auto" | "light" | "dark";
  units?: "oz" | "ml";
  prices?: Record<string, number>;
  unitSettings?: UnitSettings;
  measured?: Record<string, Measured>;
}

function isRecord(x: unknown): x is Record<string, unknown> {
  return typeof x === "object" && x !== null && !Array.isArray(x);
}

/** Where a complaint points, for people: "/rounds/2/spec/lines/0/unit" is round 3, spec, line 1, unit. */
function placeOf(pointer: string): string {
  return pointer
    .split("/")
    .slice(1)
    .map((key, i, keys) => (/^\d+$/.test(key) ? `${keys[i - 1]?.replace(/s$/, "")} ${Number(key) + 1}` : key))
    .filter((_, i, words) => !/ \d+$/.test(words[i + 1] ?? ""))
    .join(", ");
}

/** Read a bench from parsed JSON; a string is the reason it cannot be one. */
export function readBench(x: unknown): Bench | string {
  if (!isRecord(x)) return "A bench is a JSON object with name and rounds.";
  const { rounds } = x;
  const last: unknown = Array.isArray(rounds) ? rounds.at(-1) : undefined;
  // What only says where the user was may be missing.
  const current = isRecord(last) ? last.id : undefined;
  const read = tryRead(benchShape, { id: newId("bench"), current, target: "", ...x });
  if (!("issues" in read)) return read.value;
  const { pointer, detail, remedy } = read.issues[0]!;
  return `${pointer === "" ? "The bench" : placeOf(pointer)}: ${detail}; ${remedy}.`;
}

/** The benches kept in this browser; empty when there are none yet. */
export function loadBenches(storage: Storage): { benches: Bench[]; problem: string | null } {
  const text = storage.getItem(BENCHES_KEY);
  if (text === null) return { benches: [], problem: null };
  try {
    const parsed: unknown = JSON.parse(text);
    const list = isRecord(parsed) && Array.isArray(parsed.benches) ? parsed.benches : null;
    const benches = (list ?? []).map(readBench);
    const failed = benches.filter((bench) => typeof bench === "string");
    if (list === null || failed.length > 0) throw new Error(failed[0] ?? "no list of benches");
    return { benches: benches as Bench[], problem: null };
  } catch (error) {
    storage.setItem(`${BENCHES_KEY}.unreadable`, text);
    return {
      benches: [],
      problem: `The benches kept in this browser could not be read (${
        error instanceof Error ? error.message : "unknown reason"
      }). They were set aside under “${BENCHES_KEY}.unreadable” and not deleted.`,
    };
  }
}

/** Keep the benches. Returns the reason when the browser refuses (full, or storage switched off). */
export function saveBenches(storage: Storage, benches: readonly Bench[]): string | null {
  try {
    storage.setItem(BENCHES_KEY, JSON.stringify({ version: 1, benches }));
    return null;
  } catch {
    return "This browser refuses to keep the bench (storage full or switched off). Use “Export” to save a file.";
  }
}

/** The fragment of the last view, so that coming back without a link finds the unsaved spec again. */
export function lastView(storage: Storage): string {
  return storage.getItem(VIEW_KEY) ?? "";
}

/** Keep the fragment of the present view; a refusal by the browser is harmless. */
export function rememberView(storage: Storage, fragment: string): void {
  try {
    storage.setItem(VIEW_KEY, fragment);
  } catch {
    // The address still holds the view.
  }
}

/** Settings kept in this browser; unreadable ones count as none. */
export function loadSettings(storage: Storage): Settings {
  try {
    const parsed: unknown = JSON.parse(storage.getItem(SETTINGS_KEY) ?? "{}");
    return isRecord(parsed) ? (parsed as Settings) : {};
  } catch {
    return {};
  }
}

/**
 * Remember what the user changed since `before`, and only that: a link may show another user's figures
 * and measures without replacing the ones kept here. A refusal by the browser is harmless.
 */
export function rememberSettings(
  storage: Storage,
  before: Required<Settings>,
  now: Required<Settings>,
): void {
  const kept = loadSettings(storage);
  const changed: Settings = {};
  if (now.theme !== before.theme) changed.theme = now.theme;
  if (now.units !== before.units) changed.units = now.units;
  if (now.prices !== before.prices) changed.prices = now.prices;
  if (now.unitSettings !== before.unitSettings) changed.unitSettings = now.unitSettings;
  if (now.measured !== before.measured) {
    const removed = Object.keys(before.measured).filter((id) => !(id in now.measured));
    changed.measured = { ...kept.measured, ...now.measured };
    for (const id of removed) delete changed.measured[id];
  }
  if (Object.keys(changed).length === 0) return;
  try {
    storage.setItem(SETTINGS_KEY, JSON.stringify({ ...kept, ...changed }));
  } catch {
    // The page works without remembered settings.
  }
}

/** A fresh id, unique enough for one browser's benches. */
export function newId(prefix: string): string {
  return `${prefix}-${crypto.randomUUID().slice(0, 8)}`;
}
