import type { Totals } from "../../../engine/mix/totals.ts";
import { findRoot } from "../../../engine/physics/find-root.ts";
import { freezingPointC } from "../../../engine/physics/freezing.ts";
import { drinkHeatCapacityJPerK, excessEnthalpyJ } from "../../../engine/physics/heat.ts";
import type { IceConditions } from "../../../engine/types.ts";

/** Latent heat and heat capacities of ice and water (J/g, J/(g·K)): TEOS-10; handbook means. */
const LATENT = 333.4265;
const C_ICE = 2.101;
const C_WATER = 4.2;

/**
 * A whole ice balance, solved by root finding, as a second opinion on the engine's linear correction: enthalpy
 * before equals enthalpy after, where "after" is the mix at a share `approach` of the way from its start to its
 * own freezing point. The ice warms to 0 °C, melts, its water and the water on the ice join; heat of mixing is
 * Larkin's; the vessel and `follows` of the ice left over come along.
 */
export function fullBalance(
  mix: Totals,
  startC: number,
  c: Omit<IceConditions, "shelfTempC" | "fridgeTempC">,
  follows = 1,
): { ratio: number; meltedG: number; waterMl: number; endC: number; allMelted: boolean } {
  const wetG = c.iceMassG * c.adherentWaterShare;
  const solidG = c.iceMassG - wetG;
  const solids = mix.sugarG + mix.acidG + mix.otherSolidsG;
  const water = (melted: number) => mix.waterG + wetG + melted;
  const freezing = (m: number) => freezingPointC(mix.ethanolG, water(m), mix.sucroseLikeG, mix.acidG);
  const reached = (m: number) => startC - c.approach * (startC - freezing(m));
  const surplusJ = (m: number, endC: number) =>
    drinkHeatCapacityJPerK(mix.ethanolG, water(m), solids, (startC + endC) / 2) * (startC - endC) +
    c.vesselMassG * c.vesselHeatCapacityJPerGK * (c.vesselTempC - endC) +
    (mix.excessEnthalpyJ - excessEnthalpyJ(mix.ethanolG, water(m))) -
    m * (LATENT - C_ICE * c.iceTempC) -
    // Everything is brought to the start first, then cooled together.
    (m + wetG) * C_WATER * startC -
    (solidG - m) * C_ICE * follows * (Math.min(endC, 0) - c.iceTempC);
  const answer = (meltedG: number, endC: number, allMelted: boolean) => {
    const waterMl = (meltedG + wetG) / 0.99820123;
    return { ratio: waterMl / mix.pouredMl, meltedG, waterMl, endC, allMelted };
  };
  if (surplusJ(0, reached(0)) <= 0) {
    return answer(
      0,
      findRoot((t) => surplusJ(0, t), -60, 90),
      false,
    );
  }
  if (surplusJ(solidG, reached(solidG)) >= 0) {
    return answer(
      solidG,
      findRoot((t) => surplusJ(solidG, t), -60, 90),
      true,
    );
  }
  const melted = findRoot((m) => surplusJ(m, reached(m)), 0, solidG);
  return answer(melted, reached(melted), false);
}
