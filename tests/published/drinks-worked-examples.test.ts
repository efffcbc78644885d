import { describe, expect, test } from "vitest";
import { standardDrinks } from "../../engine/place/nourishment.ts";
import { place } from "../../engine/place/place.ts";
import type { Ingredient, Pantry, Spec } from "../../engine/types.ts";

/**
 * D. Arnold, Liquid Intelligence (W. W. Norton, 2014), recipes and balance tables. The printed results
 * are recalled FROM MEMORY, as is the dilution equation, so these examples check that the recalled equation,
 * the recalled results and our own mixing agree; the mixing is checked against read sources elsewhere.
 * Compositions are those the book works with, not our pantry's.
 */
const v = (value: number) => ({ value, sd: 0, source: "test" });
const item = (
  id: string,
  abv: number,
  sugar: number,
  acid: number,
  more: Partial<Ingredient> = {},
): Ingredient => ({
  id,
  name: id,
  role: "other",
  aliases: [],
  abvPercent: v(abv),
  sugarsGPer100Ml: { sucrose: v(sugar) },
  acidsGPer100Ml: { other: v(acid) },
  ...more,
});
const book: Pantry = new Map(
  [
    item("white-rum", 40, 0, 0),
    item("rye", 50, 0, 0),
    item("lime", 0, 1.6, 6),
    item("simple", 0, 61.5, 0),
    item("sweet-vermouth", 16.5, 16, 0.6),
    item("aromatic-bitters", 44.7, 4, 0),
    item("usda-spirit", 40, 0, 0),
  ].map((i) => [i.id, i]),
);

describe("worked examples from a published book (results from memory)", () => {
  test("Daiquiri, shaken: 159 mL at 15.0 % vol, 8.9 g/100 mL sugar, 0.85 % acid", () => {
    const p = place(
      {
        name: "Daiquiri",
        method: "shaken",
        lines: [
          { ingredient: "white-rum", amount: 60, unit: "ml" },
          { ingredient: "simple", amount: 22.5, unit: "ml" },
          { ingredient: "lime", amount: 22.5, unit: "ml" },
        ],
      },
      book,
    );
    expect(p.initialVolumeMl).toBe(105);
    expect(Math.abs(p.finishedVolumeMl - 159)).toBeLessThan(0.6);
    expect(Math.abs(p.point.abvPercent - 15.0)).toBeLessThan(0.1);
    expect(Math.abs(p.point.sugarGPer100Ml - 8.9)).toBeLessThan(0.05);
    expect(Math.abs(p.point.acidGPer100Ml - 0.85)).toBeLessThan(0.005);
  });

  test("Manhattan, stirred: 129 mL (4⅓ oz) at 27 % vol, 3.3 g/100 mL sugar, 0.12 % acid", () => {
    const p = place(
      {
        name: "Manhattan",
        method: "stirred",
        lines: [
          { ingredient: "rye", amount: 60, unit: "ml" },
          { ingredient: "sweet-vermouth", amount: 26.5, unit: "ml" },
          { ingredient: "aromatic-bitters", amount: 2, unit: "dash" },
        ],
      },
      book,
    );
    // The book rounds its ounces: 4⅓ oz is 128.2 mL.
    expect(Math.abs(p.finishedVolumeMl - 129)).toBeLessThan(2);
    expect(Math.abs(p.point.abvPercent - 27)).toBeLessThan(0.6);
    expect(Math.abs(p.point.sugarGPer100Ml - 3.3)).toBeLessThan(0.1);
    expect(Math.abs(p.point.acidGPer100Ml - 0.12)).toBeLessThan(0.006);
  });

  test("the energy balance, which knows nothing of the book, agrees with its curve within both doubts", () => {
    for (const [method, pours] of [
      ["shaken", { "white-rum": 60, simple: 22.5, lime: 22.5 }],
      ["stirred", { rye: 60, "sweet-vermouth": 30 }],
    ] as const) {
      const lines = Object.entries(pours).map(([ingredient, amount]) => ({
        ingredient,
        amount,
        unit: "ml" as const,
      }));
      const { regression, energy } = place({ name: "x", method, lines }, book).dilution;
      const apart =
        Math.abs(regression!.ratio - energy!.ratio) / Math.hypot(regression!.ratioSd, energy!.ratioSd);
      expect(apart).toBeLessThan(2);
    }
  });
});

describe("standard drinks and food energy", () => {
  const neat = (amount: number, unit: "ml" | "oz"): Spec => ({
    name: "neat",
    method: "none",
    lines: [{ ingredient: "usda-spirit", amount, unit }],
  });

  test("1.5 US fl oz of an 80-proof spirit is one US standard drink: 0.6 fl oz, 14 g of ethanol", () => {
    const p = place(neat(1.5, "oz"), book);
    expect(p.standardDrinks.us).toBeCloseTo(1, 2);
    expect(p.ethanolG).toBeCloseTo(14, 1);
    expect((p.point.abvPercent * p.finishedVolumeMl) / 100 / 29.5735295625).toBeCloseTo(0.6, 9);
  });

  test("a 25 mL measure at 40 % vol is one UK unit: 10 mL, 7.89 g, which the NHS rounds to 8", () => {
    const p = place(neat(25, "ml"), book);
    expect(p.standardDrinks.uk).toBeCloseTo(1, 9);
    expect(p.ethanolG).toBeCloseTo(7.89, 2);
  });

  test("Australia and the WHO's AUDIT count 10 g", () => {
    expect(standardDrinks({ ethanolG: 10, ethanolMl: 12.67 }).au).toBe(1);
  });

  /** USDA Standard Reference 26: item 14037 (80 proof) 231 kcal/100 g, 14533 (100 proof) 295; 19335 (sugar) 387. */
  test("USDA: 100 g of an 80-proof spirit is 231 kcal", () => {
    const ml = 100 / 0.948045;
    expect(Math.abs(place(neat(ml, "ml"), book).energyKcal - 231)).toBeLessThan(0.5);
  });
  test("USDA: 100 g of a 100-proof spirit is 295 kcal", () => {
    const proof100 = new Map([["usda-spirit", item("usda-spirit", 50, 0, 0)]]);
    const kcal = place(neat(100 / 0.930142, "ml"), proof100).energyKcal;
    expect(Math.abs(kcal - 295)).toBeLessThan(1.1);
  });
});
