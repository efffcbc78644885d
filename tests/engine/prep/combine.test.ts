import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { coefficientsOf } from "../../../engine/mix/coefficients.ts";
import { place } from "../../../engine/place/place.ts";
import { combine, figureOf, mixtureOf, toIngredient } from "../../../engine/prep/combine.ts";
import type { Ingredient } from "../../../engine/types.ts";
import { lime, liqueur, pantry, rum, sugar, syrup } from "../mix/pantry.ts";
import { seeded } from "../solve/linear-instance.ts";

const g = (ingredient: Ingredient, amount: number) => ({ ingredient, amount, unit: "g" as const });
const ml = (ingredient: Ingredient, amount: number) => ({ ingredient, amount, unit: "ml" as const });

describe("combine", () => {
  test("a mixture poured as one is the drink its parts make", () => {
    fc.assert(
      fc.property(
        fc.tuple(...[rum, syrup, lime, liqueur].map(() => fc.double({ min: 1, max: 100, noNaN: true }))),
        (volumes) => {
          const parts = [rum, syrup, lime, liqueur].map((i, k) => ml(i, volumes[k]!));
          const c = combine(parts);
          const whole = toIngredient(c, { id: "whole", name: "whole", role: "other" });
          const lines = parts.map(({ ingredient, amount }) => ({
            ingredient: ingredient.id,
            amount,
            unit: "ml" as const,
          }));
          const apart = place({ name: "x", method: "none", lines }, pantry);
          const together = place(
            {
              name: "x",
              method: "none",
              lines: [{ ingredient: "whole", amount: c.volumeMl.value, unit: "ml" }],
            },
            new Map([["whole", whole]]),
          );
          for (const key of ["sugarGPer100Ml", "acidGPer100Ml", "abvPercent"] as const) {
            expect(together.point[key]).toBeCloseTo(apart.point[key], 8);
          }
          expect(together.finishedVolumeMl).toBeCloseTo(apart.finishedVolumeMl, 8);
          expect(together.finishedMassG).toBeCloseTo(apart.finishedMassG, 8);
        },
      ),
      { numRuns: 60 },
    );
  });

  test("what is worked out as an ingredient can be mixed again: one part alone is itself", () => {
    const c = combine([g(sugar, 500), ml(lime, 300)]);
    const again = combine([ml(toIngredient(c, { id: "a", name: "a", role: "syrup" }), 100)]);
    for (const key of ["sugarGPer100Ml", "acidGPer100Ml", "abvPercent", "densityGPerMl"] as const) {
      expect(again[key].value).toBeCloseTo(c[key].value, 9);
    }
  });

  test("its doubts are those of its parts and amounts: compared with Monte Carlo", () => {
    const parts = [g(syrup, 400), ml(lime, 300), ml(rum, 200)];
    const c = combine(parts);
    const random = seeded(11);
    const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const shaken = (i: Ingredient): Ingredient => ({
      ...i,
      abvPercent: { ...i.abvPercent, value: i.abvPercent.value + i.abvPercent.sd * normal() },
      sugarsGPer100Ml: Object.fromEntries(
        Object.entries(i.sugarsGPer100Ml).map(([k, v]) => [k, { ...v, value: v.value + v.sd * normal() }]),
      ),
      acidsGPer100Ml: Object.fromEntries(
        Object.entries(i.acidsGPer100Ml).map(([k, v]) => [k, { ...v, value: v.value + v.sd * normal() }]),
      ),
    });
    const samples = Array.from({ length: 2500 }, () =>
      mixtureOf(
        parts.map((p) => ({
          ...p,
          ingredient: shaken(p.ingredient),
          amount: p.amount * (1 + (p.unit === "g" ? 0.005 : 0.01) * normal()),
        })),
      ),
    );
    for (const key of ["sugarGPer100Ml", "acidGPer100Ml", "abvPercent"] as const) {
      const values = samples.map((s) => figureOf(s, key));
      const mean = values.reduce((s, x) => s + x, 0) / values.length;
      const sd = Math.sqrt(values.reduce((s, x) => s + (x - mean) ** 2, 0) / values.length);
      // 2500 draws: a standard deviation to 1.4 %; four of them and 3 % for what is second order.
      expect(Math.abs(c[key].sd / sd - 1), key).toBeLessThan(0.09);
    }
  });

  test("an ingredient given twice errs once", () => {
    const once = combine([ml(lime, 200), ml(rum, 100)]);
    const twice = combine([ml(lime, 100), ml(rum, 100), ml(lime, 100)]);
    expect(twice.acidGPer100Ml.value).toBeCloseTo(once.acidGPer100Ml.value, 9);
    expect(twice.acidGPer100Ml.sd / once.acidGPer100Ml.sd).toBeCloseTo(1, 1);
  });

  test("steam takes water and nothing else", () => {
    const [wet, dry] = [0, 100].map((lost) => combine([g(sugar, 300), ml(lime, 300)], lost));
    expect(wet!.massG.value - dry!.massG.value).toBeCloseTo(100, 9);
    const held = (c: typeof wet) => (c!.sugarGPer100Ml.value * c!.volumeMl.value) / 100;
    expect(held(dry)).toBeCloseTo(held(wet), 9);
    expect(() => combine([ml(lime, 100)], 500)).toThrow("/simmered");
  });

  test.each([
    ["nothing", [], "/parts"],
    ["an amount of nothing", [ml(lime, 0)], "/parts/0/amount"],
    ["an amount that is no number", [ml(lime, 5), g(sugar, Number.NaN)], "/parts/1/amount"],
  ])("refuses %s", (_what, parts, pointer) => {
    expect(() => combine(parts)).toThrow(pointer);
  });

  test("a figure that rests on memory says so", () => {
    const recalled: Ingredient = {
      ...lime,
      acidsGPer100Ml: { citric: { value: 6, sd: 0.5, source: "x", memory: true } },
    };
    expect(combine([ml(recalled, 10)]).acidGPer100Ml.memory).toBe(true);
    expect(combine([ml(lime, 10)]).acidGPer100Ml.memory).toBeUndefined();
    expect(coefficientsOf(lime).massG).toBeGreaterThan(1);
  });
});
