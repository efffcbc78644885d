import { totalSugar } from "../mix/own-figures.ts";
import type { Ingredient, Pantry, Spec } from "../types.ts";
import { nameWords } from "../wording.ts";

/**
 * Pantry ids worth letting into a drink that cannot be balanced with what it has: what any bar has at
 * hand for a sour's jobs. The whole sour juices, of a fruit the drink has already first, the thinnest and
 * richest plain syrup, and water. By role and composition, so that it works with the user's own pantry too.
 * What the drink already holds is left out, sour juice where it would split milk or cream, and a base spirit is never
 * suggested: that would change what the drink is.
 */
export function suggestedAdditions(spec: Spec, pantry: Pantry): string[] {
  const inDrink = new Set(spec.lines.map((line) => line.ingredient));
  const syrups = [...pantry.values()].filter(isPlainSyrup).sort((a, b) => totalSugar(a) - totalSugar(b));
  const ends = syrups.filter((_, i) => i === 0 || i === syrups.length - 1);
  const waters = [...pantry.values()].filter(isWater);
  const juices = holdsDairy(spec, pantry)
    ? []
    : ownFruitFirst([...pantry.values()].filter(isSourJuice), spec, pantry);
  return [...juices, ...ends, ...waters].map((i) => i.id).filter((id) => !inDrink.has(id));
}

const holdsDairy = (spec: Spec, pantry: Pantry) =>
  spec.lines.some(({ ingredient }) => pantry.get(ingredient)?.curdles === true);

/** Lime juice before lemon, where the drink pours a lime cordial. */
function ownFruitFirst(juices: Ingredient[], spec: Spec, pantry: Pantry): Ingredient[] {
  const inDrink = spec.lines.flatMap(({ ingredient }) => pantry.get(ingredient) ?? []);
  const poured = new Set(inDrink.flatMap(({ name }) => nameWords(name)));
  const isOwn = (juice: Ingredient) =>
    nameWords(juice.name).some(
      (word) =>
        poured.has(word) && juices.every((other) => other === juice || !nameWords(other.name).includes(word)),
    );
  return juices.sort((a, b) => Number(isOwn(b)) - Number(isOwn(a)));
}

/** Acid powders in the pantry: the "acid-adjust a juice" part of the move vocabulary. */
export function acidPowders(spec: Spec, pantry: Pantry): string[] {
  const inDrink = new Set(spec.lines.map((line) => line.ingredient));
  return [...pantry.values()].filter((i) => !inDrink.has(i.id) && isAcidPowder(i)).map((i) => i.id);
}

const isSourJuice = (i: Ingredient) => i.role === "sour-juice" && atHand(i);

/** In any bar's reach, or the user's own. */
const atHand = (i: Ingredient) => i.staple === true || i.own === true;

const isWater = (i: Ingredient) =>
  i.role === "lengthener" &&
  i.kind === "water" &&
  !i.addAfterDilution &&
  i.abvPercent.value === 0 &&
  Object.keys({ ...i.sugarsGPer100Ml, ...i.acidsGPer100Ml }).length === 0;

const isPlainSyrup = (i: Ingredient) => i.syrup?.family === "simple";

// Only the two that a bar adjusts citrus with; tartaric and lactic taste of something else. A powder is
// mostly acid, air between the grains included; a solution is not.
const isAcidPowder = (i: Ingredient) =>
  i.role === "acid" &&
  atHand(i) &&
  (["citric", "malic"] as const).some((acid) => (i.acidsGPer100Ml[acid]?.value ?? 0) > 60);
