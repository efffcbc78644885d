import type { Coefficients } from "./coefficients.ts";

/**
 * Less than this, in mL, is nothing poured: a fifty-thousandth of a drop. It keeps ratios to what was
 * poured finite for denormal amounts.
 */
export const SMALLEST_POUR_ML = 1e-6;

/** What a mixture holds: the fields of `Coefficients` times volume, summed. */
export interface Totals extends Coefficients {
  /** Sum of the pours, mL: what the jigger says. */
  pouredMl: number;
}

/** Σ coefficient × volume over the lines. Volumes in mL at 20 °C. */
export function totalsOf(coeffs: readonly Coefficients[], volumesMl: readonly number[]): Totals {
  const sum = emptyTotals();
  for (const [i, c] of coeffs.entries()) addTo(sum, c, volumesMl[i]!);
  return sum;
}

/** A mixture of nothing. Written out: as a spread of constants it made `finish` nearly three times as slow. */
export function emptyTotals(): Totals {
  return {
    pouredMl: 0,
    ethanolMl: 0,
    ethanolG: 0,
    waterG: 0,
    sugarG: 0,
    acidG: 0,
    acidCitricEqG: 0,
    otherSolidsG: 0,
    extraMl: 0,
    massG: 0,
    sucroseLikeG: 0,
    excessEnthalpyJ: 0,
  };
}

/** Add `volumeMl` of an ingredient to a running sum, in place. */
export function addTo(sum: Totals, c: Coefficients, volumeMl: number): void {
  sum.pouredMl += volumeMl;
  sum.ethanolMl += c.ethanolMl * volumeMl;
  sum.ethanolG += c.ethanolG * volumeMl;
  sum.waterG += c.waterG * volumeMl;
  sum.sugarG += c.sugarG * volumeMl;
  sum.acidG += c.acidG * volumeMl;
  sum.acidCitricEqG += c.acidCitricEqG * volumeMl;
  sum.otherSolidsG += c.otherSolidsG * volumeMl;
  sum.extraMl += c.extraMl * volumeMl;
  sum.massG += c.massG * volumeMl;
  sum.sucroseLikeG += c.sucroseLikeG * volumeMl;
  sum.excessEnthalpyJ += c.excessEnthalpyJ * volumeMl;
}

/** Add grams of plain water (melted ice) to a running sum, in place; it is not a pour. */
export function addWater(sum: Totals, waterG: number): void {
  sum.waterG += waterG;
  sum.massG += waterG;
}
