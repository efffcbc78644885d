import type { AxisName, Ingredient, Pantry, SourcedValue } from "../types.ts";
import { inProportion, titratableAcidityGPer100Ml, totalSugarGPer100Ml } from "./coefficients.ts";

/** What a user measured of one ingredient, per 100 mL: sugar g, acid g as citric, % vol. */
export type OwnFigures = Partial<Record<AxisName, number>>;

/**
 * Relative standard uncertainty given to a figure the user measured: a bar refractometer, a burette
 * titration and a still each repeat within about two percent (our estimate).
 */
const RELATIVE_SD = 0.02;

const measuredHere = (value: number): SourcedValue => ({
  value,
  sd: value * RELATIVE_SD,
  source: "measured-here",
  note: "measured at this bench",
});

type Composition = Partial<Record<string, SourcedValue>>;

/** The same kinds in the same proportions, adding up to `total`; all of `fallback` when there were none. */
function scaledTo(parts: Composition, present: number, total: number, fallback: string): Composition {
  if (present > 0) return inProportion(parts, present, total, measuredHere);
  return total > 0 ? { [fallback]: measuredHere(total) } : {};
}

/** Sum of the sugars in g per 100 mL. */
export const totalSugar = (ingredient: Ingredient) => totalSugarGPer100Ml(ingredient.sugarsGPer100Ml);

/** Titratable acidity in g of citric acid per 100 mL. */
export const totalAcid = (ingredient: Ingredient) => titratableAcidityGPer100Ml(ingredient.acidsGPer100Ml);

/** The pantry's ingredient with the user's own figures in place of the books'. */
export function withMeasured(ingredient: Ingredient, measured: OwnFigures): Ingredient {
  const { sugar, acid, abv } = measured;
  return {
    ...ingredient,
    own: true,
    ...(sugar !== undefined && {
      sugarsGPer100Ml: scaledTo(ingredient.sugarsGPer100Ml, totalSugar(ingredient), sugar, "sucrose"),
    }),
    ...(acid !== undefined && {
      acidsGPer100Ml: scaledTo(ingredient.acidsGPer100Ml, totalAcid(ingredient), acid, "citric"),
    }),
    ...(abv !== undefined && { abvPercent: measuredHere(abv) }),
  };
}

/** A pantry of `ingredients`, later ones over earlier ones of the same id, with the user's own figures in it. */
export function pantryWithFigures(
  ingredients: readonly Ingredient[],
  measured: Readonly<Record<string, OwnFigures>>,
): Pantry {
  return new Map(
    ingredients.map((ingredient) => {
      const figures = measured[ingredient.id];
      return [ingredient.id, figures ? withMeasured(ingredient, figures) : ingredient];
    }),
  );
}
