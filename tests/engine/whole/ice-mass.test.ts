/**
 * How much the amount of ice matters to the energy balance. D. Arnold, "Science of Shaking II" (2009): with
 * enough ice at 0 °C neither its type nor the style of shaking matters to temperature and dilution.
 */
import { expect, test } from "vitest";
import { energyBalance, energyRatioSd } from "../../../engine/dilution/energy-balance.ts";
import { iceConditions } from "../../../engine/dilution/model.ts";
import { coefficientsOf } from "../../../engine/mix/coefficients.ts";
import { totalsOf } from "../../../engine/mix/totals.ts";
import { PANTRY } from "./arbitrary-request.ts";

const mixOf = (pours: [string, number][]) =>
  totalsOf(
    pours.map(([id]) => coefficientsOf(PANTRY.get(id)!)),
    pours.map(([, ml]) => ml),
  );
const sour = mixOf([
  ["rum-white", 60],
  ["juice-lime", 22.5],
  ["syrup-simple-1-1", 22.5],
]);
const dry = { ...iceConditions("shaken")!, adherentWaterShare: 0, iceTempC: 0 };

test("twice the dry ice moves the water by less than its stated uncertainty", () => {
  const [some, more] = [90, 180].map((iceMassG) => energyBalance(sour, { ...dry, iceMassG }));
  expect(some!.limit).toBe("temperature");
  expect(Math.abs(more!.ratio - some!.ratio)).toBeLessThan(energyRatioSd(sour, { ...dry, iceMassG: 90 }));
});

test("what it does move is the heat that the ice left over gives up in cooling, and no more", () => {
  const iceHeatJ = (iceMassG: number) => {
    const b = energyBalance(sour, { ...dry, iceMassG });
    return { b, givenUp: (iceMassG - b.meltedG) * 2.101 * -b.finalTempC };
  };
  const [some, more] = [iceHeatJ(90), iceHeatJ(180)];
  // A gram more melts and comes to the end's temperature; the drink as a whole ends a little warmer.
  const perGram = 333.4 + 4.2 * more.b.finalTempC;
  const meltedJ = (more.b.meltedG - some.b.meltedG) * perGram;
  const drinkJPerK = 4 * sour.massG + 4.2 * some.b.meltedG + 90;
  const warmerJ = (more.b.finalTempC - some.b.finalTempC) * drinkJPerK;
  // The drink that ends warmer has given up less; with that the books close within 5 % of the ice's heat.
  expect(Math.abs(more.givenUp - some.givenUp - (meltedJ + warmerJ))).toBeLessThan(0.05 * more.givenUp);
});

test("a drink that ends at 0 °C does not know how much ice is left", () => {
  const water = mixOf([["water", 100]]);
  const melted = [100, 200, 2000].map((iceMassG) => energyBalance(water, { ...dry, iceMassG }).meltedG);
  expect(melted[1]).toBeCloseTo(melted[0]!, 6);
  expect(melted[2]).toBeCloseTo(melted[0]!, 6);
});
