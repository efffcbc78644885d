import { type Candidate, rank } from "../../../engine/recipe/match.ts";
import { readName } from "../../../engine/recipe/names.ts";
import { indexPantry } from "../../../engine/recipe/pantry-index.ts";
import { bareLine, scan } from "../../../engine/recipe/tokens.ts";
import type { Pantry } from "../../../engine/types.ts";

/** Pantry ingredients that the text may name, best first. Empty when nothing is alike. Never throws. */
export function matchIngredient(text: string, pantry: Pantry): Candidate[] {
  return rank(readName(scan(bareLine(text))), indexPantry(pantry));
}
