import { isObject } from "../../engine/shapes/check.ts";
import type { Shelf } from "../state/storage.ts";

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

function readNotes(text: string | null): CardNotes | null {
  try {
    const kept: unknown = JSON.parse(text ?? "null");
    if (!isObject(kept)) return null;
    const { garnish, notes, pourCostPercent: share } = kept;
    return {
      garnish: typeof garnish === "string" ? garnish : "",
      notes: typeof notes === "string" ? notes : null,
      pourCostPercent: typeof share === "number" && share > 0 && share <= 100 ? share : null,
    };
  } catch {
    return null;
  }
}

/** The notes kept for a bench; unreadable ones count as none. */
export const loadNotes = (shelf: Shelf, bench: string): CardNotes =>
  readNotes(shelf.getItem(KEY + bench)) ?? NONE;

/** The notes kept for each of `benches` that has any. */
export const listNotes = (shelf: Shelf, benches: readonly string[]): [string, CardNotes][] =>
  benches.flatMap((bench) => {
    const notes = readNotes(shelf.getItem(KEY + bench));
    return notes ? [[bench, notes] as [string, CardNotes]] : [];
  });

/** Keep them. */
export function keepNotes(shelf: Shelf, bench: string, notes: CardNotes): void {
  try {
    shelf.setItem(KEY + bench, JSON.stringify(notes));
  } catch {
    // Full or switched off: the card on the screen is right all the same.
  }
}
