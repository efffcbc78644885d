import { totalSugar } from "../mix/own-figures.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import type { Ingredient, Pantry, Role, Spec } from "../types.ts";
import type { PartId } from "./words.ts";

/** Sugar, g/100 mL, from which an aromatised wine is sweet (law's dry ends at 5, its semi-dry at 9). */
const SWEET_WINE = 7;
/** Sugar, g/100 mL, from which a lengthener sweetens the drink. */
const SWEET_SODA = 3;
/** Solids, g/100 mL: whites hold 12, whole eggs 24. */
const WHOLE_EGG_SOLIDS = 18;

/** Which part of a drink an ingredient of each role is. */
const PART_OF: Readonly<Record<Role, PartId | ((i: Ingredient) => PartId)>> = {
  spirit: "spirit",
  liqueur: "liqueur",
  bitters: "bitters",
  "fortified-wine": (i) => (totalSugar(i) >= SWEET_WINE ? "sweet-aromatised" : "dry-aromatised"),
  wine: (i) => (i.addAfterDilution ? "sparkling-wine" : "still-wine"),
  "sour-juice": "sour",
  acid: "sour",
  "sweet-juice": "juice",
  syrup: "sugar",
  sugar: "sugar",
  egg: (i) => ((i.otherSolidsGPer100Ml?.value ?? 0) > WHOLE_EGG_SOLIDS ? "egg" : "egg-white"),
  dairy: "cream",
  "tea-coffee": "coffee",
  lengthener: (i) => (totalSugar(i) >= SWEET_SODA ? "sweet-soda" : "water"),
  other: "other",
};

function partOf(i: Ingredient): PartId {
  const part = PART_OF[i.role];
  return typeof part === "function" ? part(i) : part;
}

/** What kinship is judged by. */
export type Portrait = ReturnType<typeof portraitOf>;

/**
 * What kinship is judged by: shares of the volume poured, by part and by ingredient, the method, the point (axis units).
 *
 * @throws EngineError naming each bad field of the spec and its remedy
 */
export function portraitOf(spec: Spec, pantry: Pantry) {
  const { model, volumesMl } = prepareSpec(spec, pantry);
  const { point } = model.finish(volumesMl);
  const pouredMl = volumesMl.reduce((sum, v) => sum + v, 0);
  const [parts, pours] = [new Map<PartId, number>(), new Map<string, number>()];
  model.ingredients.forEach((ingredient, i) => {
    const share = volumesMl[i]! / pouredMl;
    const part = partOf(ingredient);
    parts.set(part, (parts.get(part) ?? 0) + share);
    pours.set(ingredient.id, (pours.get(ingredient.id) ?? 0) + share);
  });
  return { parts, pours, method: spec.method, point };
}

/**
 * How unlike two lists of shares are, 0 (the same) to 1 (nothing in common): Hellinger's distance squared. It
 * counts what is there and is not there for more than how much there is.
 */
export function unlikeness<K>(a: ReadonlyMap<K, number>, b: ReadonlyMap<K, number>): number {
  let common = 0;
  for (const [key, share] of a) common += Math.sqrt(share * (b.get(key) ?? 0));
  return Math.max(0, 1 - common);
}
