import { expect, test } from "vitest";
import { adjustJuice } from "../../../engine/prep/adjust.ts";
import { compareAcidWays } from "../../../engine/prep/compare.ts";
import { legalNames } from "../../../engine/prep/legal.ts";
import { sugarFromBrix } from "../../../engine/prep/measure.ts";
import { makeSyrup } from "../../../engine/prep/syrup.ts";
import {
  brixWords,
  crystalWords,
  keepingWords,
  legalWords,
  otherWayWords,
  replacedWords,
} from "../../../engine/prep/words.ts";
import type { Spec } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const pantry = new Map(loadReferenceData().pantry.map((i) => [i.id, i]));
const of = (id: string) => pantry.get(id)!;
const powders = { citric: of("citric-acid"), malic: of("malic-acid") };
const acids = [
  { acid: "citric" as const, purity: 1, pricePerKg: 8 },
  { acid: "malic" as const, purity: 1, pricePerKg: 12 },
];
const spec: Spec = {
  name: "Pineapple (invented)",
  method: "shaken",
  lines: [
    { ingredient: "rum-white", amount: 60, unit: "ml" },
    { ingredient: "juice-pineapple", amount: 45, unit: "ml" },
  ],
};

test("an acid listed twice is refused, as each entry would be weighed in full", () => {
  const twice = [...acids, { acid: "citric" as const, purity: 0.914 }];
  const request = {
    juice: of("juice-pineapple"),
    volumeMl: 1000,
    goal: { like: of("juice-lime") },
    acids: twice,
    powders,
  };
  expect(() => adjustJuice(request)).toThrow("/acids/2/acid: citric acid is listed twice");
});

test("adjusting the juice and adding lime: equally sour, and what differs is volume, sugar and strength", () => {
  const adjusted = adjustJuice({
    juice: of("juice-pineapple"),
    volumeMl: 1000,
    goal: { titratableGPer100Ml: 3 },
    acids,
    powders,
  });
  const { adjusted: a, added: b } = compareAcidWays(spec, 1, adjusted.ingredient, of("juice-lime"), pantry);
  expect(b!.placement.point.acidGPer100Ml).toBeCloseTo(a.placement.point.acidGPer100Ml, 5);
  expect(b!.citrusMl).toBeGreaterThan(10);
  expect(b!.placement.finishedVolumeMl).toBeGreaterThan(a.placement.finishedVolumeMl + 10);
  expect(b!.placement.point.abvPercent).toBeLessThan(a.placement.point.abvPercent);
  expect(b!.placement.point.sugarGPer100Ml).toBeLessThan(a.placement.point.sugarGPer100Ml);
});

test("an acid that no lime reaches is said, not guessed", () => {
  const adjusted = adjustJuice({
    juice: of("juice-pineapple"),
    volumeMl: 1000,
    goal: { titratableGPer100Ml: 20 },
    acids,
    powders,
  });
  expect(compareAcidWays(spec, 1, adjusted.ingredient, of("juice-orange"), pantry).added).toBeNull();
  expect(() => compareAcidWays(spec, 7, adjusted.ingredient, of("juice-lime"), pantry)).toThrow("/line");
});

test("rounds to the scale and counts the cost; what the juice has too much of is named", () => {
  const made = adjustJuice({
    juice: of("juice-orange"),
    volumeMl: 750,
    goal: { like: { ...of("juice-lime"), acidsGPer100Ml: { citric: { value: 4, sd: 0, source: "t" } } } },
    acids,
    powders,
    scaleStepG: 1,
  });
  expect(made.above).toEqual(["malic"]);
  for (const a of made.additions) expect(a.weighG).toBe(Math.round(a.exactG));
  expect(made.cost).toBeCloseTo(
    made.additions.reduce((s, a) => s + a.weighG * 0.008, 0),
    6,
  );
  expect(made.composition.acidGPer100Ml.value).toBeCloseTo(4, 1);
});

test("sweetened too: a cordial to a sugar and an acid at once", () => {
  const made = adjustJuice({
    juice: of("juice-lime"),
    volumeMl: 500,
    goal: { titratableGPer100Ml: 4.5 },
    acids,
    powders,
    sugar: of("sugar"),
    sugarGPer100Ml: 45,
    scaleStepG: 0.01,
  });
  expect(made.composition.acidGPer100Ml.value).toBeCloseTo(4.5, 2);
  expect(made.composition.sugarGPer100Ml.value).toBeCloseTo(45, 1);
});

test.each([
  [
    "more acid than is wanted",
    { goal: { titratableGPer100Ml: 1 }, juice: of("juice-lime") },
    "/goal/titratableGPer100Ml",
  ],
  ["no acid at hand", { acids: [] }, "/acids"],
  ["a purity of 2", { acids: [{ acid: "citric" as const, purity: 2 }] }, "/acids/0/purity"],
  ["an acid the pantry lacks", { acids: [{ acid: "tartaric" as const, purity: 1 }] }, "/powders/tartaric"],
  ["no volume", { volumeMl: 0 }, "/volumeMl"],
  ["less sugar than it holds", { sugarGPer100Ml: 1, sugar: of("sugar") }, "/sugarGPer100Ml"],
])("refuses %s", (_what, change, pointer) => {
  const base = { juice: of("juice-orange"), volumeMl: 500, goal: { titratableGPer100Ml: 5 }, acids, powders };
  expect(() => adjustJuice({ ...base, ...change })).toThrow(pointer);
});

test("every sentence ends, holds no raw number and no empty part", () => {
  const honey = makeSyrup({
    sweetener: of("honey"),
    water: of("water"),
    strength: { by: "volume", ratio: 3 },
    want: { massG: 500 },
  });
  const rich = makeSyrup({
    sweetener: of("sugar"),
    water: of("water"),
    strength: { by: "mass", ratio: 2 },
    want: { sweetenerG: 500 },
  });
  const value = { value: 5.612345, sd: 0.08123, source: "own-measurement" };
  const sentences = [
    otherWayWords(honey)!,
    crystalWords(rich.crystals)!,
    crystalWords(rich.crystals.map((c) => ({ ...c, risk: "may" as const })))!,
    brixWords(sugarFromBrix(of("curacao-dry"), { kind: "refractometer", readingBrix: 36, sampleTempC: 25 })),
    replacedWords({ quantity: "acid", before: { ...value, sd: 0.4 }, after: value, by: "titration" }),
    keepingWords({ days: 1, storage: "fridge", because: "raw-egg", source: "x", tooWarm: true }),
    legalWords(legalNames({ abvPercent: 24, sucroseGPer100Ml: 28, monoGPer100Ml: 0, densityGPerMl: 1.06 })),
    legalWords(legalNames({ abvPercent: 40, sucroseGPer100Ml: 0, monoGPer100Ml: 0, densityGPerMl: 0.95 })),
  ];
  for (const s of sentences) {
    expect(s).toMatch(/^[A-Z0-9].*\.$/s);
    expect(s).not.toMatch(/\d\.\d{4}|undefined|NaN| {2}|\.\./);
  }
  expect(crystalWords([])).toBeNull();
  expect(otherWayWords({ ...honey, otherWay: null })).toBeNull();
});
