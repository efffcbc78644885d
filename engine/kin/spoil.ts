import { scaled3 } from "../linalg.ts";
import { totalSugarGPer100Ml } from "../mix/coefficients.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import type { Ingredient, Pantry, Spec, Vec3 } from "../types.ts";

const isSour = (i: Ingredient) => i.role === "sour-juice" || i.role === "acid";
const isSpirit = (i: Ingredient) => i.role === "spirit";
const isSweet = (i: Ingredient) =>
  i.role === "syrup" ||
  i.role === "sugar" ||
  i.role === "liqueur" ||
  (i.role === "lengthener" && totalSugarGPer100Ml(i.sugarsGPer100Ml) > 0);

/** Ways to spoil a balanced drink that anyone would taste. */
const POURS = [
  { id: "third-acid", of: isSour, factor: 1 / 3 },
  { id: "half-acid", of: isSour, factor: 1 / 2 },
  { id: "double-acid", of: isSour, factor: 2 },
  { id: "third-sugar", of: isSweet, factor: 1 / 3 },
  { id: "double-sugar", of: isSweet, factor: 2 },
  { id: "double-spirit", of: isSpirit, factor: 2 },
] as const;

/** A balanced drink so many times as large, by water alone. */
const THINNED = 1.5;

/** Where a spec of the pantry lands when it is poured right. (sugar, acid, ABV), axis units. */
export function pointOf(spec: Spec, pantry: Pantry): Vec3 {
  const { model, volumesMl } = prepareSpec(spec, pantry);
  return model.finish(volumesMl).point;
}

/** Where it lands spoiled in seven ways: six by pouring one kind of thing wrong, one by half as much water again. */
export function spoilsOf(spec: Spec, pantry: Pantry): { id: string; point: Vec3 }[] {
  const poured = POURS.map(({ id, of, factor }) => {
    const lines = spec.lines.map((line) => {
      const ingredient = pantry.get(line.ingredient);
      return ingredient && of(ingredient) ? { ...line, amount: line.amount * factor } : line;
    });
    return { id, point: pointOf({ ...spec, lines }, pantry) };
  });
  const thinned = scaled3(1 / THINNED, pointOf(spec, pantry));
  return [...poured, { id: "thinned", point: thinned }];
}
