import { describe, expect, test } from "vitest";
import { createCatalogue } from "../../../engine/catalogue.ts";
import { kinBook, likelyFamilies } from "../../../engine/kin/kin.ts";
import { portraitOf, unlikeness } from "../../../engine/kin/portrait.ts";
import type { Method, Spec } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const { pantry, view } = createCatalogue(data);
const references = view().references;
const book = kinBook(data.families, data.drinks, pantry);
const pour = (method: Method, ml: Record<string, number>): Spec => ({
  name: "one of ours",
  method,
  lines: Object.entries(ml).map(([ingredient, amount]) => ({ ingredient, amount, unit: "ml" })),
});
const likeliest = (spec: Spec) => view().kin(spec).families[0]!;

// The families themselves are common practice, no published source.
describe("references left out one at a time", () => {
  const told = data.drinks.map((drink) => {
    const rest = references.filter((r) => r.drink !== drink);
    const families = likelyFamilies(book.portraits.get(drink)!, rest, book);
    return { families, isRight: families[0]!.family === drink.families[0] };
  });
  const share = told.filter((t) => t.isRight).length / told.length;
  test("more than 85 in 100 are found in their own family of seventeen", () => {
    expect(share).toBeGreaterThan(0.85);
  });
  test("that is far more than the nearest point alone finds", () => {
    const byPoint = data.drinks.filter((drink) => {
      const [, other] = view().kin(drink.spec).byPoint;
      return data.drinks.find((d) => d.id === other!.id)!.families[0] === drink.families[0];
    });
    expect(share).toBeGreaterThan(1.25 * (byPoint.length / data.drinks.length));
  });
  test("the probabilities are true: of drinks given p, about the share p is right", () => {
    for (const [low, high] of [
      [0, 0.6],
      [0.6, 0.9],
      [0.9, 1],
    ] as const) {
      const group = told.filter(({ families: [f] }) => f!.probability >= low && f!.probability < high);
      expect(group.length).toBeGreaterThan(20);
      const said = group.reduce((sum, { families: [f] }) => sum + f!.probability, 0);
      const variance = group.reduce(
        (sum, { families: [f] }) => sum + f!.probability * (1 - f!.probability),
        0,
      );
      const right = group.filter((g) => g.isRight).length;
      expect(Math.abs(right - said), `${low} to ${high}`).toBeLessThan(2.6 * Math.sqrt(variance));
    }
  });
  test("over all families they sum to 1, and none is certain", () => {
    for (const { families } of told) {
      expect(families.reduce((sum, f) => sum + f.probability, 0)).toBeCloseTo(1, 12);
      expect(families[0]!.probability).toBeLessThan(1);
      expect(families).toHaveLength(data.families.length);
    }
  });
});

describe("drinks no reference was made from (common practice, no published source)", () => {
  test("nine in ten of the balanced ones are in the family they were written down for", () => {
    const right = data.balanced.filter(({ spec, family }) => likeliest(spec).family === family);
    expect(right.length / data.balanced.length).toBeGreaterThan(0.9);
  });
  test.each<[string, Spec]>([
    ["sour", pour("shaken", { "rum-aged": 60, "juice-lime": 7.5, "syrup-simple-1-1": 22.5 })],
    ["fizz", pour("built", { gin: 45, "juice-lemon": 25, "syrup-simple-1-1": 20, "soda-water": 90 })],
    ["martini", pour("stirred", { gin: 70, "vermouth-dry": 8 })],
    ["negroni", pour("stirred", { mezcal: 25, "aperitif-red-24": 30, "vermouth-sweet": 30 })],
    ["old-fashioned", pour("stirred", { rye: 65, "syrup-simple-2-1": 4 })],
    ["buck", pour("built", { vodka: 45, "juice-lime": 12, "ginger-beer": 110 })],
  ])("%s", (family, spec) => {
    expect(likeliest(spec)).toMatchObject({ family, id: `family:${family}` });
    expect(likeliest(spec).probability).toBeGreaterThan(0.7);
  });
  test("a spoiled sour is still a sour", () => {
    const sharp = pour("shaken", { gin: 60, "juice-lemon": 60, "syrup-simple-1-1": 20 });
    expect(likeliest(sharp).family).toBe("sour");
  });
});

describe("nearest classics", () => {
  test("a reference is its own nearest, by pour and by point", () => {
    for (const drink of data.drinks.filter((_, i) => i % 10 === 0)) {
      const { byPour, byPoint } = view().kin(drink.spec);
      expect(byPour[0]).toMatchObject({ id: drink.id, measure: expect.closeTo(1, 9) });
      expect(byPoint[0]!.measure).toBeCloseTo(0, 9);
      expect(byPour.map((c) => c.measure)).toEqual(byPour.map((c) => c.measure).toSorted((a, b) => b - a));
    }
  });
  test("the size of the drink says nothing about its kind", () => {
    const double = pour("shaken", { gin: 120, "juice-lemon": 45, "syrup-simple-1-1": 45 });
    const single = pour("shaken", { gin: 60, "juice-lemon": 22.5, "syrup-simple-1-1": 22.5 });
    const [a, b] = [view().kin(double), view().kin(single)];
    expect(a.families[0]!.probability).toBeCloseTo(b.families[0]!.probability, 9);
    expect(a.byPour.map((c) => c.id)).toEqual(b.byPour.map((c) => c.id));
  });
  test("unlikeness is 0 for the same shares, 1 for nothing in common", () => {
    const gin = portraitOf(pour("shaken", { gin: 60, "juice-lemon": 30 }), pantry);
    expect(unlikeness(gin.pours, gin.pours)).toBeCloseTo(0, 12);
    expect(unlikeness(gin.pours, portraitOf(pour("built", { vodka: 1 }), pantry).pours)).toBe(1);
  });
});

describe("a drink about to be measured against a family it is hardly a member of", () => {
  const punch = pour("shaken", {
    "rum-aged": 60,
    "juice-lime": 15,
    "juice-pineapple": 60,
    "syrup-simple-1-1": 7,
  });
  test("is told so, with what tells", () => {
    const misfit = view().misfit(punch, "family:sour")!;
    expect(misfit.likelier.family).toBe("punch");
    expect(misfit.part).toMatchObject({ id: "juice", share: expect.closeTo(60 / 142, 6) });
    expect(misfit.text).toContain("before bending it into Sour");
  });
  test("no drink misfits its likeliest family, nor a target that is no family", () => {
    for (const { spec } of data.balanced) expect(view().misfit(spec, likeliest(spec).id)).toBeNull();
    for (const id of ["band-shaken", "near:daiquiri", "family:sour:modern"]) {
      expect(view().misfit(punch, id)).toBeNull();
    }
  });
  test("nor does a balanced sour, whatever its spirit and sweetener", () => {
    for (const { spec } of data.balanced.filter((d) => d.family === "sour")) {
      expect(view().misfit(spec, "family:sour")?.text ?? null).toBeNull();
    }
  });
});
