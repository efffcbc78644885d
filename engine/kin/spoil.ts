import { scaled3 } from "../linalg.ts";
import { totalSugar } from "../mix/own-figures.ts";
import { finishSpec } from "../place/prepare-spec.ts";
import type { Ingredient, Pantry, Spec, Vec3 } from "../types.ts";

const isSour = (i: Ingredient) => i.role === "sour-juice" || i.role === "acid";
const isSpirit = (i: Ingredient) => i.role === "spirit";
const isSweet = (i: Ingredient) =>
  i.role === "syrup" ||
  i.role === "sugar" ||
  i.role === "liqueur" ||
  (i.role === "lengthener" && totalSugar(i) > 0);

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

/** Where a spec lands, axis units, spoiled in seven ways: six by pouring one kind of thing wrong, one by half as much water again. */
export function spoilsOf(spec: Spec, pantry: Pantry): { id: string; point: Vec3 }[] {
  const poured = POURS.map(({ id, of, factor }) => {
    const lines = spec.lines.map((line) => {
      const ingredient = pantry.get(line.ingredient);
      return ingredient && of(ingredient) ? { ...line, amount: line.amount * factor } : line;
    });
    return { id, point: finishSpec({ ...spec, lines }, pantry).point };
  });
  const thinned = scaled3(1 / THINNED, finishSpec(spec, pantry).point);
  return [...poured, { id: "thinned", point: thinned }];
}
