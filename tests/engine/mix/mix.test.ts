import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { EngineError } from "../../../engine/errors.ts";
import { solveWithChance } from "../../../engine/explore/chance.ts";
import {
  type Coefficients,
  coefficientsOf,
  densityOf,
  isDrySolid,
} from "../../../engine/mix/coefficients.ts";
import { compositionDoubts } from "../../../engine/mix/composition-doubts.ts";
import { emptyTotals, totalsOf } from "../../../engine/mix/totals.ts";
import { mixedVolumeGradient, mixedVolumeMl, type Parts } from "../../../engine/mix/volume.ts";
import {
  abvPercentToMassFraction,
  ethanolWaterDensityKgPerM3,
  ethanolWaterVolumeMl,
} from "../../../engine/physics/ethanol-water.ts";
import { sucroseDensityKgPerM3, sugarApparentVolumeMl } from "../../../engine/physics/sucrose-water.ts";
import { place } from "../../../engine/place/place.ts";
import type { SourcedValue } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { bitters, egg, ingredient, lime, liqueur, rum, soda, sugar, syrup } from "./pantry.ts";

const parts = (p: Partial<Parts>): Parts => ({ ...emptyTotals(), ...p });

const compositions = fc.record({
  ethanolG: fc.double({ min: 0, max: 60, noNaN: true }),
  waterG: fc.double({ min: 1, max: 200, noNaN: true }),
  sugarG: fc.double({ min: 0, max: 80, noNaN: true }),
  acidG: fc.double({ min: 0, max: 10, noNaN: true }),
  otherSolidsG: fc.double({ min: 0, max: 10, noNaN: true }),
  extraMl: fc.double({ min: -1, max: 1, noNaN: true }),
});

describe("mixing rule", () => {
  test("ethanol and water alone: OIML R 22 exactly", () => {
    for (let p = 0; p <= 1; p += 0.05) {
      const v = mixedVolumeMl(parts({ ethanolG: 100 * p, waterG: 100 * (1 - p) }));
      expect(v).toBeCloseTo(1e5 / ethanolWaterDensityKgPerM3(Math.min(1, p)), 10);
    }
  });

  test("sugar and water alone: ICUMSA to 2 parts per million", () => {
    for (let w = 0; w <= 0.75; w += 0.05) {
      const v = mixedVolumeMl(parts({ sugarG: 100 * w, waterG: 100 * (1 - w) }));
      expect(Math.abs(v / (1e5 / sucroseDensityKgPerM3(w)) - 1)).toBeLessThan(2e-6);
    }
  });

  test("three parts: other defensible rules differ by under 0.1 % for drinks, under 2.5 % for liqueurs", () => {
    let [drinks, all] = [0, 0];
    for (let abv = 5; abv <= 55; abv += 2.5) {
      for (let s = 0; s <= 50; s += 2.5) {
        const c = coefficientsOf(ingredient("x", { abv, sucrose: s }));
        const ours = mixedVolumeMl(c);
        const sugarInBoth =
          ethanolWaterVolumeMl(c.ethanolG, c.waterG) + sugarApparentVolumeMl(c.sugarG, c.waterG + c.ethanolG);
        const water = (g: number) => ethanolWaterVolumeMl(0, g);
        const ethanolInBoth =
          water(c.waterG) +
          sugarApparentVolumeMl(c.sugarG, c.waterG) +
          ethanolWaterVolumeMl(c.ethanolG, c.waterG + c.sugarG) -
          water(c.waterG + c.sugarG);
        const spread = Math.max(Math.abs(ours - sugarInBoth), Math.abs(ours - ethanolInBoth)) / ours;
        all = Math.max(all, spread);
        if (abv <= 30 && s <= 20) drinks = Math.max(drinks, spread);
      }
    }
    expect(drinks).toBeLessThan(0.001);
    expect(all).toBeLessThan(0.025);
    // The rules do differ: a comparison of a rule with itself would pass the two lines above.
    expect(all).toBeGreaterThan(0.005);
  });

  test("additive volumes are wrong by under 0.2 % of volume for a drink (60 mL spirit, 40 mL water)", () => {
    const c = coefficientsOf(rum);
    const totals = totalsOf([c, coefficientsOf(soda)], [60, 40]);
    expect(mixedVolumeMl(totals)).toBeCloseTo(99.889, 4);
  });

  test("the gradient is the derivative", () => {
    fc.assert(
      fc.property(compositions, (c) => {
        const g = mixedVolumeGradient(c);
        for (const key of ["ethanolG", "waterG", "sugarG"] as const) {
          const h = 1e-5;
          const slope =
            (mixedVolumeMl({ ...c, [key]: c[key] + h }) -
              mixedVolumeMl({ ...c, [key]: c[key] - (c[key] > h ? h : 0) })) /
            (c[key] > h ? 2 * h : h);
          expect(Math.abs(slope - g[key])).toBeLessThan(2e-5);
        }
      }),
    );
  });

  test("homogeneous: k times the parts is k times the volume; the gradient obeys Euler's identity", () => {
    fc.assert(
      fc.property(compositions, fc.double({ min: 0.01, max: 100, noNaN: true }), (c, k) => {
        const v = mixedVolumeMl(c);
        const scaled = Object.fromEntries(Object.entries(c).map(([n, x]) => [n, k * x])) as unknown as Parts;
        expect(mixedVolumeMl(scaled)).toBeCloseTo(k * v, 6);
        const g = mixedVolumeGradient(c);
        const euler =
          g.ethanolG * c.ethanolG +
          g.waterG * c.waterG +
          g.sugarG * c.sugarG +
          mixedVolumeMl({ ...parts({}), acidG: c.acidG, otherSolidsG: c.otherSolidsG, extraMl: c.extraMl });
        expect(euler).toBeCloseTo(v, 6);
      }),
    );
  });

  test("nothing has no volume, and no NaN", () => {
    expect(mixedVolumeMl(parts({}))).toBe(0);
    expect(mixedVolumeGradient(parts({})).waterG).toBeCloseTo(1.0018, 4);
  });
});

describe("composition doubts", () => {
  const dense = { densityGPerMl: { value: 1.05, sd: 0.01, source: "test" } };
  test.each([
    ["without a density", ingredient("x", { abv: 20, sucrose: 15, citric: 1, malic: 0.5, solids: 2 })],
    ["with a density", ingredient("x", { abv: 20, sucrose: 15, citric: 1, malic: 0.5, solids: 2 }, dense)],
    [
      "a dry solid",
      ingredient("x", { sucrose: 82 }, { densityGPerMl: { value: 0.845, sd: 0, source: "test" } }),
    ],
  ])("each is the derivative of coefficientsOf, times one sd: %s", (_what, i) => {
    const nudged = (quantity: string, h: number) => {
      // An ingredient is never changed in place: each nudge is a new one.
      const more = (v: SourcedValue): SourcedValue => ({ ...v, value: v.value + h * v.sd });
      const first = (r: Partial<Record<string, SourcedValue>>) => {
        const [name, value] = Object.entries(r)[0]!;
        return { ...r, [name]: more(value!) };
      };
      return coefficientsOf({
        ...i,
        ...(quantity === "abv" && { abvPercent: more(i.abvPercent) }),
        ...(quantity === "sugar" && { sugarsGPer100Ml: first(i.sugarsGPer100Ml) }),
        ...(quantity === "acid" && { acidsGPer100Ml: first(i.acidsGPer100Ml) }),
        ...(quantity === "solids" && { otherSolidsGPer100Ml: more(i.otherSolidsGPer100Ml!) }),
      });
    };
    const doubts = compositionDoubts(i);
    expect(doubts.length).toBeGreaterThan(0);
    for (const quantity of new Set(doubts.map(({ source }) => source.kind))) {
      const { change } = doubts.find(({ source }) => source.kind === quantity)!;
      const [up, down] = [nudged(quantity, 0.01), nudged(quantity, -0.01)];
      for (const key of Object.keys(change) as (keyof Coefficients)[]) {
        expect(Math.abs((up[key] - down[key]) / 0.02 - change[key])).toBeLessThan(1e-5);
      }
    }
  });
  test("a value without doubt adds none", () => {
    expect(compositionDoubts(soda)).toEqual([]);
  });
});

describe("coefficients of an ingredient", () => {
  test.each([rum, lime, syrup, liqueur, bitters, soda, egg])("$id alone keeps its own volume", (i) => {
    const c = coefficientsOf(i);
    expect(mixedVolumeMl(totalsOf([c], [37.5]))).toBeCloseTo(37.5, 10);
    expect(c.massG).toBeCloseTo(densityOf(i), 10);
  });

  test("a spirit's mass is OIML's: 40 % vol weighs 948.05 kg/m³", () => {
    expect(densityOf(rum)).toBeCloseTo(0.948045, 5);
    const c = coefficientsOf(rum);
    expect(c.ethanolG / c.massG).toBeCloseTo(abvPercentToMassFraction(40), 10);
  });

  test("a 1:1 syrup known only by its sugar weighs 1.2297 g/mL, half of it water", () => {
    const c = coefficientsOf(syrup);
    expect(c.massG).toBeCloseTo(1.22965, 4);
    expect(c.waterG).toBeCloseTo(c.sugarG, 4);
  });

  test("a stated density is kept, and what the rule misses is carried as extra volume", () => {
    const c = coefficientsOf(egg);
    expect(c.massG).toBe(1.027);
    expect(c.extraMl).not.toBe(0);
  });

  test("dry sugar takes the volume it has dissolved, not that of its grains and air", () => {
    const c = coefficientsOf(sugar);
    expect(isDrySolid(c)).toBe(true);
    const syrupFromScratch = totalsOf([c, coefficientsOf(soda)], [50 / 0.845, 50 / 0.99820123]);
    expect(mixedVolumeMl(syrupFromScratch)).toBeCloseTo(100 / 1.229654, 3);
    expect(isDrySolid(coefficientsOf(syrup))).toBe(false);
  });

  test("molecules: a gram of glucose counts for 1.90 g of sucrose in freezing", () => {
    const c: Coefficients = coefficientsOf(ingredient("dextrose", { glucose: 10 }));
    expect(c.sucroseLikeG).toBeCloseTo(0.19, 3);
    expect(c.sugarG).toBeCloseTo(0.1, 12);
  });

  test.each([
    ["strength", ingredient("x", { abv: 104 }), "/pantry/x/abvPercent"],
    ["sugar below 0", ingredient("x", { sucrose: -1 }), "/pantry/x/sugarsGPer100Ml/sucrose"],
    ["no number", ingredient("x", { citric: Number.NaN }), "/pantry/x/acidsGPer100Ml/citric"],
    [
      "an unknown sugar",
      { ...ingredient("x"), sugarsGPer100Ml: { trehalose: { value: 1, sd: 0, source: "t" } } } as never,
      "/pantry/x/sugarsGPer100Ml/trehalose",
    ],
    ["more parts than fit", ingredient("x", { abv: 80, sucrose: 90 }), "/pantry/x/sugarsGPer100Ml"],
    [
      "parts heavier than the density",
      ingredient("x", { sucrose: 120 }, { densityGPerMl: { value: 1.1, sd: 0, source: "t" } }),
      "/pantry/x/densityGPerMl",
    ],
  ])("refuses %s, naming the field and a remedy", (_what, bad, pointer) => {
    try {
      coefficientsOf(bad);
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(EngineError);
      const pointers = (error as EngineError).issues.map((i) => i.pointer);
      expect(pointers).toContain(pointer);
      for (const issue of (error as EngineError).issues) expect(issue.remedy).not.toBe("");
    }
  });
});

describe("what follows from an ingredient is kept with it", () => {
  test("the same for the same ingredient, and of its own for an edited one", () => {
    const i = ingredient("x", { abv: 20, sucrose: 15, citric: 1 });
    expect(coefficientsOf(i)).toBe(coefficientsOf(i));
    expect(compositionDoubts(i)).toBe(compositionDoubts(i));
    const edited = { ...i, abvPercent: { ...i.abvPercent, value: 40 } };
    expect(coefficientsOf(edited).ethanolMl).toBeCloseTo(0.4, 12);
    expect(coefficientsOf(i).ethanolMl).toBeCloseTo(0.2, 12);
  });

  test("nothing in the engine writes on a pantry, or on what is kept: all of it can be frozen", () => {
    const freeze = <T>(x: T): T => {
      if (typeof x === "object" && x !== null && !Object.isFrozen(x)) {
        Object.freeze(x);
        for (const part of Object.values(x)) freeze(part);
      }
      return x;
    };
    const { pantry: items, drinks } = freeze(loadReferenceData());
    const pantry = new Map(items.map((item) => [item.id, item]));
    for (const item of items) {
      freeze(coefficientsOf(item));
      freeze(compositionDoubts(item));
    }
    for (const { spec } of drinks) expect(place(spec, pantry).sd.abvPercent).toBeGreaterThanOrEqual(0);
    const [first] = drinks;
    const target = { kind: "box", acidGPer100Ml: [0.7, 0.9] } as const;
    const solved = solveWithChance({ spec: first!.spec, pantry, target, ladder: LADDERS["us-jigger"] });
    expect(solved.status).not.toBe("");
  });
});
