import { describe, expect, test } from "vitest";
import { totalAcid, totalSugar, withMeasured } from "../../../engine/mix/own-figures.ts";
import { place } from "../../../engine/place/place.ts";
import type { Ingredient } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const pantry = new Map(loadReferenceData().pantry.map((ingredient) => [ingredient.id, ingredient]));
const pineapple = pantry.get("juice-pineapple")!;

describe("the user's own figures of an ingredient", () => {
  test("replace the totals and keep the kinds in proportion", () => {
    const own = withMeasured(pineapple, { sugar: 15, acid: 0.9 });
    expect(totalSugar(own)).toBeCloseTo(15, 9);
    expect(totalAcid(own)).toBeCloseTo(0.9, 9);
    const share = (i: Ingredient) =>
      (i.acidsGPer100Ml.malic?.value ?? 0) / (i.acidsGPer100Ml.citric?.value ?? 1);
    expect(share(own)).toBeCloseTo(share(pineapple), 9);
    expect(own.abvPercent).toBe(pineapple.abvPercent);
  });

  test("of an acid where the books have none are taken as citric", () => {
    const rum = pantry.get("rum-aged")!;
    expect(withMeasured(rum, { acid: 0.1 }).acidsGPer100Ml).toMatchObject({ citric: { value: 0.1 } });
    expect(withMeasured(rum, { abv: 43 }).abvPercent.value).toBe(43);
  });

  test("make the drink surer: measuring the juice shrinks the doubt it carries", () => {
    const spec = {
      name: "Test",
      method: "shaken" as const,
      lines: [
        { ingredient: "rum-aged", amount: 50, unit: "ml" as const },
        { ingredient: "juice-pineapple", amount: 60, unit: "ml" as const },
      ],
    };
    const before = place(spec, pantry);
    const figures = { sugar: totalSugar(pineapple), acid: totalAcid(pineapple) };
    const after = place(spec, new Map(pantry).set(pineapple.id, withMeasured(pineapple, figures)));
    expect(after.point.sugarGPer100Ml).toBeCloseTo(before.point.sugarGPer100Ml, 6);
    expect(after.point.acidGPer100Ml).toBeCloseTo(before.point.acidGPer100Ml, 6);
    expect(after.sd.acidGPer100Ml).toBeLessThan(0.6 * before.sd.acidGPer100Ml);
  });

  test("leave the pantry's entry untouched", () => {
    const copy = structuredClone(pineapple);
    withMeasured(pineapple, { sugar: 1, acid: 1, abv: 1 });
    expect(pineapple).toEqual(copy);
  });
});
