import type { Ingredient, Pantry, Spec } from "../types.ts";

/**
 * Pantry ids worth letting into a drink that cannot be balanced with what it has: for each job, what a
 * bar has at hand. Items already in the drink are left out. The list is by role and composition, so it
 * works with the user's own pantry too: each sour juice that is mostly acid, each plain syrup, and the
 * powders. A base spirit is never suggested: that would change what the drink is.
 */
export function suggestedAdditions(spec: Spec, pantry: Pantry): string[] {
  const inDrink = new Set(spec.lines.map((line) => line.ingredient));
  const wanted = [...pantry.values()].filter(
    (i) => !inDrink.has(i.id) && (isSourJuice(i) || isPlainSyrup(i)),
  );
  return wanted.map((i) => i.id);
}

/** Acid powders in the pantry: the "acid-adjust a juice" part of the move vocabulary. */
export function acidPowders(spec: Spec, pantry: Pantry): string[] {
  const inDrink = new Set(spec.lines.map((line) => line.ingredient));
  return [...pantry.values()]
    .filter(
      (i) =>
        i.role === "acid" &&
        !inDrink.has(i.id) &&
        POWDER_ACIDS.some((acid) => (i.acidsGPer100Ml[acid]?.value ?? 0) > 100),
    )
    .map((i) => i.id);
}

// Only the two that a bar adjusts citrus with; tartaric and lactic taste of something else.
const POWDER_ACIDS = ["citric", "malic"] as const;

const isSourJuice = (i: Ingredient) =>
  i.role === "sour-juice" && !i.own && (i.acidsGPer100Ml.citric?.value ?? 0) > 3 && !/bottled/i.test(i.name);

const isPlainSyrup = (i: Ingredient) => i.syrup?.family === "simple";
