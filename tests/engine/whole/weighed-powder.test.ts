import { expect, test } from "vitest";
import { toVolumeMl } from "../../../engine/amounts/units.ts";
import { place } from "../../../engine/place/place.ts";
import type { Spec, UnitId } from "../../../engine/types.ts";
import { PANTRY } from "./arbitrary-request.ts";

const drink = (ingredient: string, amount: number, unit: UnitId): Spec => ({
  name: "powder",
  method: "none",
  lines: [
    { ingredient: "water", amount: 100, unit: "ml" },
    { ingredient, amount, unit },
  ],
});

test("a weighed powder has no doubt of density: its grams are in the glass however it lies", () => {
  for (const id of ["sugar", "citric-acid", "malic-acid", "tartaric-acid"]) {
    const ingredient = PANTRY.get(id)!;
    const { value, sd } = ingredient.densityGPerMl!;
    expect(sd).toBeGreaterThan(0);
    expect(toVolumeMl(10, "g", { ingredient }).sdMl).toBe(0);
    const placed = place(drink(id, 10, "g"), PANTRY);
    expect(placed.doubts.map((d) => d.id)).not.toContain(`${id}:density`);

    // The same grams at another packing: 100 mL of the powder then hold more or less of it, 10 g the same.
    const packed = 1 + sd / value;
    const scaled = (all: object) =>
      Object.fromEntries(Object.entries(all).map(([k, v]) => [k, { ...v, value: v.value * packed }]));
    const loose = {
      ...ingredient,
      densityGPerMl: { ...ingredient.densityGPerMl!, value: value * packed },
      sugarsGPer100Ml: scaled(ingredient.sugarsGPer100Ml),
      acidsGPer100Ml: scaled(ingredient.acidsGPer100Ml),
    };
    const again = place(drink(id, 10, "g"), new Map(PANTRY).set(id, loose)).point;
    expect(again.sugarGPer100Ml).toBeCloseTo(placed.point.sugarGPer100Ml, 9);
    expect(again.acidGPer100Ml).toBeCloseTo(placed.point.acidGPer100Ml, 9);
  }
});

test("a weighed liquid keeps it: grams of honey are mL only through its density", () => {
  const honey = PANTRY.get("honey")!;
  expect(toVolumeMl(20, "g", { ingredient: honey }).sdMl).toBeGreaterThan(0);
});

test("a powder by volume carries the doubt of its packing", () => {
  const { value, sd } = PANTRY.get("sugar")!.densityGPerMl!;
  const spooned = place(drink("sugar", 20, "ml"), PANTRY);
  // Of the pour alone: a quarter of a mL and 2 % (prepare-spec.ts), and the packing on top.
  const relative = Math.hypot(0.25 / 20, 0.02, sd / value);
  const share = spooned.doubts.find((d) => d.id === "pour")!.variance[0];
  // The sugar's own volume and the water's pour move the result by a few percent of this.
  expect(Math.sqrt(share) / (relative * spooned.point.sugarGPer100Ml)).toBeGreaterThan(0.85);
  expect(Math.sqrt(share) / (relative * spooned.point.sugarGPer100Ml)).toBeLessThan(1.1);
});
