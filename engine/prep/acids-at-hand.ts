import type { Ingredient, Pantry } from "../types.ts";
import type { KitchenAcidId } from "./adjust.ts";

/** The pantry's entry for each acid of the kitchen, and the grams of acid in a gram of it. */
export const ACIDS_AT_HAND = {
  citric: { ingredient: "citric-acid", purity: 1 },
  malic: { ingredient: "malic-acid", purity: 1 },
  tartaric: { ingredient: "tartaric-acid", purity: 1 },
  lactic: { ingredient: "lactic-acid-88", purity: 0.88 },
  phosphoric: { ingredient: "phosphoric-acid-10", purity: 0.1 },
} as const satisfies Record<KitchenAcidId, { ingredient: string; purity: number }>;

/** The acids that a pantry has, as `adjustJuice` takes them. */
export function powdersOf(pantry: Pantry): Partial<Record<KitchenAcidId, Ingredient>> {
  const entries = Object.entries(ACIDS_AT_HAND).flatMap(([acid, { ingredient }]) => {
    const found = pantry.get(ingredient);
    return found ? [[acid, found]] : [];
  });
  return Object.fromEntries(entries) as Partial<Record<KitchenAcidId, Ingredient>>;
}
