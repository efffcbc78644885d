import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { titratableAcidityGPer100Ml, totalSugarGPer100Ml } from "../../../engine/mix/coefficients.ts";
import { mixedVolumeMl } from "../../../engine/mix/volume.ts";
import { ETHANOL_G_PER_ML } from "../../../engine/physics/ethanol-water.ts";
import { findRoot } from "../../../engine/physics/find-root.ts";
import { brixReading, refractiveIndex } from "../../../engine/physics/refractive-index.ts";
import { place } from "../../../engine/place/place.ts";
import { applyMeasurements } from "../../../engine/prep/apply-measurements.ts";
import { strengthFromBoth, sugarFromBrix } from "../../../engine/prep/measure.ts";
import type { Ingredient } from "../../../engine/types.ts";
import { ingredient, lime, liqueur, pantry, syrup } from "../mix/pantry.ts";

/** 100 mL with so much alcohol, sugar and acid: what the two instruments would show of it. */
function shows(abv: number, sugarG: number, acidG: number): { brix: number; gPerMl: number } {
  const dry = { ethanolG: abv * ETHANOL_G_PER_ML, sugarG, acidG, otherSolidsG: 0, extraMl: 0 };
  const waterG = findRoot((w) => mixedVolumeMl({ ...dry, waterG: w }) - 100, 0, 101);
  const parts = { ...dry, waterG };
  return {
    brix: brixReading(refractiveIndex(parts, 100)),
    gPerMl: (dry.ethanolG + sugarG + acidG + waterG) / 100,
  };
}
const exact = (value: number) => ({ value, sd: 0, source: "test" });
const sugarOf = (i: Ingredient) => totalSugarGPer100Ml(i.sugarsGPer100Ml);

describe("a reading taken apart gives back what was put together", () => {
  test("refractometer: any strength to 60 %, any sugar to 50 g, any acid to 6 g per 100 mL", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 60, noNaN: true }),
        fc.double({ min: 0, max: 50, noNaN: true }),
        fc.double({ min: 0, max: 6, noNaN: true }),
        (abv, sugar, acid) => {
          const of = { ...ingredient("x", { abv, citric: acid }), abvPercent: exact(abv) };
          const r = sugarFromBrix(of, {
            kind: "refractometer",
            readingBrix: shows(abv, sugar, acid).brix + 1e-9,
          });
          // The two standards' water differs by 2 parts per million.
          expect(r.sugarGPer100Ml.value).toBeCloseTo(sugar, 2);
          expect(r.sugarGPer100Ml.sd).toBeGreaterThan(0);
          expect(Number.isFinite(r.sugarGPer100Ml.sd)).toBe(true);
        },
      ),
      { numRuns: 100 },
    );
  });

  test("density and refractometer: strength and sugar of a liqueur from both", () => {
    for (const [abv, sugar] of [
      [15, 45],
      [24, 28],
      [32, 35],
      [40, 24.5],
      [55, 25],
    ] as const) {
      const { brix, gPerMl } = shows(abv, sugar, 0);
      const both = strengthFromBoth(
        ingredient("x"),
        { value: gPerMl, sd: 0.0005, source: "test" },
        {
          kind: "refractometer",
          readingBrix: brix,
        },
      );
      expect(both.abvPercent.value).toBeCloseTo(abv, 2);
      expect(both.sugarGPer100Ml.value).toBeCloseTo(sugar, 2);
      // Half a unit in the third decimal of density and a fifth of a °Bx are a degree or so of strength.
      expect(both.abvPercent.sd).toBeGreaterThan(0.3);
      expect(both.abvPercent.sd).toBeLessThan(4);
    }
  });

  test("a warm sample without correction reads low, and is corrected", () => {
    const at = (sampleTempC?: number) =>
      sugarFromBrix(syrup, { kind: "refractometer", readingBrix: 50, ...(sampleTempC && { sampleTempC }) });
    expect(at(25).correctedBrix).toBeCloseTo(50.4, 1);
    expect(at(25).sugarGPer100Ml.sd).toBeGreaterThan(at().sugarGPer100Ml.sd);
  });

  test("the label's tolerance is part of the doubt of a liqueur's sugar", () => {
    const doubt = (sd: number) =>
      sugarFromBrix(
        { ...liqueur, abvPercent: { ...liqueur.abvPercent, sd } },
        { kind: "refractometer", readingBrix: 42 },
      ).sugarGPer100Ml.sd;
    expect(doubt(3)).toBeGreaterThan(2 * doubt(0.2));
  });

  test.each([
    ["a liqueur that reads less than its alcohol alone", liqueur, 5, "/readingBrix"],
    ["a reading off the scale", syrup, 120, "/readingBrix"],
  ])("refuses %s", (_what, of, readingBrix, pointer) => {
    expect(() => sugarFromBrix(of, { kind: "refractometer", readingBrix })).toThrow(pointer);
  });
});

describe("measurements in place of the table's figures", () => {
  test("a titration moves the acid and shrinks its doubt; the split stays; the drink's doubt shrinks with it", () => {
    const measured = [{ kind: "titration" as const, titreMl: 44, normality: 0.1, sampleMl: 5 }];
    const { ingredient: juice, replaced } = applyMeasurements(lime, measured);
    const before = replaced[0]!.before;
    expect(titratableAcidityGPer100Ml(juice.acidsGPer100Ml)).toBeCloseTo(replaced[0]!.after.value, 9);
    expect(replaced[0]!.after.value).toBeCloseTo(5.636, 2);
    expect(replaced[0]!.after.sd).toBeLessThan(before.sd / 3);
    const split = (i: Ingredient) => i.acidsGPer100Ml.malic!.value / i.acidsGPer100Ml.citric!.value;
    expect(split(juice)).toBeCloseTo(split(lime), 9);

    const lines = [
      { ingredient: "rum", amount: 60, unit: "ml" as const },
      { ingredient: "syrup", amount: 22, unit: "ml" as const },
      { ingredient: "lime", amount: 22, unit: "ml" as const },
    ];
    const drink = { name: "x", method: "shaken" as const, lines };
    const [tabled, own] = [place(drink, pantry), place(drink, new Map([...pantry, ["lime", juice]]))];
    expect(own.sd.acidGPer100Ml).toBeLessThan(0.8 * tabled.sd.acidGPer100Ml);
    const doubt = own.doubts.find((d) => d.id === "lime:acid")!;
    const scale = (own.point.acidGPer100Ml / replaced[0]!.after.value) * replaced[0]!.after.sd;
    expect(Math.sqrt(doubt.variance[1])).toBeCloseTo(scale, 6);
  });

  test("a Brix on a syrup sets its sugar, its density follows, and mixing it stays consistent", () => {
    const thick = { ...syrup, densityGPerMl: { value: 1.2297, sd: 0.001, source: "test" } };
    const { ingredient: i } = applyMeasurements(thick, [{ kind: "refractometer", readingBrix: 55 }]);
    expect(sugarOf(i)).toBeCloseTo(69.17, 1);
    expect(i.densityGPerMl!.value).toBeCloseTo(1.2576, 3);
  });

  test("strength is read before the sugar that leans on it, whatever the order given", () => {
    const brix = { kind: "refractometer" as const, readingBrix: 42 };
    const label = { kind: "label-strength" as const, abvPercent: 24 };
    const [a, b] = [
      [brix, label],
      [label, brix],
    ].map((m) => applyMeasurements(liqueur, m).ingredient);
    expect(sugarOf(a!)).toBeCloseTo(sugarOf(b!), 9);
    expect(a!.abvPercent.value).toBe(24);
  });

  test("hydrometer and refractometer on an unlabelled liqueur find both", () => {
    const { brix, gPerMl } = shows(28, 30, 0);
    const { ingredient: i, replaced } = applyMeasurements(
      { ...liqueur, abvPercent: { value: 20, sd: 8, source: "t" } },
      [
        { kind: "refractometer", readingBrix: brix },
        { kind: "hydrometer", specificGravity: gPerMl / 0.998203, sampleTempC: 20 },
      ],
    );
    expect(i.abvPercent.value).toBeCloseTo(28, 0);
    expect(sugarOf(i)).toBeCloseTo(30, 0);
    expect(replaced.map((r) => r.quantity).sort()).toEqual(["abv", "density", "sugar"]);
  });

  test("two instruments on one sugar are averaged by their precision", () => {
    const { brix, gPerMl } = shows(0, 40, 0);
    const both = applyMeasurements(syrup, [
      { kind: "hydrometer", specificGravity: gPerMl / 0.998203, sampleTempC: 20, sd: 0.0005 },
      { kind: "refractometer", readingBrix: brix + 0.3, sd: 0.5 },
    ]);
    expect(sugarOf(both.ingredient)).toBeGreaterThan(39.99);
    expect(sugarOf(both.ingredient)).toBeLessThan(40.15);
  });

  test("no measurement, no change", () => {
    expect(applyMeasurements(lime, [])).toEqual({ ingredient: lime, replaced: [] });
    expect(applyMeasurements(lime, [{ kind: "ph", ph: 2.4 }]).ingredient).toBe(lime);
  });

  test.each([
    [{ kind: "label-strength" as const, abvPercent: 140 }, "/measured/0/abvPercent"],
    [{ kind: "titration" as const, titreMl: 10, normality: 0, sampleMl: 5 }, "/measured/0/normality"],
    [{ kind: "hydrometer" as const, specificGravity: 3, sampleTempC: 20 }, "/measured/0/specificGravity"],
    [
      { kind: "distilled-density" as const, densityGPerMl: 1.2, sampleTempC: 20 },
      "/measured/0/densityGPerMl",
    ],
    [{ kind: "weighed-volume" as const, massG: 0, volumeMl: 5 }, "/measured/0/massG"],
    [{ kind: "refractometer" as const, readingBrix: 20, sampleTempC: 90 }, "/measured/0/sampleTempC"],
  ])("refuses %o, naming the field", (m, pointer) => {
    expect(() => applyMeasurements(liqueur, [m])).toThrow(pointer);
  });
});
