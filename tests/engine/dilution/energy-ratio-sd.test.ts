import { expect, test } from "vitest";
import { energyBalance, energyRatioSd } from "../../../engine/dilution/energy-balance.ts";
import { iceConditions } from "../../../engine/dilution/model.ts";
import { coefficientsOf } from "../../../engine/mix/coefficients.ts";
import { totalsOf } from "../../../engine/mix/totals.ts";
import { FREEZING_SD_C } from "../../../engine/physics/freezing.ts";
import { drinkHeatCapacityJPerK } from "../../../engine/physics/heat.ts";
import type { IceConditions, Ingredient } from "../../../engine/types.ts";
import { lime, rum, syrup } from "../mix/pantry.ts";

const mixOf = (pours: [Ingredient, number][]) =>
  totalsOf(
    pours.map(([i]) => coefficientsOf(i)),
    pours.map(([, v]) => v),
  );
const sour = mixOf([
  [rum, 60],
  [syrup, 22.5],
  [lime, 22.5],
]);
const boozy = mixOf([
  [rum, 75],
  [syrup, 5],
]);

/** The uncertainty by solving the balance in full at both ends of each doubt that a caller can set. */
function bySolving(mix: typeof sour, c: IceConditions): number {
  const at = (change: Partial<IceConditions>) => energyBalance(mix, { ...c, ...change }).ratio;
  const half = (up: Partial<IceConditions>, down: Partial<IceConditions>) => (at(up) - at(down)) / 2;
  const around = <K extends keyof IceConditions>(key: K, up: number, down: number) =>
    half({ [key]: up } as Partial<IceConditions>, { [key]: down } as Partial<IceConditions>);
  return Math.hypot(
    around("ingredientTempC", c.ingredientTempC + 2, c.ingredientTempC - 2),
    at({ iceTempC: c.iceTempC - 1 }) - at({}),
    around("adherentWaterShare", c.adherentWaterShare + 0.02, Math.max(0, c.adherentWaterShare - 0.02)),
    around("iceMassG", 1.15 * c.iceMassG, 0.85 * c.iceMassG),
    around("vesselMassG", 1.3 * c.vesselMassG, 0.7 * c.vesselMassG),
    around("vesselTempC", c.vesselTempC + 2, c.vesselTempC - 2),
    around("approach", Math.min(1, c.approach + 0.05), Math.max(0, c.approach - 0.05)),
    0.1 * at({}),
  );
}

const shaker = iceConditions("shaken")!;
const conditions: [string, IceConditions][] = [
  ["a usual shake", shaker],
  ["a usual stir", iceConditions("stirred")!],
  ["ice from the freezer", { ...shaker, iceTempC: -18 }],
  ["ice that just runs out", { ...shaker, iceMassG: 55 }],
  ["too little ice", { ...shaker, iceMassG: 25 }],
  // The sour only: a stronger drink still melts some, and its freezing point is then most of the doubt.
  ["so cold that none melts", { ...shaker, ingredientTempC: -12, vesselTempC: -12, iceTempC: -20 }],
];

test.each(conditions)(
  "%s: what solving each doubt in full gives, and a little for the two that are ours",
  (_, c) => {
    for (const mix of energyBalance(boozy, c).meltedG > 12 ? [sour, boozy] : [sour]) {
      const solved = bySolving(mix, c);
      const sd = energyRatioSd(mix, c);
      // The freezing point and the heat capacity, which no caller sets, add up to a tenth.
      expect(sd / solved).toBeGreaterThan(0.995);
      expect(sd / solved).toBeLessThan(1.1);
    }
  },
);

test.each([
  ["sour", sour],
  ["boozy", boozy],
])("all ten doubts of a %s one, those of our own played by conditions that do the same", (_, mix) => {
  // A vessel as warm as the drink cools with it, so more vessel is more heat capacity; and with contact that
  // falls short, a little more of it is a freezing point a little lower.
  const c: IceConditions = {
    ...shaker,
    vesselTempC: shaker.ingredientTempC,
    approach: 0.85,
    // Little more than melts: what is left over follows the contact too, and should not count.
    iceMassG: 80,
  };
  const at = (change: Partial<IceConditions>) => energyBalance(mix, { ...c, ...change }).ratio;
  const { meltedG, freezingPointC, finalTempC } = energyBalance(mix, c);
  const waterG = mix.waterG + meltedG + c.iceMassG * c.adherentWaterShare;
  const solidsG = mix.sugarG + mix.acidG + mix.otherSolidsG;
  const meanC = (c.ingredientTempC + finalTempC) / 2;
  const capacity = drinkHeatCapacityJPerK(mix.ethanolG, waterG, solidsG, meanC);
  const byHeat = (share: number) =>
    at({ vesselMassG: c.vesselMassG + (share * capacity) / c.vesselHeatCapacityJPerGK });
  const drop = c.ingredientTempC - freezingPointC;
  const byFreezing = (shiftC: number) => at({ approach: c.approach * (1 - shiftC / drop) });
  const expected = Math.hypot(
    bySolving(mix, c),
    (byHeat(0.02) - byHeat(-0.02)) / 2,
    (byFreezing(FREEZING_SD_C) - byFreezing(-FREEZING_SD_C)) / 2,
  );
  expect(Math.abs(energyRatioSd(mix, c) / expected - 1)).toBeLessThan(0.004);
});
