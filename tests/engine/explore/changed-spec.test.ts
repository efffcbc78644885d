import { expect, test } from "vitest";
import { toVolumeMl } from "../../../engine/amounts/units.ts";
import { swapIngredient } from "../../../engine/explore/changed-spec.ts";
import { routes, swapEffects } from "../../../engine/explore/routes.ts";
import type { Spec } from "../../../engine/types.ts";
import { demoRequest, pantry } from "./demo-request.ts";

const fizzless: Spec = {
  name: "Frothy sour (invented)",
  method: "shaken",
  lines: [
    { ingredient: "gin", amount: 2, unit: "oz" },
    { ingredient: "juice-lemon", amount: 0.5, unit: "piece" },
    { ingredient: "syrup-simple-2-1", amount: 20, unit: "g" },
    { ingredient: "egg-white", amount: 1, unit: "piece" },
  ],
};
const request = demoRequest(fizzless);
const mlOf = (spec: Spec, id: string) =>
  spec.lines
    .filter((l) => l.ingredient === id)
    .reduce((sum, l) => sum + toVolumeMl(l.amount, l.unit, { ingredient: pantry.get(id) }).ml, 0);

test.each([
  ["gin", "vodka", "oz"],
  // Half a lemon and half a lime are not as much; an egg's white and a jelly's foam even less so.
  ["juice-lemon", "juice-lime", "oz"],
  ["egg-white", "aquafaba", "oz"],
  // 20 g of a rich syrup is less liquid than 20 g of a thin one.
  ["syrup-simple-2-1", "syrup-simple-1-1", "oz"],
])("%s for %s is volume for volume", (from, to, unit) => {
  const swapped = swapIngredient(request, from, to);
  expect(mlOf(swapped, to)).toBeCloseTo(mlOf(fizzless, from), 9);
  expect(swapped.lines.map((l) => l.ingredient)).toEqual(
    fizzless.lines.map((l) => (l.ingredient === from ? to : l.ingredient)),
  );
  expect(swapped.lines.find((l) => l.ingredient === to)!.unit).toBe(unit);
});

test("a drink with pieces in it can be swapped about", () => {
  const effects = swapEffects(request, "egg-white");
  expect(effects.map((e) => e.ingredient)).toContain("aquafaba");
  const swaps = routes(request).filter((r) => r.kind === "swap");
  expect(swaps.length).toBeGreaterThan(0);
});
