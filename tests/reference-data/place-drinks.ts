import { toVolumeMl } from "../../engine/amounts/units.ts";
import { createMixModel, type Finished } from "../../engine/dilution/model.ts";
import { type Coefficients, coefficientsOf } from "../../engine/mix/coefficients.ts";
import type { Ingredient, Spec } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

export const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));

export function ingredient(id: string): Ingredient {
  const found = pantry.get(id);
  if (!found) throw new Error(`no ${id} in the pantry`);
  return found;
}

export const coefficients = (id: string): Coefficients => coefficientsOf(ingredient(id));

/** Finish a spec by its method's regression. */
export function finish(spec: Spec): Finished {
  const items = spec.lines.map((l) => {
    const i = ingredient(l.ingredient);
    return { ingredient: i, stage: l.stage ?? (i.addAfterDilution ? ("top" as const) : ("mix" as const)) };
  });
  const volumesMl = spec.lines.map(
    (l) => toVolumeMl(l.amount, l.unit, { ingredient: ingredient(l.ingredient) }).ml,
  );
  return createMixModel(items, spec.method).finish(volumesMl);
}

/** Sum of the sugars, g/100 mL. */
export const sugars = (id: string): number => coefficients(id).sugarG * 100;
/** Titratable acidity as citric acid, g/100 mL. */
export const acidity = (id: string): number => coefficients(id).acidCitricEqG * 100;
/** Root of the summed squares of the uncertainties of an ingredient's sugars. */
export const sugarsSd = (id: string): number =>
  Math.hypot(...Object.values(ingredient(id).sugarsGPer100Ml).map((v) => v.sd));
