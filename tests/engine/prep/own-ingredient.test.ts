import { expect, test } from "vitest";
import { coefficientsOf } from "../../../engine/mix/coefficients.ts";
import { totalAcid, totalSugar } from "../../../engine/mix/own-figures.ts";
import { ownIngredient } from "../../../engine/prep/own-ingredient.ts";

const bare = { id: "own-one", name: "Plum cordial", role: "syrup" } as const;

test("what is stated is what it holds, each with a doubt", () => {
  const made = ownIngredient({ ...bare, abvPercent: 12, sugarGPer100Ml: 30, acidGPer100Ml: 1.5 });
  expect(totalSugar(made)).toBe(30);
  expect(totalAcid(made)).toBeCloseTo(1.5, 9);
  expect(made.abvPercent).toMatchObject({ value: 12, source: "own-measurement" });
  for (const v of [made.abvPercent, made.sugarsGPer100Ml.sucrose!]) expect(v.sd).toBeGreaterThan(0);
  expect(coefficientsOf(made).ethanolMl).toBeCloseTo(0.12, 9);
});

test("°Bx of plain sugar water is grams per 100 g: 50 °Bx is 61.5 g/100 mL (ICUMSA density 1.2296 g/mL)", () => {
  const made = ownIngredient({ ...bare, brix: 50 });
  expect(Math.abs(totalSugar(made) - 61.48)).toBeLessThan(0.3);
});

test("alcohol and acid bend light too, so that the same °Bx beside them is less sugar", () => {
  const plain = totalSugar(ownIngredient({ ...bare, brix: 30 }));
  expect(totalSugar(ownIngredient({ ...bare, brix: 30, abvPercent: 20 }))).toBeLessThan(plain - 4);
  expect(totalSugar(ownIngredient({ ...bare, brix: 30, acidGPer100Ml: 3 }))).toBeLessThan(plain - 1.5);
});

test.each([
  [{ name: " " }, "/name"],
  [{ sugarGPer100Ml: 5, brix: 5 }, "/brix"],
  [{ abvPercent: 120 }, "abvPercent"],
  [{ brix: 3, abvPercent: 40 }, "/readingBrix"],
])("%o is refused, with where and what would do", (more, where) => {
  expect(() => ownIngredient({ ...bare, ...more })).toThrow(
    expect.objectContaining({
      issues: [
        expect.objectContaining({ pointer: expect.stringContaining(where), remedy: expect.any(String) }),
      ],
    }),
  );
});
