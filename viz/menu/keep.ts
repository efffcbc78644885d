import { isObject } from "../../engine/shapes/check.ts";
import type { Keeping } from "../state/keeping.ts";

/** What the room rests on: typed text and the benches taken from. Kept in this browser. */
export interface KeptMenu {
  text: string;
  benches: readonly string[];
}

const KEY = "steelyard.menu.v1";
const NONE: KeptMenu = { text: "", benches: [] };

/** The menu kept here; an unreadable one counts as none. */
export function loadMenu(shelf: Keeping["shelf"]): KeptMenu {
  try {
    const kept: unknown = JSON.parse(shelf.getItem(KEY) ?? "null");
    if (!isObject(kept)) return NONE;
    const { text, benches } = kept;
    return {
      text: typeof text === "string" ? text : "",
      benches: Array.isArray(benches) ? benches.filter((id) => typeof id === "string") : [],
    };
  } catch {
    return NONE;
  }
}

/** Keep it. */
export function keepMenu(shelf: Keeping["shelf"], menu: KeptMenu): void {
  try {
    shelf.setItem(KEY, JSON.stringify(menu));
  } catch {
    // Full or switched off: the map on the screen is right all the same.
  }
}
