/**
 * Thrift and care against arithmetic by hand. Outside: ethanol 0.78924 g/mL at 20 °C (OIML R 22); US standard drink
 * 0.6 US fl oz, about 14 g (17.7 mL); UK unit 10 mL of ethanol; Australia and the WHO's AUDIT 10 g; the tenth
 * percentile of the standard normal, −1.2816 (tables). Yields are the pantry's: lemon 46 ± 12 mL, lime 35 ± 9 mL.
 */
import { describe, expect, test } from "vitest";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { EngineError } from "../../../engine/errors.ts";
import { place } from "../../../engine/place/place.ts";
import { careOf } from "../../../engine/thrift/care.ts";
import { costOf } from "../../../engine/thrift/cost.ts";
import { needsOf } from "../../../engine/thrift/needs.ts";
import { servedOf } from "../../../engine/thrift/served.ts";
import { smallPour } from "../../../engine/thrift/small-pour.ts";
import { splitBuild } from "../../../engine/thrift/split-build.ts";
import {
  careWords,
  costWords,
  needWords,
  servedWords,
  smallPourWords,
  splitWords,
} from "../../../engine/thrift/words.ts";
import type { Spec } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const pantry = new Map(loadReferenceData().pantry.map((i) => [i.id, i]));
const metric = LADDERS["metric-jigger"];
const drink = (pours: Record<string, number>, method: Spec["method"] = "shaken"): Spec => ({
  name: "Thrift (invented)",
  method,
  lines: Object.entries(pours).map(([ingredient, amount]) => ({ ingredient, amount, unit: "ml" })),
});
const sour = drink({ gin: 60, "juice-lemon": 22.5, "syrup-simple-1-1": 22.5 });
const refusedAt = (act: () => unknown): string | undefined => {
  try {
    act();
  } catch (error) {
    if (error instanceof EngineError) return error.issues[0]?.pointer;
    throw error;
  }
  return undefined;
};

describe("cost", () => {
  const prices = new Map([
    ["gin", 25],
    ["juice-lemon", 6],
  ]);
  const glass = place(sour, pantry, { prices });

  test("60 mL at 25 and 22.5 mL at 6 a litre are 1.635; what has no price is named once", () => {
    expect(costOf([glass]).known).toBeCloseTo(1.5 + 0.135, 12);
    const bench = costOf([glass, glass]);
    expect(bench.known).toBeCloseTo(3.27, 12);
    expect(bench.unpriced.map(({ ingredient }) => ingredient)).toEqual(["syrup-simple-1-1"]);
    expect(costWords(bench)).toContain("3.27 without");
    expect(costWords(costOf([place(sour, pantry)]))).toContain("no price yet");
  });
});

describe("needs", () => {
  test("four rounds: 90 mL are two lemons of 46 mL, three of 30.6 mL; 240 mL are 0.34 of a bottle", () => {
    const [gin, lemon, syrup] = needsOf(place(sour, pantry), 4, pantry);
    expect(gin).toMatchObject({ ml: 240, pieces: null });
    expect(gin!.bottles).toBeCloseTo(240 / 700, 12);
    expect(lemon).toMatchObject({ ml: 90, bottles: null, pieces: { usual: 2, poor: 3 } });
    expect(syrup).toMatchObject({ ml: 90, bottles: null, pieces: null });
    expect(needWords(lemon!)).toContain("2 pieces at a usual yield, 3 if they yield poorly");
    expect(needWords(gin!)).toContain("0.34 of a full bottle");
  });

  test("an ingredient in two lines is bought once; six times 22.5 mL of lime are four, or six poor ones", () => {
    const twice = drink({ gin: 60, "juice-lime": 15 });
    twice.lines.push({ ingredient: "juice-lime", amount: 7.5, unit: "ml" });
    const needs = needsOf(place(twice, pantry), 6, pantry);
    expect(needs).toHaveLength(2);
    expect(needs[1]).toMatchObject({ ml: 135, pieces: { usual: 4, poor: 6 } });
  });

  test.each([0, 1.5, Number.NaN])("%s rounds are refused", (rounds) => {
    expect(refusedAt(() => needsOf(place(sour, pantry), rounds, pantry))).toBe("/rounds");
  });
});

describe("small pour", () => {
  test("a third of 60, 22.5, 22.5 is on the ladder: 20, 7.5, 7.5, and the point stays", () => {
    const third = smallPour(sour, 1 / 3, metric, pantry);
    expect(third.placement.lines.map(({ volumeMl }) => volumeMl)).toEqual([20, 7.5, 7.5]);
    for (const by of Object.values(third.drift)) expect(by).toBeCloseTo(0, 9);
    expect(third.placement.ethanolG).toBeCloseTo(place(sour, pantry).ethanolG / 3, 9);
    expect(smallPourWords(third)[0]).toContain("where it is");
  });

  test("a half asks 11.25 mL twice and pours 10: stronger by 40·(30/50 − 30/52.5), sourness down", () => {
    const dry = { ...sour, method: "none" as const };
    const half = smallPour(dry, 0.5, metric, pantry);
    expect(half.placement.lines.map(({ volumeMl }) => volumeMl)).toEqual([30, 10, 10]);
    expect(half.drift.abvPercent).toBeCloseTo(40 * (30 / 50 - 30 / 52.5), 1);
    const lemon = place(drink({ "juice-lemon": 100 }, "none"), pantry).point.acidGPer100Ml;
    expect(half.drift.acidGPer100Ml).toBeCloseTo(lemon * (10 / 50 - 11.25 / 52.5), 2);
    expect(smallPourWords(half)[0]).toMatch(/ABV \+1\.[12]/);
  });

  test("nothing is rounded away: a quarter of a dash is poured as the smallest measure, and named", () => {
    const bitter = { ...sour, lines: [...sour.lines] };
    bitter.lines.push({ ingredient: "bitters-aromatic", amount: 1, unit: "dash" });
    const small = smallPour(bitter, 0.25, metric, pantry);
    expect(small.heavy.map(({ ingredient }) => ingredient)).toEqual(["bitters-aromatic"]);
    expect(small.spec.lines[3]!.amount).toBeGreaterThan(0);
    expect(small.heavy[0]!.pouredMl).toBeCloseTo(4 * small.heavy[0]!.askedMl, 9);
  });

  test("a measured glass is scaled with the drink: a third of 120 mL is 40 mL", () => {
    const measured: Spec = { ...sour, dilution: { model: "measured", finishedVolumeMl: 120 } };
    expect(smallPour(measured, 1 / 3, metric, pantry).placement.finishedVolumeMl).toBeCloseTo(40, 6);
  });

  test.each([0, -1, 1.5, Number.NaN])("a share of %s is refused", (share) => {
    expect(refusedAt(() => smallPour(sour, share, metric, pantry))).toBe("/share");
  });
});

describe("split build", () => {
  const variants = [
    drink({ gin: 60, "juice-lemon": 22.5, "syrup-simple-1-1": 20 }),
    drink({ gin: 60, "juice-lemon": 22.5, "syrup-simple-1-1": 22.5, "egg-white": 30 }),
    drink({ gin: 60, "juice-lemon": 25, "syrup-simple-1-1": 22.5, "egg-white": 30 }),
  ];

  test("three times the least of each is the base, 102.5 mL a glass; the rest makes each spec again", () => {
    const build = splitBuild(variants, metric, pantry);
    expect(build.base.map(({ ml, measured }) => [ml, measured])).toEqual([
      [180, true],
      [67.5, true],
      [60, true],
    ]);
    expect(build.portionMl).toBe(102.5);
    expect(build.variants.map(({ rest }) => rest.map((p) => [p.ingredient, p.ml]))).toEqual([
      [],
      [
        ["syrup-simple-1-1", 2.5],
        ["egg-white", 30],
      ],
      [
        ["juice-lemon", 2.5],
        ["syrup-simple-1-1", 2.5],
        ["egg-white", 30],
      ],
    ]);
    expect(splitWords(build)).toContain("102.5 mL");
  });

  test("egg in all of them still goes into each glass alone", () => {
    expect(splitBuild(variants.slice(1), metric, pantry).base.map((p) => p.ingredient)).not.toContain(
      "egg-white",
    );
  });

  test("one variant is refused, and a bad line says whose it is", () => {
    expect(refusedAt(() => splitBuild([sour], metric, pantry))).toBe("/variants");
    expect(refusedAt(() => splitBuild([sour, drink({ nothing: 1 })], metric, pantry))).toBe(
      "/variants/1/lines/0/ingredient",
    );
  });
});

describe("served, and care", () => {
  test("60 mL at 40 % are 24 mL, 18.94 g: 1.35 US, 2.4 UK units, 1.89 of 10 g; shares add up", () => {
    const glass = place(sour, pantry);
    const grams = 24 * 0.78924;
    const [ana, ben] = servedOf([
      { taster: "Ana (invented)", glass, share: 0.5 },
      { taster: "Ben (invented)", glass, share: 1 },
      { taster: "Ana (invented)", glass, share: 0.25 },
    ]);
    expect(ana).toMatchObject({ taster: "Ana (invented)", glasses: 2 });
    expect(ben!.ethanolG).toBeCloseTo(grams, 2);
    expect(ben!.standardDrinks.us).toBeCloseTo(grams / 14, 3);
    expect(ben!.standardDrinks.uk).toBeCloseTo(2.4, 3);
    expect(ben!.standardDrinks.au).toBeCloseTo(grams / 10, 3);
    expect(ana!.ethanolG).toBeCloseTo(0.75 * grams, 2);
    expect(servedWords(ben!)).toContain("at most 1.4 US");
    expect(refusedAt(() => servedOf([{ taster: "Ana", glass, share: 0 }]))).toBe("/servings/0/share");
  });

  test("egg and almond anywhere in a flight are told of the whole flight", () => {
    const care = careOf(
      [
        drink({ "rum-white": 60, "juice-lime": 22.5, orgeat: 15 }),
        drink({ "rum-white": 60, "juice-grapefruit-pink": 22.5, "egg-white": 30 }),
      ],
      pantry,
    );
    expect(new Set(care.allergens)).toEqual(new Set(["nuts", "egg"]));
    expect(care.isComplete).toBe(true);
    const words = careWords(care).join(" ");
    expect(words).toMatch(/nuts/);
    expect(words).toMatch(/Raw egg/);
    expect(words).toMatch(/medicines/);
  });

  test("what is in no pantry is told of, not passed over", () => {
    const care = careOf([drink({ "rum-white": 60, "my-cordial": 20 })], pantry);
    expect(care.isComplete).toBe(false);
    expect(careWords(care).join(" ")).toContain("ask whoever pours");
    expect(careOf([undefined], pantry).isComplete).toBe(false);
    expect(careOf([drink({ "rum-white": 60, "juice-lime": 20 })], pantry).allergens).toEqual([]);
  });
});
