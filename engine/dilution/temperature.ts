import { coefficientsOf } from "../mix/coefficients.ts";
import { addTo, addWater, emptyTotals } from "../mix/totals.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { FREEZING_SD_C, freezingPointC } from "../physics/freezing.ts";
import { WATER_HEAT_CAPACITY_J_PER_G_K } from "../physics/heat.ts";
import type { IceConditions } from "../types.ts";
import { pouredTempC } from "./conditions.ts";
import { keptLineHeatJPerK, type MixLine } from "./heat-correction.ts";

/** A line with what is poured of it. */
export interface PouredLine extends MixLine {
  volumeMl: number;
}

/** Standard uncertainties (estimates): how far the mix comes, and at what temperature things are poured, °C. */
const APPROACH_SD = 0.05;
const POURED_SD_C = 3;

/**
 * Temperature of the finished drink and its standard uncertainty, °C.
 *
 * Over ice a mix comes a share `approach` of the way from its start to the freezing point of what it has
 * become, melt water included: there ice and liquid stand still. What is topped after the ice then warms it by
 * simple mixing of heat. A drink that stays on its ice is taken as a whole, toppings and all. Heat of mixing
 * moves the water, not the end (ice takes it up); for toppings it is left out (under half a degree).
 */
export function finishedTempC(
  lines: readonly PouredLine[],
  waterMl: number,
  conditions: IceConditions,
  staysOnIce: boolean,
): { tempC: number; sdC: number } {
  const onIce = lines.filter(({ stage }) => stage === "mix" || staysOnIce);
  const after = lines.filter((line) => !onIce.includes(line));
  const { totals, ...iced } = asPoured(onIce, conditions);
  const top = asPoured(after, conditions);
  addWater(totals, waterMl * WATER_G_PER_ML);
  const icedHeat = iced.heatJPerK + waterMl * WATER_G_PER_ML * WATER_HEAT_CAPACITY_J_PER_G_K;
  const freezingC = freezingPointC(totals.ethanolG, totals.waterG, totals.sucroseLikeG, totals.acidG);
  const span = Math.max(0, iced.tempC - freezingC);
  const icedC = iced.tempC - conditions.approach * span;
  const share = icedHeat / (icedHeat + top.heatJPerK);
  return {
    tempC: share * icedC + top.heatJ / (icedHeat + top.heatJPerK),
    sdC: Math.hypot(
      share * conditions.approach * FREEZING_SD_C,
      share * APPROACH_SD * span,
      share * (1 - conditions.approach) * POURED_SD_C,
      (1 - share) * POURED_SD_C,
    ),
  };
}

/** What lines hold together as they are poured, and their heat, counted from 0 °C. */
export function asPoured(lines: readonly PouredLine[], conditions: IceConditions) {
  const totals = emptyTotals();
  let [heatJPerK, heatJ] = [0, 0];
  for (const { ingredient, volumeMl } of lines) {
    const heat = keptLineHeatJPerK(ingredient) * volumeMl;
    addTo(totals, coefficientsOf(ingredient), volumeMl);
    heatJPerK += heat;
    heatJ += heat * pouredTempC(ingredient.role, conditions);
  }
  return { totals, heatJPerK, heatJ, tempC: heatJPerK > 0 ? heatJ / heatJPerK : 0 };
}
