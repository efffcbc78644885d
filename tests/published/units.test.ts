import { expect, test } from "vitest";
import { fromVolumeMl, ML_PER_UNIT, toVolumeMl, UNITS } from "../../engine/amounts/units.ts";

// NIST Handbook 44, Appendix C, General Tables of Units of Measurement: 1 gallon = 231 in³, 1 in = 2.54 cm,
// 1 gallon = 128 fl oz = 256 tablespoons = 768 teaspoons. NIST SP 811 prints 29.573 53 mL for the fluid ounce.
test("the US fluid ounce is 231 cubic inches over 128 (NIST HB 44 App. C)", () => {
  expect(ML_PER_UNIT.oz).toBeCloseTo((231 * 2.54 ** 3) / 128, 12);
  expect(ML_PER_UNIT.oz).toBe(29.5735295625);
  expect(ML_PER_UNIT.oz.toFixed(5)).toBe("29.57353");
});

test("the US spoons are 1/768 and 1/256 of the gallon (NIST HB 44 App. C)", () => {
  const gallonMl = 231 * 2.54 ** 3;
  expect(toVolumeMl(1, "tsp").ml).toBeCloseTo(gallonMl / 768, 12);
  expect(toVolumeMl(1, "tbsp").ml).toBeCloseTo(gallonMl / 256, 12);
  expect(toVolumeMl(1, "tsp").ml).toBeCloseTo(4.92892159375, 12);
});

// UK Weights and Measures Act 1985, Schedule 1: gallon = 4.546 09 dm³ exactly (from memory); 160 fl oz.
test("the imperial fluid ounce is 4.54609 L over 160 (Weights and Measures Act 1985, from memory)", () => {
  expect(ML_PER_UNIT["imperial-oz"]).toBeCloseTo(4546.09 / 160, 12);
});

// Wikipedia, "IBA official cocktail": 3 cl ≈ 1 US fl oz (+1.4 %), 0.5 cl ≈ 1 US tsp (read in a text quoting it).
test("3 cl is 1.4 % over the US ounce, 0.5 cl 1.4 % over the US teaspoon", () => {
  expect((toVolumeMl(3, "cl").ml / ML_PER_UNIT.oz - 1) * 100).toBeCloseTo(1.44, 2);
  expect((toVolumeMl(0.5, "cl").ml / ML_PER_UNIT.tsp - 1) * 100).toBeCloseTo(1.44, 2);
});

// USDA: 1 tsp of granulated sugar weighs 4.2 g, so a bulk density near 0.85 g/mL (read in a text quoting it).
test("a 5 mL bar spoon holds a US teaspoon within 2 %", () => {
  expect(toVolumeMl(1, "barspoon").ml / ML_PER_UNIT.tsp).toBeCloseTo(1, 1);
  expect(fromVolumeMl(ML_PER_UNIT.tsp, "barspoon")).toBeGreaterThan(0.98);
});

test("units that no standard defines say so and carry a doubt; exact ones carry none", () => {
  for (const id of ["barspoon", "dash", "drop"] as const) {
    expect(UNITS[id].exact).toBe(false);
    expect(toVolumeMl(2, id).sdMl).toBeGreaterThan(0);
  }
  for (const id of ["ml", "cl", "oz", "imperial-oz", "tsp", "tbsp"] as const) {
    expect(UNITS[id].exact).toBe(true);
    expect(toVolumeMl(2, id).sdMl).toBe(0);
  }
});
