import { describe, expect, test } from "vitest";
import { place } from "../../../engine/place/place.ts";
import type { Method, SpecLine } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

// What bars see happen: common practice, no published source.

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const cautions = (
  mlOf: Readonly<Record<string, number>>,
  method: Method = "shaken",
  stage?: SpecLine["stage"],
) =>
  place(
    {
      name: "invented",
      method,
      lines: Object.entries(mlOf).map(([ingredient, amount]) => ({
        ingredient,
        amount,
        unit: "ml",
        ...(stage && { stage }),
      })),
    },
    pantry,
    { doubts: false },
  ).cautions;

describe("acid splits milk and cream", () => {
  test.each([
    ["lemon into cream", { gin: 45, "juice-lemon": 15, cream: 30 }],
    ["lime into milk", { "rum-white": 45, "juice-lime": 15, milk: 60 }],
    ["lemon into a cream liqueur", { "irish-cream-liqueur": 45, "juice-lemon": 15 }],
    ["lemon into soy drink", { "rum-aged": 45, "juice-lemon": 20, "drink-soy": 60 }],
    ["weighed citric acid into milk", { "rum-aged": 45, milk: 60, "citric-acid": 1.5 }],
  ])("%s warns", (_, mlOf) => expect(cautions(mlOf)).toContain("curdling"));

  test.each([
    ["cream with coffee liqueur", { vodka: 50, "coffee-liqueur": 20, cream: 30 }],
    ["milk alone", { "rum-aged": 45, milk: 60, "syrup-simple-1-1": 15 }],
    ["lemon with egg white", { gin: 45, "juice-lemon": 25, "syrup-simple-1-1": 20, "egg-white": 30 }],
    ["lemon with coconut cream", { "rum-white": 45, "juice-lime": 15, "coconut-cream": 30 }],
    ["a barspoon of cream's worth of nothing", { gin: 45, "juice-lemon": 25 }],
  ])("%s does not", (_, mlOf) => expect(cautions(mlOf)).not.toContain("curdling"));
});

describe("gas in a closed tin", () => {
  test("soda that goes in before the shake warns; on top, or stirred, it does not", () => {
    const pours = { gin: 45, "soda-water": 60 };
    expect(cautions(pours, "shaken", "mix")).toContain("closed-fizz");
    expect(cautions(pours, "shaken")).not.toContain("closed-fizz");
    expect(cautions(pours, "stirred", "mix")).not.toContain("closed-fizz");
  });
});

test("each has its text and source", () => {
  for (const id of ["curdling", "closed-fizz"]) {
    expect(data.cautions.find((caution) => caution.id === id)).toMatchObject({ source: "bar-convention" });
  }
});
