/**
 * Refractometer and hydrometer against print. Sources and flags:
 * - CRC Handbook of Chemistry and Physics, 102nd ed. (2021), Concentrative Properties: refractive indices, four
 *   decimals (read in a transcription; cells used as test values).
 * - OIV-MA-AS2-02, Table I, and the older international table (1936) in a Russian standard: temperature correction
 *   (both read). Their cells at 25 and 30 °C are from memory.
 * - Ethanol read as Brix: worked out by others from OIML R 22 and the CRC indices.
 * - S. Terrill, "Refractometer FG Results" (2011), 68 measured triplets: two fits, read. C. Balling's relation of
 *   original, real and apparent extract (from memory).
 */
import { describe, expect, test } from "vitest";
import { mixedVolumeMl } from "../../engine/mix/volume.ts";
import { abvPercentToMassFraction, ethanolWaterDensityKgPerM3 } from "../../engine/physics/ethanol-water.ts";
import {
  brixReading,
  brixTemperatureCorrection,
  refractiveIndex,
} from "../../engine/physics/refractive-index.ts";
import { sucroseDensityKgPerM3 } from "../../engine/physics/sucrose-water.ts";
import {
  abvFromDistillate,
  densityFromHydrometer,
  strengthFromBoth,
  sugarFromBrix,
} from "../../engine/prep/measure.ts";
import { ingredient } from "../engine/mix/pantry.ts";

const nothing = { ethanolG: 0, sugarG: 0, acidG: 0, otherSolidsG: 0, waterG: 0, extraMl: 0 };
/** Refractive index of percentages by mass. */
const indexOf = (percent: Partial<typeof nothing>) => {
  const dry = Object.values(percent).reduce((s, x) => s + x, 0);
  const parts = { ...nothing, ...percent, waterG: 100 - dry };
  return refractiveIndex(parts, mixedVolumeMl(parts));
};

describe("refractive index at 20 °C (CRC)", () => {
  test.each([
    [1, 1.3344],
    [5, 1.3403],
    [10, 1.3478],
    [15, 1.3557],
    [20, 1.3639],
    [24, 1.3706],
    [30, 1.3812],
    [40, 1.3999],
    [42, 1.4038],
    [50, 1.4201],
    [60, 1.4419],
    [70, 1.4654],
  ])("sucrose %s %% by mass: %s, to a tenth of a °Bx", (percent, n) => {
    // 0.00014 is a tenth of a degree Brix; the print is rounded to 0.00005.
    expect(Math.abs(indexOf({ sugarG: percent }) - n)).toBeLessThan(0.0001);
  });
  test.each([
    [5, 1.336],
    [10, 1.3395],
    [15, 1.3432],
    [20, 1.3469],
    [24, 1.3498],
    [30, 1.3535],
    [40, 1.3583],
    [50, 1.3616],
    [60, 1.3638],
  ])("ethanol %s %% by mass: %s, to 0.15 °Bx", (percent, n) => {
    expect(Math.abs(indexOf({ ethanolG: percent }) - n)).toBeLessThan(0.00021);
  });
  test.each([
    [1, 1.3343],
    [5, 1.3394],
    [10, 1.3459],
    [14, 1.3514],
    [20, 1.3598],
  ])("citric acid %s %% by mass: %s", (percent, n) => {
    expect(Math.abs(indexOf({ acidG: percent }) - n)).toBeLessThan(0.00015);
  });
});

describe("what a refractometer shows of other things", () => {
  test.each([
    [5, 1.66],
    [10, 3.54],
    [15, 5.51],
    [20, 7.57],
    [25, 9.59],
    [30, 11.53],
    [35, 13.25],
    [40, 14.76],
    [45, 16.07],
    [50, 17.16],
    [60, 18.95],
  ])("a plain spirit of %s %% vol reads %s °Bx", (abv, brix) => {
    const p = abvPercentToMassFraction(abv);
    expect(Math.abs(brixReading(indexOf({ ethanolG: 100 * p })) - brix)).toBeLessThan(0.15);
  });
  test.each([
    [5, 4.4],
    [10, 8.73],
    [20, 17.53],
  ])("citric acid of %s %% reads %s °Bx", (percent, brix) => {
    expect(Math.abs(brixReading(indexOf({ acidG: percent })) - brix)).toBeLessThan(0.1);
  });

  test("the juice trade's correction for acid brings a reading to what a hydrometer shows, ours to what is dissolved", () => {
    // 12 °Bx of sucrose and 1 % of citric acid by mass.
    const parts = { ...nothing, sugarG: 11, acidG: 1, waterG: 88 };
    const volumeMl = mixedVolumeMl(parts);
    const reading = brixReading(refractiveIndex(parts, volumeMl));
    const density = 100 / volumeMl;
    const juice = ingredient("j", { citric: density });
    const taken = sugarFromBrix(juice, { kind: "refractometer", readingBrix: reading });
    expect(Math.abs(taken.sugarGPer100Ml.value - (100 * 11) / volumeMl)).toBeLessThan(0.05);
    // Stevens and Baier: + 0.20 °Bx at 1 %.
    expect(Math.abs(taken.tradeBrix - reading - 0.2)).toBeLessThan(0.02);
    // And a hydrometer in it, read as sugar, shows that.
    const asSugar = [...Array(2000).keys()]
      .map((k) => k / 100)
      .find((b) => sucroseDensityKgPerM3(b / 100) / 1000 >= density)!;
    expect(Math.abs(asSugar - taken.tradeBrix)).toBeLessThan(0.1);
  });

  test("brewers' measured triplets: 12 °Bx of extract fermented until the refractometer shows 6", () => {
    // Terrill's two fits give a final gravity of 1.0117 and 1.0107 for this pair; Balling gives what is in it.
    for (const finalGravity of [1.0117, 1.0107]) {
      const apparent = findBrix(finalGravity);
      const real = 0.1808 * 12 + 0.8192 * apparent;
      const alcohol = (12 - real) / (2.0665 - 0.010665 * 12);
      const shown = brixReading(indexOf({ ethanolG: alcohol, sugarG: real }));
      // The fits themselves scatter by 0.002 of gravity, half a °Bx.
      expect(Math.abs(shown - 6)).toBeLessThan(0.5);
    }
  });
  const findBrix = (gravity: number) =>
    [...Array(3000).keys()]
      .map((k) => k / 200)
      .find((b) => sucroseDensityKgPerM3(b / 100) / sucroseDensityKgPerM3(0) >= gravity)!;
});

describe("temperature of the sample", () => {
  /** OIV-MA-AS2-02 Table I: [°C, [°Bx, correction]…]. */
  const oiv: [number, [number, number][]][] = [
    [
      5,
      [
        [10, -0.82],
        [15, -0.87],
        [20, -0.92],
        [25, -0.95],
        [30, -0.99],
      ],
    ],
    [
      10,
      [
        [10, -0.59],
        [20, -0.65],
        [30, -0.69],
        [40, -0.72],
        [50, -0.74],
        [60, -0.75],
        [70, -0.75],
      ],
    ],
    [
      12,
      [
        [10, -0.49],
        [20, -0.53],
        [30, -0.56],
        [40, -0.58],
        [50, -0.6],
        [60, -0.61],
        [70, -0.6],
      ],
    ],
    [
      15,
      [
        [10, -0.32],
        [20, -0.34],
        [30, -0.36],
        [40, -0.37],
        [50, -0.38],
        [60, -0.38],
        [70, -0.38],
      ],
    ],
    [
      17,
      [
        [10, -0.2],
        [20, -0.21],
        [30, -0.22],
        [40, -0.23],
        [50, -0.23],
        [60, -0.23],
      ],
    ],
  ];
  /** The older international table: colder cells subtract, warmer add. */
  const older: [number, [number, number][]][] = [
    [
      10,
      [
        [0, -0.5],
        [10, -0.58],
        [20, -0.64],
        [40, -0.72],
        [60, -0.76],
      ],
    ],
    [
      15,
      [
        [0, -0.27],
        [10, -0.31],
        [20, -0.34],
        [40, -0.37],
        [60, -0.39],
      ],
    ],
    [
      18,
      [
        [0, -0.12],
        [10, -0.13],
        [20, -0.14],
        [40, -0.15],
        [60, -0.16],
      ],
    ],
    [
      21,
      [
        [0, 0.06],
        [10, 0.07],
        [20, 0.07],
        [40, 0.08],
        [60, 0.08],
      ],
    ],
    [
      22,
      [
        [0, 0.13],
        [10, 0.14],
        [20, 0.15],
      ],
    ],
  ];
  test.each([...oiv, ...older])("at %s °C within 0.03 °Bx of every cell read", (tempC, cells) => {
    for (const [brix, correction] of cells) {
      expect(Math.abs(brixTemperatureCorrection(brix, tempC) - correction), `${brix}`).toBeLessThan(0.03);
    }
  });
  test("water at 30 °C: its index falls from 1.33299 to 1.33194 (read), 0.74 °Bx", () => {
    expect(Math.abs(brixTemperatureCorrection(0, 30) - 0.74)).toBeLessThan(0.03);
  });
  test("25 and 30 °C: 0.36–0.40 and 0.74–0.81 in the older table (from memory)", () => {
    for (const brix of [0, 10, 20, 30, 40, 50, 60]) {
      expect(brixTemperatureCorrection(brix, 25)).toBeGreaterThan(0.33);
      expect(brixTemperatureCorrection(brix, 25)).toBeLessThan(0.43);
      expect(brixTemperatureCorrection(brix, 30)).toBeGreaterThan(0.7);
      expect(brixTemperatureCorrection(brix, 30)).toBeLessThan(0.84);
    }
  });
});

describe("density", () => {
  /** OIML R 22 (grid by mass percent and temperature, kg/m³): the strength comes back. */
  test.each([
    [10, 0, 984.75, 12.4404],
    [30, 10, 959.73, 36.2546],
    [40, 30, 927.64, 47.3948],
    [50, 20, 913.77, 57.8893],
    [70, 5, 880.1, 76.951],
    [20, 40, 958.51, 24.5453],
  ])("%s %% by mass at %s °C weighs %s kg/m³: %s %% vol", (_p, sampleTempC, rho, abv) => {
    const found = abvFromDistillate({ kind: "distilled-density", densityGPerMl: rho / 1000, sampleTempC });
    expect(Math.abs(found.value - abv)).toBeLessThan(0.06);
    expect(found.sd).toBeGreaterThan(0.05);
  });

  test.each([
    [10, 1038.1],
    [20, 1081.0],
    [40, 1176.5],
    [60, 1286.4],
  ])("a hydrometer in %s °Bx at 30 °C tells its density at 20 °C, %s kg/m³ (CRC)", (brix, rho) => {
    // What it shows there: the solution at 30 °C against water at 20 °C, the glass a little larger.
    const at30 = sucroseDensityKgPerM3(brix / 100, 30) / sucroseDensityKgPerM3(0, 20);
    const shown = at30 / (1 - 25e-6 * 10);
    const found = densityFromHydrometer({ kind: "hydrometer", specificGravity: shown, sampleTempC: 30 }, 0);
    expect(Math.abs(1000 * found.value - rho)).toBeLessThan(0.4);
  });

  test("density and refractometer together tell sugar from alcohol: a 40 % spirit with none, a syrup without any", () => {
    const spirit = ethanolWaterDensityKgPerM3(abvPercentToMassFraction(40)) / 1000;
    const unknown = ingredient("x", {});
    const plain = strengthFromBoth(
      unknown,
      { value: spirit + 2e-4, sd: 5e-4, source: "x" },
      {
        kind: "refractometer",
        readingBrix: 14.8,
      },
    );
    expect(Math.abs(plain.abvPercent.value - 40)).toBeLessThan(1.5);
    expect(plain.sugarGPer100Ml.value).toBeLessThan(1);
    const syrup = strengthFromBoth(
      unknown,
      { value: 1.2296, sd: 5e-4, source: "x" },
      {
        kind: "refractometer",
        readingBrix: 50.05,
      },
    );
    expect(syrup.abvPercent.value).toBeLessThan(1);
    expect(Math.abs(syrup.sugarGPer100Ml.value - 61.48)).toBeLessThan(0.5);
  });
});
