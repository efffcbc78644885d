import { describe, expect, it } from "vitest";
import { titratableAcidityFromTitre } from "../../engine/physics/acids.ts";
import { acidity, finish, ingredient, sugars } from "../reference-data/place-drinks.ts";

/** Standard uncertainty of the titratable acidity, g/100 mL as citric (malic counts 0.955). */
const aciditySd = (id: string) => {
  const a = ingredient(id).acidsGPer100Ml;
  return Math.hypot(a.citric?.sd ?? 0, 0.955 * (a.malic?.sd ?? 0), a.other?.sd ?? 0);
};
const inside = (id: string, theirs: number, deviations = 2) =>
  expect(Math.abs(acidity(id) - theirs) / aciditySd(id), `${id} against ${theirs}`).toBeLessThan(deviations);

describe("lemon and lime carry the sources that disagree, and cover them", () => {
  it("lemon: chromatography of citric 48.0 g/L (Penniston et al. 2008) plus 3 g/L of malic", () => {
    inside("juice-lemon", 4.8 + 0.955 * 0.3);
  });
  it("lemon: citric 48.5–60.3 g/L in four authentic samples (Karadeniz 2004), with malic", () => {
    inside("juice-lemon", 4.854 + 0.3);
    inside("juice-lemon", 6.032 + 0.3, 2.5);
  });
  it("lemon: 5.0 g/100 mL at least in the buyer's specification (USDA CID A-A-20144B §2.3)", () => {
    inside("juice-lemon", 5.0);
    expect(acidity("juice-lemon")).toBeGreaterThan(5);
  });
  it("lemon and lime: 6.0 behind the bar (common practice, no published source)", () => {
    inside("juice-lemon", 6.0);
    inside("juice-lime", 6.0);
  });
  it("lime: citric 45.9 g/L (Penniston et al. 2008) plus 4 g/L of malic; 5–7.5 % in a review", () => {
    inside("juice-lime", 4.586 + 0.955 * 0.4);
    inside("juice-lime", 5.0);
    inside("juice-lime", 7.5, 3);
  });
  it.each(["juice-lemon", "juice-lime"])("%s lists them beside the value used", (id) => {
    const sources = ingredient(id).disagreements!.map((d) => d.source);
    expect(sources).toContain("bar-convention");
    expect(sources).toContain("penniston-2008");
    expect(ingredient(id).acidsGPer100Ml.citric!.sd).toBeGreaterThan(0.4);
  });
  it("a titration tells: 5 mL of lemon and 37.5 mL of 0.1 N base are 4.80 g/100 mL, inside our range", () => {
    inside("juice-lemon", titratableAcidityFromTitre(37.5, 0.1, 5));
  });
});

describe("other juices", () => {
  it.each([
    ["juice-grapefruit-white", 1.2, 2.4],
    ["juice-grapefruit-pink", 1.2, 2.4],
    ["juice-orange", 0.7, 1.4],
    ["juice-pineapple", 0.6, 1.0],
    ["juice-cranberry", 1.8, 2.5],
    ["juice-pomegranate", 0.9, 1.6],
    ["juice-passion-fruit", 2.5, 4.5],
    ["juice-apple", 0.3, 0.7],
    ["juice-tomato", 0.3, 0.6],
  ])("%s lies in the range of the literature, %f–%f g/100 mL", (id, low, high) => {
    expect(acidity(id)).toBeGreaterThanOrEqual(low);
    expect(acidity(id)).toBeLessThanOrEqual(high);
  });
  it("orange: citric 9.10 g/L (Penniston et al. 2008) and 13.28 g/L (Karadeniz 2004)", () => {
    const { value, sd } = ingredient("juice-orange").acidsGPer100Ml.citric!;
    expect(Math.abs(value - 0.91)).toBeLessThan(sd);
    expect(Math.abs(value - 1.328)).toBeLessThan(2 * sd);
  });
  it("pure cranberry: 17.68 g/L, 2.55 g/100 mL of sugars (BMC Oral Health 21:660, Table 1)", () => {
    inside("juice-cranberry", 1.768);
    expect(sugars("juice-cranberry")).toBeCloseTo(2.55, 1);
  });
  it("pomegranate: fructose 6.83, glucose 6.66, citric 1.19, malic 0.065 g/100 g (Krueger 2012)", () => {
    const p = ingredient("juice-pomegranate");
    const density = p.densityGPerMl!.value;
    expect(p.sugarsGPer100Ml.fructose!.value / density).toBeCloseTo(6.83, 1);
    expect(p.sugarsGPer100Ml.glucose!.value / density).toBeCloseTo(6.66, 1);
    expect(p.acidsGPer100Ml.citric!.value / density).toBeCloseTo(1.19, 1);
    expect(p.acidsGPer100Ml.malic!.value / density).toBeCloseTo(0.065, 2);
  });
});

describe("directions the trade knows (common practice, no published source)", () => {
  it("white grapefruit reads a little less sweet than pink", () => {
    const ratio = (id: string) => sugars(id) / acidity(id);
    expect(sugars("juice-grapefruit-white")).toBeLessThan(sugars("juice-grapefruit-pink"));
    expect(ratio("juice-grapefruit-white")).toBeLessThan(ratio("juice-grapefruit-pink"));
    expect(ratio("juice-grapefruit-white")).toBeGreaterThan(0.7 * ratio("juice-grapefruit-pink"));
  });

  it("a small pour of lemon or lime moves a dull, sweet drink of weak juice toward sour", () => {
    const dull = [
      { ingredient: "rum-aged", amount: 45, unit: "ml" as const },
      { ingredient: "juice-pineapple", amount: 60, unit: "ml" as const },
      { ingredient: "syrup-maple-1-1", amount: 15, unit: "ml" as const },
    ];
    const before = finish({ name: "dull", method: "shaken", lines: dull }).point;
    for (const sour of ["juice-lemon", "juice-lime"]) {
      const lines = [...dull, { ingredient: sour, amount: 7.5, unit: "ml" as const }];
      const after = finish({ name: "lifted", method: "shaken", lines }).point;
      expect(after[1]).toBeGreaterThan(1.5 * before[1]);
      expect(after[0] / after[1]).toBeLessThan(0.65 * (before[0] / before[1]));
    }
  });

  it("honey is thinned to be pourable: each step of thinning is less dense", () => {
    const steps = ["honey", "syrup-honey-3-1", "syrup-honey-2-1", "syrup-honey-1-1"];
    const densities = steps.map((id) => ingredient(id).densityGPerMl!.value);
    for (const [i, d] of densities.slice(1).entries()) expect(d).toBeLessThan(densities[i]!);
  });
});
