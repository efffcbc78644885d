import { onceFor } from "../once.ts";
import { citricEquivalentPerG } from "../physics/acids.ts";
import { ETHANOL_G_PER_ML } from "../physics/ethanol-water.ts";
import { excessEnthalpyJ } from "../physics/heat.ts";
import type { AcidId, DoubtSource, Ingredient, SourcedValue, SugarId } from "../types.ts";
import { type Coefficients, coefficientsOf, isDrySolid, SUCROSE_LIKE_PER_G } from "./coefficients.ts";
import { emptyTotals } from "./totals.ts";
import { mixedVolumeGradient, volumeChangeMl } from "./volume.ts";

/** One independent doubt about an ingredient's composition. */
export interface CompositionDoubt {
  readonly source: DoubtSource;
  /** Change of the coefficients (per mL of ingredient) for one standard uncertainty. */
  readonly change: Readonly<Coefficients>;
}

const { pouredMl: _noPour, ...NOTHING } = emptyTotals();

/**
 * The doubts about an ingredient's composition: its strength, each sugar, each acid and the other
 * solids, one standard uncertainty each, independent of each other. First-order: the exact derivative
 * of `coefficientsOf`, in which water makes room so that the ingredient keeps its own volume. The
 * density's own doubt is left out: at equal volume it shifts water only, some 0.001 of any axis.
 * Worked out once for each ingredient.
 */
export const compositionDoubts: (ingredient: Ingredient) => readonly CompositionDoubt[] = onceFor(workOut);

function workOut(ingredient: Ingredient): CompositionDoubt[] {
  const coeffs = coefficientsOf(ingredient);
  const hasDensity = ingredient.densityGPerMl !== undefined;
  const doubts: CompositionDoubt[] = [];
  const add = (
    kind: "abv" | "sugar" | "acid" | "solids",
    v: SourcedValue | undefined,
    perUnit: (sd: number) => Partial<Coefficients>,
  ) => {
    if (v === undefined || v.sd === 0) return;
    const change = balanced({ ...NOTHING, ...perUnit(v.sd / 100) }, coeffs, hasDensity);
    doubts.push({ source: { kind, ingredient: ingredient.id }, change });
  };
  add("abv", ingredient.abvPercent, (d) => ({ ethanolMl: d, ethanolG: d * ETHANOL_G_PER_ML }));
  for (const [k, v] of Object.entries(ingredient.sugarsGPer100Ml)) {
    add("sugar", v, (d) => ({ sugarG: d, sucroseLikeG: d * SUCROSE_LIKE_PER_G[k as SugarId] }));
  }
  for (const [k, v] of Object.entries(ingredient.acidsGPer100Ml)) {
    add("acid", v, (d) => ({ acidG: d, acidCitricEqG: d * citricEquivalentPerG(k as AcidId) }));
  }
  add("solids", ingredient.otherSolidsGPer100Ml, (d) => ({ otherSolidsG: d }));
  return doubts;
}

/** Let water make room: equal mass where a density is stated, equal volume where it is not. */
function balanced(change: Coefficients, at: Readonly<Coefficients>, hasDensity: boolean): Coefficients {
  const gradient = mixedVolumeGradient(at);
  const addedG = change.ethanolG + change.sugarG + change.acidG + change.otherSolidsG;
  if (hasDensity) {
    change.waterG = -addedG;
    if (!isDrySolid(at)) change.extraMl = -volumeChangeMl(gradient, change);
  } else {
    change.waterG = -volumeChangeMl(gradient, change) / gradient.waterG;
    change.massG = addedG + change.waterG;
  }
  change.excessEnthalpyJ =
    (excessEnthalpyJ(Math.max(0, at.ethanolG + change.ethanolG), Math.max(0, at.waterG + change.waterG)) -
      excessEnthalpyJ(Math.max(0, at.ethanolG - change.ethanolG), Math.max(0, at.waterG - change.waterG))) /
    2;
  return change;
}
