import { describe, expect, it } from "vitest";
import { addWater, totalsOf } from "../../engine/mix/totals.ts";
import { mixedVolumeMl } from "../../engine/mix/volume.ts";
import { acidity, coefficients, ingredient, sugars } from "../reference-data/place-drinks.ts";

/** Water at 20 °C (OIML R 22: 998.20123 kg/m³). */
const WATER_G_PER_ML = 0.99820123;

describe("sugar syrups, 20 °C, from the ICUMSA density of sucrose solutions (SPS-4, 1998; formula values)", () => {
  it.each([
    ["syrup-simple-1-1", 61.48, 1.22965],
    ["syrup-simple-3-2", 77.2, 1.28661],
    ["syrup-simple-2-1", 88.45, 1.32675],
    ["syrup-simple-1-1-volume", 55.35, 1.2072],
  ])("%s: %f g/100 mL, %f g/mL", (id, gPer100Ml, density) => {
    expect(sugars(id)).toBeCloseTo(gPer100Ml, 1);
    expect(coefficients(id).massG).toBeCloseTo(density, 3);
  });

  it("made from the pantry's own sugar and water they come out the same", () => {
    const grams = (id: string, g: number) => g / coefficients(id).massG;
    const parts = ["sugar", "water"].map(coefficients);
    for (const [id, sugarG] of [
      ["syrup-simple-1-1", 100],
      ["syrup-simple-2-1", 200],
    ] as const) {
      const t = totalsOf(parts, [grams("sugar", sugarG), grams("water", 100)]);
      expect(((t.sugarG / mixedVolumeMl(t)) * 100) / sugars(id), id).toBeCloseTo(1, 2);
    }
  });
});

describe("house preps follow from their parts by mass balance", () => {
  it.each([
    ["syrup-honey-1-1", "honey", 1],
    ["syrup-honey-2-1", "honey", 2],
    ["syrup-honey-3-1", "honey", 3],
    ["syrup-maple-1-1", "maple", 1],
    ["syrup-maple-2-1", "maple", 2],
    ["syrup-agave-1-1", "agave", 1],
  ])("%s: volumes of %s to one of water", (id, base, parts) => {
    const t = totalsOf([coefficients(base)], [parts]);
    addWater(t, WATER_G_PER_ML);
    const ml = mixedVolumeMl(t);
    expect(((t.sugarG / ml) * 100) / sugars(id)).toBeCloseTo(1, 1.7);
    expect(t.massG / ml / ingredient(id).densityGPerMl!.value).toBeCloseTo(1, 1.7);
    expect(t.massG).toBeCloseTo(parts * coefficients(base).massG + WATER_G_PER_ML, 6);
  });

  it.each([
    ["grenadine", "juice-pomegranate"],
    ["syrup-pineapple", "juice-pineapple"],
    ["syrup-passion-fruit", "juice-passion-fruit"],
  ])("%s: equal weights of sugar and %s", (id, juice) => {
    const parts = ["sugar", juice];
    const t = totalsOf(
      parts.map(coefficients),
      parts.map((p) => 100 / coefficients(p).massG),
    );
    const ml = mixedVolumeMl(t);
    expect(Math.abs(((t.sugarG / ml) * 100) / sugars(id) - 1)).toBeLessThan(0.015);
    expect(Math.abs(((t.acidCitricEqG / ml) * 100) / acidity(id) - 1)).toBeLessThan(0.03);
  });

  it.each([
    ["juice-orange-acid-adjusted", "juice-orange"],
    ["juice-pineapple-acid-adjusted", "juice-pineapple"],
  ])("%s: 32 g citric and 20 g malic acid in a litre of %s", (id, juice) => {
    const parts = [juice, "citric-acid", "malic-acid"];
    const t = totalsOf(parts.map(coefficients), [
      1000,
      32 / coefficients("citric-acid").massG,
      20 / coefficients("malic-acid").massG,
    ]);
    const ml = mixedVolumeMl(t);
    expect(Math.abs(((t.acidCitricEqG / ml) * 100) / acidity(id) - 1)).toBeLessThan(0.01);
    expect(Math.abs(((t.sugarG / ml) * 100) / sugars(id) - 1)).toBeLessThan(0.01);
  });

  it("lime-style acid solution: 4 g citric and 2 g malic to 94 g of water", () => {
    const parts = ["citric-acid", "malic-acid", "water"];
    const t = totalsOf(
      parts.map(coefficients),
      [4, 2, 94].map((g, i) => g / coefficients(parts[i]!).massG),
    );
    expect(
      Math.abs(((t.acidCitricEqG / mixedVolumeMl(t)) * 100) / acidity("acid-solution-lime") - 1),
    ).toBeLessThan(0.02);
  });
});

describe("bringing spirits down with water: final volume = V·q1/q2, water by OIML R 22", () => {
  it.each([["bourbon-50", 255.37, 1250.0, 40]])(
    "1000 mL of %s take %f mL of water to %f mL at %f % vol",
    (id, waterMl, finalMl, abv) => {
      const t = totalsOf([coefficients(id)], [1000]);
      addWater(t, waterMl * WATER_G_PER_ML);
      expect(mixedVolumeMl(t)).toBeCloseTo(finalMl, 1);
      expect((t.ethanolMl / mixedVolumeMl(t)) * 100).toBeCloseTo(abv, 2);
    },
  );
});
