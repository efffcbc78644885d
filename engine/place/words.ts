import { UNITS } from "../amounts/units.ts";
import type { DoubtKind, DoubtSource } from "../types.ts";

const QUANTITY: Record<Exclude<DoubtKind, "unit" | "pour" | "dilution">, string> = {
  abv: "ABV",
  sugar: "sugar",
  acid: "acid",
  solids: "solids",
  piece: "size of a piece",
  density: "density",
};

/** "Lime juice: acid", "size of a dash", "water from ice". */
export function doubtLabel(
  { kind, ingredient = "", unit }: DoubtSource,
  nameOf: (ingredient: string) => string,
): string {
  if (kind === "dilution") return "water from ice";
  if (kind === "pour") return "pouring";
  if (kind === "unit") return `size of a ${unit ? UNITS[unit].label : "measure"}`;
  return `${nameOf(ingredient)}: ${QUANTITY[kind]}`;
}
