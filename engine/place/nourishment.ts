import type { Totals } from "../mix/totals.ts";
import type { Placement } from "../types.ts";

/**
 * Food energy, kcal/g. Ethanol 6.93 (Atwater's specific factor; USDA's 80-proof spirit gives 6.92);
 * sugar 3.87 (USDA, granulated sugar); organic acids 3 (EU Regulation 1169/2011 Annex XIV, from memory).
 * Other solids 4, the label factor of protein; fat would be 9, so cream is underestimated.
 */
export const KCAL_PER_G = { ethanol: 6.93, sugar: 3.87, acid: 3, otherSolids: 4 } as const;

/** Food energy of a drink, kcal. */
export function energyKcal(t: Totals): number {
  return (
    t.ethanolG * KCAL_PER_G.ethanol +
    t.sugarG * KCAL_PER_G.sugar +
    t.acidG * KCAL_PER_G.acid +
    t.otherSolidsG * KCAL_PER_G.otherSolids
  );
}

/**
 * Standard drinks: US 14 g of ethanol (0.6 US fl oz); UK unit 10 mL of ethanol; Australia, and the WHO's
 * AUDIT, 10 g. Definitions, not advice: what is safe differs by person and law.
 */
export function standardDrinks(t: Pick<Totals, "ethanolG" | "ethanolMl">): Placement["standardDrinks"] {
  return { us: t.ethanolG / 14, uk: t.ethanolMl / 10, au: t.ethanolG / 10 };
}
