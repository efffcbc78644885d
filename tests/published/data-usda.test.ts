import { describe, expect, it } from "vitest";
import { toVolumeMl } from "../../engine/amounts/units.ts";
import { densityOf } from "../../engine/mix/coefficients.ts";
import { acidity, coefficients, ingredient, sugars, sugarsSd } from "../reference-data/place-drinks.ts";

/**
 * U.S. Department of Agriculture, National Nutrient Database for Standard Reference, release 26 (2013) and,
 * where it changed a row, 28 (2015), read: g/100 g of water and of total sugars, and g per US cup or fluid ounce.
 */
const ROWS = [
  // id, NDB number, water, sugars, density implied by the household measure
  ["juice-lemon", "09152", 92.31, 2.52, 30.5 / 29.5735],
  ["juice-lime", "09160", 90.79, 1.69, 30.8 / 29.5735],
  ["juice-lemon-bottled", "09153", 93.64, 1.53, 30.5 / 29.5735],
  ["juice-lime-bottled", "09161", 92.52, 1.37, 30.8 / 29.5735],
  ["juice-orange", "09206", 88.3, 8.4, 248 / 236.588],
  ["juice-pineapple-canned", "09273", 86.37, 9.98, 250 / 236.588],
  ["juice-apple", "09016", 88.24, 9.62, 248 / 236.588],
  ["juice-grape", "09135", 84.51, 14.2, 253 / 236.588],
  ["juice-tomato", "11886", 94.24, 2.58, 243 / 236.588],
  ["juice-cranberry-cocktail", "14242", 86.17, 11.87, 253 / 236.588],
  ["juice-pomegranate", "09442", 85.95, 12.65, 249 / 236.588],
  ["egg-white", "01124", 87.57, 0.71, 243 / 236.588],
  ["cream", "01053", 57.81, 2.92, 238 / 236.588],
  ["coconut-cream-sweet", "12116", 28.97, 51.5, 296 / 236.588],
  ["coconut-water", "12119", 94.99, 2.61, 240 / 236.588],
  ["tonic-water", "14155", 91.1, 8.8, 30.5 / 29.5735],
  ["ginger-ale", "14136", 91.23, 8.9, 30.5 / 29.5735],
  ["soda-water", "14121", 99.9, 0, 29.6 / 29.5735],
  ["agave", "19912", 22.94, 68.03, 1.4],
  ["molasses", "19304", 21.87, 54.11, 337 / 236.588],
  ["cola", "14148", 89.36, 9.94, 30.7 / 29.5735],
  ["lemon-lime-soda", "14144", 89.49, 10.38, 30.8 / 29.5735],
  ["milk", "01077", 88.13, 5.05, 244 / 236.588],
  ["milk-skim", "01085", 90.84, 5.09, 245 / 236.588],
  ["half-and-half", "01049", 81.24, 4.13, 242 / 236.588],
  ["cream-light", "01050", 74.51, 3.67, 240 / 236.588],
  ["milk-evaporated", "01096", 74.04, 10.04, 252 / 236.588],
  ["milk-condensed", "01095", 27.16, 54.4, 306 / 236.588],
  ["buttermilk", "01088", 90.13, 4.79, 245 / 236.588],
  ["irish-cream-liqueur", "14415", 46.5, 19.76, 31.1 / 29.5735],
] as const;

describe.each(ROWS)("%s against USDA %s", (id, _ndb, water, sugar, density) => {
  const c = coefficients(id);
  it("has its sugar, within 3 %, or within our uncertainty where another source set it", () => {
    const per100G = (c.sugarG / c.massG) * 100;
    const allowed = id === "juice-pomegranate" ? (2 * sugarsSd(id)) / c.massG : 0.03 * sugar + 0.02;
    expect(Math.abs(per100G - sugar)).toBeLessThan(allowed);
  });

  it("has its density, within the 2 % that household measures are good to", () => {
    expect(densityOf(ingredient(id)) / density).toBeGreaterThan(0.98);
    expect(densityOf(ingredient(id)) / density).toBeLessThan(1.02);
  });

  it("has its water: no drier, and wetter at most by pulp, fibre and minerals, which juices here leave out", () => {
    const per100G = (c.waterG / c.massG) * 100;
    expect(per100G).toBeGreaterThan(water - 1.7);
    expect(per100G).toBeLessThan(water + 3);
  });
});

describe("where USDA's sugars by difference hold the acid, ours stay below and the two together come near", () => {
  it.each([
    ["juice-grapefruit-white", 9.1],
    ["juice-passion-fruit", 13.4],
    ["juice-tangerine", 9.9],
  ])("%s", (id, bound) => {
    const { massG, sugarG, acidG } = coefficients(id);
    expect((sugarG / massG) * 100).toBeLessThan(bound);
    expect(Math.abs(((sugarG + acidG) / massG) * 100 - bound)).toBeLessThan(0.5);
  });
});

describe("sweeteners", () => {
  it("granulated sugar: 99.80 g of sugar in 100 g, 200 g a cup, 4.2 g a teaspoon (NDB 19335)", () => {
    const { massG, sugarG } = coefficients("sugar");
    expect((sugarG / massG) * 100).toBeCloseTo(99.8, 0);
    const grams = (amount: number, unit: "tsp" | "tbsp") =>
      toVolumeMl(amount, unit, { ingredient: ingredient("sugar") }).ml * massG;
    expect(grams(16, "tbsp")).toBeCloseTo(200, 0);
    expect(Math.abs(grams(1, "tsp") - 4.2)).toBeLessThan(0.05);
  });

  it("maple: the corrected 60.46 g/100 g of release 27, not the 67.90 of release 26, which exceeds its own carbohydrate", () => {
    const { massG, sugarG } = coefficients("maple");
    expect(Math.abs((sugarG / massG) * 100 - 60.46)).toBeLessThan(0.1);
    expect(ingredient("maple").disagreements!.some((d) => d.source === "usda-sr26" && d.value > 90)).toBe(
      true,
    );
  });

  it("honey: 17.1 % water; its 82.12 g of sugars stand beside the survey's lower sum", () => {
    const c = coefficients("honey");
    expect((c.waterG / c.massG) * 100).toBeCloseTo(17.1, 0);
    const usda = ingredient("honey").disagreements!.find((d) => d.source === "usda-sr26")!;
    expect(usda.value / (c.massG * 100)).toBeCloseTo(0.8212, 3);
    expect(Math.abs(usda.value - sugars("honey"))).toBeLessThan(2 * Math.hypot(sugarsSd("honey"), usda.sd));
  });
});

describe("alcohol rows (water, g/100 g, by proof)", () => {
  it.each([
    ["vodka", 66.6],
    ["gin-43", 63.9],
    ["mezcal", 62.1],
    ["gin-47", 60.3],
    ["bourbon-50", 57.5],
  ])("%s", (id, water) => {
    const c = coefficients(id);
    expect(Math.abs((c.waterG / c.massG) * 100 - water)).toBeLessThan(0.35);
  });

  it("coffee liqueur, 53 proof: 38.3 g/100 g in release 28 (imputed there), 1 fl oz = 34.8 g", () => {
    expect(sugars("coffee-liqueur")).toBeCloseTo(38.3 * (34.8 / 29.5735), 0);
  });
});

describe("acid by difference: carbohydrate − sugars − fibre (computed from USDA rows, g/100 g)", () => {
  it.each([
    ["juice-lemon", 4.1],
    ["juice-lime", 6.3],
  ])(
    "%s: %f lies within three standard deviations of ours (a difference of rounded figures)",
    (id, byDifference) => {
      const { acidsGPer100Ml } = ingredient(id);
      const sd = Math.hypot(...Object.values(acidsGPer100Ml).map((v) => v.sd));
      const theirs = byDifference * densityOf(ingredient(id));
      expect(Math.abs(acidity(id) - theirs) / sd).toBeLessThan(3);
    },
  );
});
