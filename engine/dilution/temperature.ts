import { addTo, addWater, emptyTotals, type Totals } from "../mix/totals.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { FREEZING_SD_C, freezingPointC } from "../physics/freezing.ts";
import { WATER_HEAT_CAPACITY_J_PER_G_K } from "../physics/heat.ts";
import type { IceConditions } from "../types.ts";
import { pouredTempC } from "./conditions.ts";
import { type HeatLine, keptLineHeatJPerK } from "./heat-correction.ts";

/** One line of a drink, as its temperature sees it. */
export interface TemperedLine extends HeatLine {
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
  lines: readonly TemperedLine[],
  waterMl: number,
  conditions: IceConditions,
  staysOnIce: boolean,
): { tempC: number; sdC: number } {
  const iced = emptyTotals();
  let [icedHeat, icedJ, topHeat, topJ] = [0, 0, 0, 0];
  for (const { role, coeffs, volumeMl, stage } of lines) {
    const heat = keptLineHeatJPerK(coeffs) * volumeMl;
    const joules = heat * pouredTempC(role, conditions);
    if (stage === "mix" || staysOnIce) {
      addTo(iced, coeffs, volumeMl);
      icedHeat += heat;
      icedJ += joules;
    } else {
      topHeat += heat;
      topJ += joules;
    }
  }
  const startC = icedJ / icedHeat;
  addWater(iced, waterMl * WATER_G_PER_ML);
  icedHeat += waterMl * WATER_G_PER_ML * WATER_HEAT_CAPACITY_J_PER_G_K;
  const span = Math.max(0, startC - freezingOf(iced));
  const icedC = startC - conditions.approach * span;
  const share = icedHeat / (icedHeat + topHeat);
  return {
    tempC: share * icedC + topJ / (icedHeat + topHeat),
    sdC: Math.hypot(
      share * conditions.approach * FREEZING_SD_C,
      share * APPROACH_SD * span,
      share * (1 - conditions.approach) * POURED_SD_C,
      (1 - share) * POURED_SD_C,
    ),
  };
}

const freezingOf = (t: Totals) => freezingPointC(t.ethanolG, t.waterG, t.sucroseLikeG, t.acidG);
