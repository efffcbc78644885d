import { EngineError, type FieldIssue } from "../errors.ts";
import { ICE_CONDITION_IDS } from "../ids.ts";
import { ICE_CONDITIONS } from "../limits.ts";
import { SMALLEST_POUR_ML, type Totals } from "../mix/totals.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { findRoot } from "../physics/find-root.ts";
import { FREEZING_SD_C, freezingPointC } from "../physics/freezing.ts";
import {
  drinkHeatCapacityJPerK,
  excessEnthalpyJ,
  ICE_HEAT_CAPACITY_J_PER_G_K,
  ICE_LATENT_HEAT_J_PER_G,
  WATER_HEAT_CAPACITY_J_PER_G_K,
} from "../physics/heat.ts";
import type { IceConditions } from "../types.ts";

/** What an ice balance finds. */
export interface EnergyBalance {
  /** mL of water (melted and adherent) per mL poured into the mix. */
  ratio: number;
  waterMl: number;
  finalTempC: number;
  /** Melted ice alone, g; the rest of the water was on the ice already. */
  meltedG: number;
  /** Freezing point of the finished mix, °C. */
  freezingPointC: number;
  /** What stopped the melting. */
  limit: "temperature" | "all ice melted" | "no ice melted";
}

/**
 * Water and final temperature of a mix cooled by ice, from conservation of energy.
 *
 * Path (enthalpy depends on the ends only): ice warms to 0 °C, melts, and its water and the water on the
 * ice come to the ingredients' temperature; everything mixes there, giving off heat; the finished
 * mix and the vessel cool to the final temperature, and the ice left over follows. No heat is
 * taken from the room. The final temperature lies a share `approach` of the way from the
 * ingredients' temperature to the finished mix's own freezing point, where an ice–liquid mixture
 * stands still. If the ice runs out first, the balance gives the temperature instead; if the mix
 * starts too cold to melt ice, only the adherent water goes in.
 *
 * All the ice left over is taken to follow the drink below 0 °C. Cooling gives up heat, which melts a little
 * more: the water of a usual sour grows by 7 % from 90 to 180 g of dry ice at 0 °C, and by 12 % from there to
 * 360 g. Experiments find that with enough ice its amount does not matter (D. Arnold, "Science of Shaking II",
 * 2009). In a short shake not all of it follows: by conduction alone (diffusivity of ice 1.1 mm²/s, from
 * memory) three quarters of a 25 mm cube would in 15 s and half of a 50 mm one. So this is the upper end, within
 * the stated uncertainty for usual amounts. Ends at 0 °C or above do not depend on how much ice is left. Water
 * already on the ice does grow with it.
 *
 * Heat of mixing is Larkin's at 25 °C, applied at the ingredients' temperature (its fitted range
 * starts there); the heat of diluting sugar and acid is left out (order 1 % of the total).
 *
 * @param mix the lines that are mixed with ice
 * @throws EngineError for conditions out of range
 */
export function energyBalance(mix: Totals, conditions: IceConditions): EnergyBalance {
  checkIceConditions(conditions);
  return solve(mix, conditions, balanceOf(mix, conditions, 0, 1));
}

/** The equations of one balance, by grams of ice melted. */
interface Balance {
  adherentG: number;
  solidIceG: number;
  freezing(melted: number): number;
  reached(melted: number): number;
  surplus(melted: number, end: number): number;
}

/** The balance with the freezing point shifted and the heat capacity scaled, for its uncertainty. */
function balanceOf(mix: Totals, c: IceConditions, freezingShiftC: number, heatScale: number): Balance {
  const start = c.ingredientTempC;
  const adherentG = c.iceMassG * c.adherentWaterShare;
  const solidIceG = c.iceMassG - adherentG;
  const solidsG = mix.sugarG + mix.acidG + mix.otherSolidsG;
  const vesselJPerK = c.vesselMassG * c.vesselHeatCapacityJPerGK;
  const cIce = ICE_HEAT_CAPACITY_J_PER_G_K;
  const cWater = WATER_HEAT_CAPACITY_J_PER_G_K;

  const freezing = (melted: number) =>
    freezingPointC(mix.ethanolG, mix.waterG + adherentG + melted, mix.sucroseLikeG, mix.acidG) +
    freezingShiftC;
  const reached = (melted: number) => start - c.approach * (start - freezing(melted));

  /** Heat given off less heat taken up, J; falls as more ice melts or the end is warmer. */
  const surplus = (melted: number, end: number): number => {
    const waterG = mix.waterG + adherentG + melted;
    const capacity = heatScale * drinkHeatCapacityJPerK(mix.ethanolG, waterG, solidsG, (start + end) / 2);
    const mixing = mix.excessEnthalpyJ - excessEnthalpyJ(mix.ethanolG, waterG);
    const iceEnd = c.iceTempC + c.approach * (Math.min(end, 0) - c.iceTempC);
    return (
      capacity * (start - end) +
      vesselJPerK * (c.vesselTempC - end) +
      mixing -
      melted * (ICE_LATENT_HEAT_J_PER_G - cIce * c.iceTempC + cWater * start) -
      adherentG * cWater * start -
      (solidIceG - melted) * cIce * (iceEnd - c.iceTempC)
    );
  };

  return { adherentG, solidIceG, freezing, reached, surplus };
}

function solve(mix: Totals, c: IceConditions, balance: Balance): EnergyBalance {
  const { adherentG, solidIceG, freezing, reached, surplus } = balance;
  const start = c.ingredientTempC;
  const temperatureWith = (melted: number): number => {
    const coldest = freezing(melted);
    if (surplus(melted, coldest) <= 0) return coldest;
    // Heat of mixing and a warm vessel can lift the mix above its start, never by 60 °C.
    return findRoot((t) => surplus(melted, t), coldest, Math.max(start, c.vesselTempC) + 60, 1e-10);
  };

  let melted: number;
  let finalTempC: number;
  let limit: EnergyBalance["limit"];
  if (!(mix.pouredMl >= SMALLEST_POUR_ML) || c.iceMassG === 0) {
    return {
      ratio: 0,
      waterMl: 0,
      finalTempC: mix.pouredMl >= SMALLEST_POUR_ML ? temperatureWith(0) : start,
      meltedG: 0,
      freezingPointC: freezing(0),
      limit: "all ice melted",
    };
  }
  if (surplus(0, reached(0)) <= 0) {
    melted = 0;
    finalTempC = temperatureWith(0);
    limit = "no ice melted";
  } else if (surplus(solidIceG, reached(solidIceG)) >= 0) {
    melted = solidIceG;
    finalTempC = temperatureWith(solidIceG);
    limit = "all ice melted";
  } else {
    melted = findRoot((m) => surplus(m, reached(m)), 0, solidIceG, 1e-12 * solidIceG);
    finalTempC = reached(melted);
    limit = "temperature";
  }
  const waterMl = (melted + adherentG) / WATER_G_PER_ML;
  return {
    ratio: waterMl / mix.pouredMl,
    waterMl,
    finalTempC,
    meltedG: melted,
    freezingPointC: freezing(melted),
    limit,
  };
}

/**
 * Standard uncertainties of the conditions when nobody measured them (estimates): ingredients
 * ±2 °C, ice −1 °C, water on the ice ±0.02 of its mass, ice ±15 %, vessel ±30 % and ±2 °C, approach
 * ±0.05, freezing point ±1 °C, heat capacity ±2 % (spread of two sources), and heat from room and hands,
 * which the balance leaves out, as ±10 % of the water.
 */
const ROOM_HEAT_SHARE = 0.1;

/** Share of the melted ice over which the slope of the balance is taken. */
const SLOPE_STEP = 1e-4;
/** A shifted balance is found by one step only this far, in shares of the ice, from where the melting is cut off. */
const CUT_OFF_MARGIN = 0.02;

/**
 * Standard uncertainty of the balance's ratio, from those of its conditions (first order, independent).
 *
 * Each shifted balance is found by one Newton step from the unshifted one, with its slope: the error of a
 * step is even in the shift and cancels in the difference of the two sides. Where ice runs out or none
 * melts, or nearly so, the balance bends, and each is solved in full.
 */
export function energyRatioSd(mix: Totals, c: IceConditions): number {
  const middle = balanceOf(mix, c, 0, 1);
  const { ratio: base, meltedG, limit } = solve(mix, c, middle);
  const step = SLOPE_STEP * meltedG;
  const slope =
    (middle.surplus(meltedG + step, middle.reached(meltedG + step)) -
      middle.surplus(meltedG - step, middle.reached(meltedG - step))) /
    (2 * step);
  const shifted = (change: Partial<IceConditions>, freezingShift = 0, heatScale = 1) => {
    const conditions = { ...c, ...change };
    const balance = balanceOf(mix, conditions, freezingShift, heatScale);
    if (limit === "temperature") {
      const melted = meltedG - balance.surplus(meltedG, balance.reached(meltedG)) / slope;
      const share = melted / balance.solidIceG;
      if (share > CUT_OFF_MARGIN && share < 1 - CUT_OFF_MARGIN) {
        return (melted + balance.adherentG) / WATER_G_PER_ML / mix.pouredMl;
      }
    }
    return solve(mix, conditions, balance).ratio;
  };
  const halfSpan = (up: number, down: number) => (up - down) / 2;
  const deviations = [
    halfSpan(
      shifted({ ingredientTempC: c.ingredientTempC + 2 }),
      shifted({ ingredientTempC: c.ingredientTempC - 2 }),
    ),
    // Ice cannot be warmer than 0 °C: one-sided.
    shifted({ iceTempC: c.iceTempC - 1 }) - base,
    halfSpan(
      shifted({ adherentWaterShare: c.adherentWaterShare + 0.02 }),
      shifted({ adherentWaterShare: Math.max(0, c.adherentWaterShare - 0.02) }),
    ),
    halfSpan(shifted({ iceMassG: c.iceMassG * 1.15 }), shifted({ iceMassG: c.iceMassG * 0.85 })),
    halfSpan(shifted({ vesselMassG: c.vesselMassG * 1.3 }), shifted({ vesselMassG: c.vesselMassG * 0.7 })),
    halfSpan(shifted({ vesselTempC: c.vesselTempC + 2 }), shifted({ vesselTempC: c.vesselTempC - 2 })),
    halfSpan(
      shifted({ approach: Math.min(1, c.approach + 0.05) }),
      shifted({ approach: Math.max(0, c.approach - 0.05) }),
    ),
    halfSpan(shifted({}, FREEZING_SD_C), shifted({}, -FREEZING_SD_C)),
    halfSpan(shifted({}, 0, 1.02), shifted({}, 0, 0.98)),
    ROOM_HEAT_SHARE * base,
  ];
  return Math.hypot(...deviations);
}

/** Throw an EngineError naming each condition that is out of range. */
export function checkIceConditions(c: IceConditions): void {
  const issues: FieldIssue[] = [];
  for (const key of ICE_CONDITION_IDS) {
    const { min, max, unit } = ICE_CONDITIONS[key];
    if (!(c[key] >= min && c[key] <= max)) {
      issues.push({
        pointer: `/dilution/conditions/${key}`,
        detail: `${c[key]} is not in ${min}..${max} ${unit}`.trim(),
        remedy: "give a value within that range, or leave it out for the usual one",
      });
    }
  }
  if (issues.length > 0) throw new EngineError(issues);
}
