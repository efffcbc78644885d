import { describe, expect, test } from "vitest";
import { abvPercentToMassFraction } from "../../engine/physics/ethanol-water.ts";
import { FREEZING_SD_C, freezingPointC } from "../../engine/physics/freezing.ts";
import {
  drinkHeatCapacityJPerK,
  ethanolWaterHeatCapacityJPerGK,
  excessEnthalpyJ,
  excessEnthalpyJPerMol,
  ICE_LATENT_HEAT_J_PER_G,
} from "../../engine/physics/heat.ts";

/** Of two-part solutions, by mass fraction. */
const ethanolFreezingC = (x: number) => freezingPointC(x, 1 - x, 0, 0);
const sucroseFreezingC = (w: number) => freezingPointC(0, 1 - w, w, 0);

describe("freezing points", () => {
  /** J. A. Dean / G. W. Gokel, Handbook of Organic Chemistry, Table 5.13. */
  const dean: [percent: number, tempC: number][] = [
    [2.5, -1.0],
    [4.8, -2.0],
    [6.8, -3.0],
    [11.3, -5.0],
    [13.8, -6.1],
    [16.4, -7.5],
    [18.8, -9.4],
    [22.1, -12.2],
    [26.7, -16.0],
    [29.9, -18.9],
    [33.8, -23.6],
    [39.0, -28.7],
  ];
  test("Dean's handbook table: within 0.6 °C outside 14–32 mass%, and within our stated doubt in the mean square", () => {
    const apart = dean.map(([percent, tempC]) => ethanolFreezingC(percent / 100) - tempC);
    dean.forEach(([percent], i) => {
      if (percent < 14 || percent > 32) expect(Math.abs(apart[i]!)).toBeLessThan(0.6);
      // Between them Dean is warmer than CRC, Melinder and the rounded trade table alike: a known disagreement.
      else expect(apart[i]).toBeLessThan(0);
    });
    const rootMeanSquare = Math.sqrt(apart.reduce((s, d) => s + d * d, 0) / apart.length);
    expect(rootMeanSquare).toBeLessThan(FREEZING_SD_C);
  });

  /** A. Melinder, Properties of Secondary Working Fluids (IIR 2010): Tf[K] = Σ c (x − 0.292361)^j, an independent fit. */
  const melinderC = (x: number) =>
    [253.74, -95.4, -26.48, 385.1, -28.58, -1670].reduce((s, c, j) => s + c * (x - 0.292361) ** j, 0) -
    273.15;
  test.each([0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4])(
    "Melinder at mass fraction %s, within 0.6 °C",
    (x) => {
      expect(Math.abs(ethanolFreezingC(x) - melinderC(x))).toBeLessThan(0.6);
    },
  );

  /** Engineering tables by volume, rounded to a degree. */
  test.each([
    [10, -4],
    [20, -9],
    [30, -15],
    [40, -23],
    [50, -32],
  ])("%s vol% freezes near %s °C", (abv, tempC) => {
    expect(Math.abs(ethanolFreezingC(abvPercentToMassFraction(abv)) - tempC)).toBeLessThan(1.1);
  });

  test("very dilute solutions follow 1.86 °C per mol/kg of water (cryoscopic constant)", () => {
    const molal = (grams: number, molarMass: number, waterG: number) => (1000 * grams) / molarMass / waterG;
    expect(ethanolFreezingC(0.01)).toBeCloseTo(-1.86 * molal(1, 46.068, 99), 1);
    expect(sucroseFreezingC(0.05)).toBeCloseTo(-1.86 * molal(5, 342.3, 95), 1);
  });

  /** CRC Handbook: glucose lowers the freezing point by 1.17 °C at 10 % and 2.70 °C at 20 %; fructose 1.16 and 2.64. */
  test.each([
    [10, 1.17],
    [20, 2.7],
  ])("glucose by its molecules: %s mass% within a tenth of %s °C", (percent, depression) => {
    const freezing = freezingPointC(0, 100 - percent, percent * (342.3 / 180.16), 0);
    expect(Math.abs(-freezing / depression - 1)).toBeLessThan(0.11);
  });
});

describe("heat", () => {
  /** Perry's Handbook, Table 2-205 (International Critical Tables), cal/(g·K) at mole %; another source than ours. */
  test.each([
    [0.1, 3, 1.05],
    [0.1, 23, 1.02],
    [0.249, 3, 1.02],
    [0.249, 23, 1.03],
  ])("Perry: cp at mass fraction %s and %s °C is %s cal/(g·K), within a fiftieth", (p, tempC, cal) => {
    expect(Math.abs(ethanolWaterHeatCapacityJPerGK(p, tempC) / (cal * 4.184) - 1)).toBeLessThan(0.02);
  });
  test("ethanol–water up to 30 % by mass takes more heat than water, per gram", () => {
    for (const p of [0.05, 0.1, 0.2, 0.29])
      expect(ethanolWaterHeatCapacityJPerGK(p, 20)).toBeGreaterThan(4.182);
  });
  test.each([
    [0.1, 3.948],
    [0.5, 3.004],
  ])("sucrose at mass fraction %s, 20 °C: %s J/(g·K)", (w, cp) => {
    // The drink's water is CRC's, 4.182 where the sugar formula has 4.184.
    expect(drinkHeatCapacityJPerK(0, 1 - w, w, 20) + 0.002 * (1 - w)).toBeCloseTo(cp, 3);
  });

  /** J. A. Larkin, J. Chem. Thermodyn. 7 (1975) 137–148, at 298.15 K. */
  test.each([
    [0.05, -572],
    [0.1, -768],
    [0.15, -810],
    [0.3, -666],
    [0.5, -463],
    [0.8, -239],
  ])("excess enthalpy at x = %s is %s J/mol", (x, h) => {
    expect(Math.abs(excessEnthalpyJPerMol(x) - h)).toBeLessThan(1);
  });
  /** Boyne and Williamson 1967, Lama and Lu 1965 (from memory): minimum of −770 to −780 J/mol near 0.15. */
  test("its minimum is within 5 % of the older measurements, −775 J/mol", () => {
    expect(Math.abs(excessEnthalpyJPerMol(0.149) / -775 - 1)).toBeLessThan(0.05);
  });
  test.each([
    [10, -23.3],
    [40, -35.7],
    [60, -25.3],
  ])("%s vol% holds %s J/g", (abv, perG) => {
    const p = abvPercentToMassFraction(abv);
    expect(excessEnthalpyJ(p, 1 - p)).toBeCloseTo(perG, 1);
  });
  // Figures formed from the J/g above, which are rounded to 0.1: good to 0.1.
  test.each([
    [30, 10.9],
    [25, 14.5],
    [20, 16.6],
  ])("cutting a 40 vol% spirit to %s vol% releases %s J per gram of the mix", (to, released) => {
    const [p0, p1] = [abvPercentToMassFraction(40), abvPercentToMassFraction(to)];
    const spiritG = p1 / p0;
    expect(excessEnthalpyJ(p0, 1 - p0) * spiritG - excessEnthalpyJ(p1, 1 - p1)).toBeGreaterThan(
      released - 0.1,
    );
    expect(excessEnthalpyJ(p0, 1 - p0) * spiritG - excessEnthalpyJ(p1, 1 - p1)).toBeLessThan(released + 0.1);
  });

  test("latent heat of ice: 334 J/g from 6012 J/mol; CRC's usual 333.55 (from memory) within 0.05 %", () => {
    expect(Math.abs(ICE_LATENT_HEAT_J_PER_G / (6012 / 18.015) - 1)).toBeLessThan(0.002);
    expect(Math.abs(ICE_LATENT_HEAT_J_PER_G / 333.55 - 1)).toBeLessThan(0.0005);
  });
});
