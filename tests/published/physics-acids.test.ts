import { describe, expect, test } from "vitest";
import { titratableAcidityGPer100Ml } from "../../engine/mix/coefficients.ts";
import {
  ACID_APPARENT_ML_PER_G,
  ACIDS,
  citricEquivalentPerG,
  protonsGiven,
  titratableAcidityFromTitre,
} from "../../engine/physics/acids.ts";

/** IUPAC abridged standard atomic weights. */
const ATOM = { C: 12.011, H: 1.008, O: 15.999, P: 30.974 };

describe("acids", () => {
  test.each([
    ["citric", 6, 8, 7, 0],
    ["malic", 4, 6, 5, 0],
    ["tartaric", 4, 6, 6, 0],
    ["lactic", 3, 6, 3, 0],
    ["acetic", 2, 4, 2, 0],
    ["phosphoric", 0, 3, 4, 1],
  ] as const)("molar mass of %s acid is the sum of its atoms", (acid, c, h, o, p) => {
    const sum = c * ATOM.C + h * ATOM.H + o * ATOM.O + p * ATOM.P;
    expect(Math.abs(ACIDS[acid].molarMassG - sum)).toBeLessThan(0.003);
  });

  test("milliequivalents: citric 0.064 g (AOAC factor), tartaric 0.075 g (wine trade's factor)", () => {
    expect(ACIDS.citric.molarMassG / ACIDS.citric.protons / 1000).toBeCloseTo(0.064, 3);
    expect(ACIDS.tartaric.molarMassG / ACIDS.tartaric.protons / 1000).toBeCloseTo(0.075, 3);
  });

  test("malic counts 0.9552 and tartaric 0.8534 of its weight in citric", () => {
    expect(citricEquivalentPerG("malic")).toBeCloseTo(0.9552, 4);
    expect(citricEquivalentPerG("tartaric")).toBeCloseTo(0.8534, 4);
  });

  test("the largest pKa of the fruit acids (citric's third, 6.40, published) is over 98 % spent at pH 8.2", () => {
    expect(protonsGiven([6.4], 8.2)).toBeGreaterThan(0.98);
  });

  test("phosphoric acid gives 1.91 protons at pH 8.2: 1, plus 10/11 of the second (pKa 7.20, from memory)", () => {
    expect(ACIDS.phosphoric.protons).toBeCloseTo(1 + 10 / 11, 3);
  });

  test("4 g citric and 2 g malic in 100 mL titrate as 5.91 g citric, not 6", () => {
    const v = (value: number) => ({ value, sd: 0, source: "test" });
    expect(titratableAcidityGPer100Ml({ citric: v(4), malic: v(2) })).toBeCloseTo(4 + 2 * 0.95523, 4);
  });
});

describe("titration worked examples", () => {
  test("10 mL of juice taking 9.37 mL of 1.000 N base hold 6.00 g/100 mL (own arithmetic)", () => {
    expect(titratableAcidityFromTitre(9.37, 1, 10)).toBeCloseTo(6.0, 2);
  });
  test("lemon: 5 mL taking 37.5 mL of 0.1 N is 48.0 g/L citric", () => {
    expect(10 * titratableAcidityFromTitre(37.5, 0.1, 5)).toBeCloseTo(48.0, 1);
  });
  test("wine makers' example: 15 mL taking 12 mL of 0.1 N is 6.0 g/L tartaric", () => {
    expect(10 * titratableAcidityFromTitre(12, 0.1, 15, "tartaric")).toBeCloseTo(6.0, 2);
  });
  test("students' example: 15 mL taking 12.6 mL of 0.1 N is 0.63 g/100 mL tartaric", () => {
    expect(titratableAcidityFromTitre(12.6, 0.1, 15, "tartaric")).toBeCloseTo(0.63, 3);
  });
  test("laboratory form: for 10 mL and 0.100 N, g/L tartaric = 0.75 × titre", () => {
    expect(10 * titratableAcidityFromTitre(1, 0.1, 10, "tartaric")).toBeCloseTo(0.75, 3);
  });
  test("rounding trap: 20 mL of 0.1 N neutralise 0.1281 g citric; one answer prints 0.1287 by rounding 2/3 mmol early", () => {
    const grams = titratableAcidityFromTitre(20, 0.1, 100);
    expect(grams).toBeCloseTo(0.12808, 5);
    expect((0.00067 * 192.124).toFixed(4)).toBe("0.1287");
  });
});

/** CRC Handbook 102nd ed.: density of citric acid solutions at 20 °C, g/mL. */
test.each([
  [5, 1.0189],
  [10, 1.0402],
  [20, 1.0858],
  [30, 1.1346],
])(
  "CRC: %s mass% citric acid weighs %s g/mL, within 0.002 by the constant apparent volume",
  (percent, density) => {
    const w = percent / 100;
    const volume = (1 - w) / 0.9982012 + w * ACID_APPARENT_ML_PER_G;
    expect(Math.abs(1 / volume / density - 1)).toBeLessThan(0.002);
  },
);
