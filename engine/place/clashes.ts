import type { MixModel } from "../dilution/model.ts";
import type { CautionId, Method } from "../types.ts";

/**
 * Acid that others bring to what curdles, grams of citric equivalent per mL of it, from which it splits. A sixth of
 * an ounce of lemon to an ounce of cream; a coffee's own acid is a tenth of that. Common practice, no published
 * source: bars see citrus split milk and coffee not.
 */
const SPLITTING_ACID_G_PER_ML = 0.008;
/** Closed and shaken, or whirled: the gas has nowhere to go. */
const CLOSED: ReadonlySet<Method> = new Set(["shaken", "blended"]);

/**
 * What ingredients do to one another that none does alone: dairy, and what is made like it, with acid; fizz in a
 * closed shaker. As ids of the caution texts.
 */
export function clashes(
  { ingredients, coeffs, stages, method }: MixModel,
  volumesMl: readonly number[],
): CautionId[] {
  let curdlingMl = 0;
  let acidG = 0;
  let fizzes = false;
  for (const [i, ingredient] of ingredients.entries()) {
    const ml = volumesMl[i]!;
    if (ml <= 0) continue;
    if (ingredient.curdles) curdlingMl += ml;
    else acidG += coeffs[i]!.acidCitricEqG * ml;
    if (ingredient.addAfterDilution && stages[i] === "mix" && CLOSED.has(method)) fizzes = true;
  }
  const found: CautionId[] = [];
  if (curdlingMl > 0 && acidG >= SPLITTING_ACID_G_PER_ML * curdlingMl) found.push("curdling");
  if (fizzes) found.push("closed-fizz");
  return found;
}
