import { type Coefficients, coefficientsOf } from "../mix/coefficients.ts";
import { onceFor } from "../once.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import {
  drinkHeatCapacityJPerK,
  ICE_HEAT_CAPACITY_J_PER_G_K,
  ICE_LATENT_HEAT_J_PER_G,
  WATER_HEAT_CAPACITY_J_PER_G_K,
} from "../physics/heat.ts";
import type { IceConditions, Ingredient, Method, Stage } from "../types.ts";
import { checkIceConditions, iceConditions, pouredTempC } from "./conditions.ts";
import { METHODS, type MethodDefinition, type ReferenceMix } from "./methods.ts";

/**
 * Share of the ice's heat that follows the drink in a short contact. By conduction alone (diffusivity of ice
 * 1.1 mm²/s, from memory) three quarters of a 25 mm cube follow in 15 s, two thirds of a 32 mm one.
 */
const ICE_FOLLOWS = 0.65;

/** A line of a drink, whatever is poured of it. */
export interface MixLine {
  ingredient: Ingredient;
  stage: Stage;
}

/**
 * Water that other conditions or another size than the usual add to a curve, mL: Σ perMl[i]·xᵢ + fixedMl for
 * pours xᵢ. Affine in the pours, so that the solver bounds it exactly.
 */
export type HeatCorrection = NonNullable<ReturnType<typeof heatCorrection>>;

/**
 * Difference in melt water between the user's conditions and the usual ones, from conservation of energy.
 *
 * A published curve already holds the melt of a usual drink with usual ice; heat adds up, so only what differs
 * has to be counted: each mL poured d degrees warmer brings d times its heat capacity, colder ice takes its own
 * warming, wet ice brings its water, and vessel, ice and wetness are there once whatever is poured (so a
 * small drink melts more per mL than a large one). The end temperature is that of the method's reference drink,
 * which keeps every term linear in the pours; against a full balance the error is second order in the
 * difference (compared in `tests/published/melt-water.test.ts`).
 *
 * Ice beyond the usual mass stands clear of the drink and counts only as what could still melt: with enough
 * ice its amount does not matter (D. Arnold, "Science of Shaking II", 2009).
 *
 * @returns null where the method has no heat balance
 * @throws EngineError for conditions out of range
 */
export function heatCorrection(
  method: Method,
  own: Partial<IceConditions> | undefined,
  lines: readonly MixLine[],
) {
  const { conditions: usual, reference } = METHODS[method];
  const theirs = usualSink(METHODS[method]);
  const c = iceConditions(method, own);
  if (usual === null || theirs === null || c === null) return null;
  if (c !== usual) checkIceConditions(c);
  const mine = c === usual ? theirs : sinkOf(c, reference, usual.iceMassG);
  const perMl = lines.map(({ ingredient: { role }, ingredient, stage }) => {
    if (stage === "top") return 0;
    const heat = keptLineHeatJPerK(ingredient) / WATER_G_PER_ML;
    return (
      (heat * (pouredTempC(role, c) - mine.endC)) / mine.joulesPerG -
      (heat * (pouredTempC(role, usual) - theirs.endC)) / theirs.joulesPerG -
      theirs.fixedMl / reference.pouredMl
    );
  });
  return {
    /** Per mL of each line (0 for lines added after the ice). */
    perMl,
    fixedMl: mine.fixedMl,
    /** The water already on the ice goes in whatever melts. */
    leastMl: mine.wetMl,
    /** No more melts than there is. */
    mostMl: c.iceMassG / WATER_G_PER_ML,
  };
}

/** That of a method's usual conditions; null where it has none. */
const usualSink = onceFor(
  ({ conditions, reference }: MethodDefinition) =>
    conditions && sinkOf(conditions, reference, conditions.iceMassG),
);

/** Heat capacity of one mL of an ingredient, J/K, at 10 °C. */
export function lineHeatJPerK(c: Readonly<Coefficients>): number {
  return drinkHeatCapacityJPerK(c.ethanolG, c.waterG, c.sugarG + c.acidG + c.otherSolidsG, 10);
}

/** The same of an ingredient, kept. */
export const keptLineHeatJPerK = onceFor((i: Ingredient) => lineHeatJPerK(coefficientsOf(i)));

/** What there is besides the drink: where it ends, what a gram of ice takes up, and the water it makes. */
function sinkOf(c: Readonly<IceConditions>, reference: ReferenceMix, usualIceG: number) {
  const { shelfShare, freezingC } = reference;
  const startC = shelfShare * c.shelfTempC + (1 - shelfShare) * c.fridgeTempC;
  const endC = startC - c.approach * Math.max(0, startC - freezingC);
  const iceRiseK = ICE_FOLLOWS * (Math.min(endC, 0) - c.iceTempC);
  const joulesPerG =
    ICE_LATENT_HEAT_J_PER_G +
    WATER_HEAT_CAPACITY_J_PER_G_K * endC -
    ICE_HEAT_CAPACITY_J_PER_G_K * (c.iceTempC + iceRiseK);
  const touchedG = Math.min(c.iceMassG, usualIceG);
  const wetG = touchedG * c.adherentWaterShare;
  const givenJ =
    c.vesselMassG * c.vesselHeatCapacityJPerGK * (c.vesselTempC - endC) -
    wetG * WATER_HEAT_CAPACITY_J_PER_G_K * endC -
    (touchedG - wetG) * ICE_HEAT_CAPACITY_J_PER_G_K * iceRiseK;
  return {
    endC,
    joulesPerG,
    wetMl: wetG / WATER_G_PER_ML,
    fixedMl: (wetG + givenJ / joulesPerG) / WATER_G_PER_ML,
  };
}
