import { isObject } from "../../engine/shapes/check.ts";
import type { Keeping } from "../state/keeping.ts";

/** What a card says beside the spec: typed in its room, kept in this browser by bench. */
export interface CardNotes {
  garnish: string;
  /** Null: the notes of the round. */
  notes: string | null;
  /** Part of the price that the pours cost, percent; null for no price. */
  pourCostPercent: number | null;
}

const KEY = "steelyard.card.v1.";
const NONE: CardNotes = { garnish: "", notes: null, pourCostPercent: null };

/** The notes kept for a bench; unreadable ones count as none. */
export function loadNotes(shelf: Keeping["shelf"], bench: string): CardNotes {
  try {
    const kept: unknown = JSON.parse(shelf.getItem(KEY + bench) ?? "null");
    if (!isObject(kept)) return NONE;
    const { garnish, notes, pourCostPercent: share } = kept;
    return {
      garnish: typeof garnish === "string" ? garnish : "",
      notes: typeof notes === "string" ? notes : null,
      pourCostPercent: typeof share === "number" && share > 0 && share <= 100 ? share : null,
    };
  } catch {
    return NONE;
  }
}

/** Keep them. */
export function keepNotes(shelf: Keeping["shelf"], bench: string, notes: CardNotes): void {
  try {
    shelf.setItem(KEY + bench, JSON.stringify(notes));
  } catch {
    // Full or switched off: the card on the screen is right all the same.
  }
}
