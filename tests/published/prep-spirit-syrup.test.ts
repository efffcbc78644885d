/**
 * Syrups, dilution of spirits, liqueurs. Sources and flags:
 * - OIML R 22: water to bring 1 L down, worked out by others from the formula.
 * - USDA household weights (read): granulated sugar 200 g a US cup; honey and agave by part 1 of the facts.
 * - Syrup and honey figures worked out independently in Python from ICUMSA and the data's own rows.
 * - Reg. (EC) 110/2008, Annex II, cat. 32 (read); crème de, cassis: read in texts quoting Reg. (EU) 2019/787;
 *   27 CFR 5.150 (read).
 * - A. Mohos 2010, solubility (read): 2:1 by weight is just under saturation at 20 °C and over it in the cold.
 * - Honey trade: glucose to water above 2.1 grains quickly (read in texts quoting J. W. White).
 */
import { describe, expect, test } from "vitest";
import { combine } from "../../engine/prep/combine.ts";
import { legalNames } from "../../engine/prep/legal.ts";
import { blendToStrength, buildLiqueur, proofDown, washSpirit } from "../../engine/prep/spirit.ts";
import { crystalRisks, makeSyrup, type SyrupStrength, thinSyrup } from "../../engine/prep/syrup.ts";
import type { Composition } from "../../engine/prep/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

const pantry = new Map(loadReferenceData().pantry.map((i) => [i.id, i]));
const of = (id: string) => pantry.get(id)!;
const label = (value: number) => ({ value, sd: 0, source: "test" });
const syrup = (sweetener: string, strength: SyrupStrength, more = {}) =>
  makeSyrup({ sweetener: of(sweetener), water: of("water"), strength, want: { volumeMl: 1000 }, ...more });

describe("a litre of spirit brought down (OIML R 22)", () => {
  test.each([
    [60, 40, 513.88, 512.95, 1500, 13.88],
    [50, 40, 255.37, 254.91, 1250, 5.37],
    [55, 40, 384.29, 383.6, 1375, 9.29],
    [70, 40, 774.91, 773.52, 1750, 24.91],
    [80, 45, 812.49, 811.03, 1777.78, 34.71],
    [95, 40, 1442.82, 1440.23, 2375, 67.82],
    [96, 40, 1470.53, 1467.89, 2400, 70.53],
    [96, 50, 980.22, 978.45, 1920, 60.22],
  ])("%s to %s %% vol: %s mL of water, %s g, %s mL in all, %s mL lost", (from, to, ml, g, final, lost) => {
    const p = proofDown({ volumeMl: 1000 }, label(from), to);
    expect(p.waterMl.value).toBeCloseTo(ml, 1);
    expect(p.waterG.value).toBeCloseTo(g, 1);
    expect(p.finalMl.value).toBeCloseTo(final, 1);
    expect(p.contractionMl.value).toBeCloseTo(lost, 1);
  });
  test("by weight: a kilogram of 40 % vol is 1054.8 mL (0.9480 g/mL)", () => {
    const p = proofDown({ massG: 1000 }, label(40), 30);
    expect(p.finalMl.value).toBeCloseTo((1000 / 0.948045) * (40 / 30), 0);
  });
  test("the label's tolerance moves the water", () => {
    const sure = proofDown({ volumeMl: 1000 }, label(60), 40).waterMl.sd;
    expect(proofDown({ volumeMl: 1000 }, { ...label(60), sd: 1 }, 40).waterMl.sd).toBeGreaterThan(sure + 10);
  });
  test("60 mL of 40 % with 20 mL of water: 79.87 mL at 30.05 % vol (facts, OIML)", () => {
    const made = buildLiqueur({
      base: { ...of("vodka"), abvPercent: label(40) },
      sweetener: of("sugar"),
      water: of("water"),
      abvPercent: 30.0489,
      sugarGPer100Ml: 0,
      volumeMl: 79.8698,
    });
    expect(made.baseMl.value).toBeCloseTo(60, 1);
    expect(made.waterG.value / 0.9982).toBeCloseTo(20, 1);
  });
});

describe("blends", () => {
  test("a 63 % and a 40 % spirit to 50 %: the strength is met, and volumes contract or expand by the tables", () => {
    const [strong, weak] = [63, 40].map((abv) => ({
      ...of("rum-white"),
      id: `r${abv}`,
      abvPercent: label(abv),
    }));
    const b = blendToStrength(strong!, weak!, 50, 700);
    expect(b.composition.abvPercent.value).toBeCloseTo(50, 6);
    expect(b.composition.volumeMl.value).toBeCloseTo(700, 6);
    expect(b.firstMl.value * 0.63 + b.secondMl.value * 0.4).toBeCloseTo(350, 6);
    expect(b.firstG.value + b.secondG.value).toBeCloseTo(b.composition.massG.value, 6);
  });
  test("a strength that lies outside the two is refused", () => {
    expect(() => blendToStrength(of("gin"), of("vodka"), 70, 100)).toThrow("/abvPercent");
  });
});

describe("washed and steeped spirits", () => {
  const vodka = { ...of("vodka"), abvPercent: label(40) };
  test("a litre of 40 % on 300 g of fruit, 85 % water, all exchanged: 40 × 1000 / (1000 + 255) less contraction", () => {
    const w = washSpirit({ spirit: vodka, spiritMl: 1000, addedG: 300, waterShare: 0.85, exchanged: 1 });
    expect(w.abvPercent.value).toBeCloseTo((40 * 1000) / 1255.46, 0);
    expect(w.volumeMl.value).toBeLessThan(1255.46);
  });
  test("butter, 16 % water, hardly thins it; what stays in the fat is lost alcohol, not strength", () => {
    const w = washSpirit({
      spirit: vodka,
      spiritMl: 750,
      addedG: 115,
      waterShare: 0.16,
      exchanged: 1,
      recoveredMl: 690,
    });
    expect(w.abvPercent.value).toBeGreaterThan(38.9);
    expect(w.lostShare!).toBeCloseTo(1 - (690 * w.abvPercent.value) / (750 * 40), 6);
  });
  test("how far fruit gives up its water is a doubt of the strength unless it is said", () => {
    const wash = { spirit: vodka, spiritMl: 1000, addedG: 400, waterShare: 0.85 };
    const [guessed, said] = [washSpirit(wash), washSpirit({ ...wash, exchanged: 0.85 })];
    expect(guessed.abvPercent.value).toBeCloseTo(said.abvPercent.value, 9);
    expect(guessed.abvPercent.sd).toBeGreaterThan(2 * said.abvPercent.sd);
  });
});

describe("liqueurs", () => {
  test("a litre at 25 % vol and 250 g/L from 96 % spirit and sugar holds exactly that", () => {
    const made = buildLiqueur({
      base: { ...of("vodka"), abvPercent: label(96) },
      sweetener: of("sugar"),
      water: of("water"),
      abvPercent: 25,
      sugarGPer100Ml: 25,
      volumeMl: 1000,
    });
    expect(made.composition.abvPercent.value).toBeCloseTo(25, 3);
    expect(made.composition.sugarGPer100Ml.value).toBeCloseTo(25, 3);
    expect(made.composition.volumeMl.value).toBeCloseTo(1000, 3);
    expect(made.baseMl.value).toBeCloseTo(250 / 0.96, 1);
    expect(made.sweetenerG.value).toBeCloseTo(250 / 0.9976, 0);
  });
  test("a weak base and a thin syrup leave no room", () => {
    expect(() =>
      buildLiqueur({
        base: of("vodka"),
        sweetener: of("syrup-simple-1-1"),
        water: of("water"),
        abvPercent: 35,
        sugarGPer100Ml: 30,
        volumeMl: 700,
      }),
    ).toThrow("/abvPercent");
  });

  const names = (abvPercent: number, gPerL: number, density = 1.05) =>
    legalNames({ abvPercent, sucroseGPer100Ml: gPerL / 10, monoGPer100Ml: 0, densityGPerMl: density })
      .filter((n) => n.meets)
      .map((n) => n.name);
  test.each([
    [
      "95 g/L of sucrose is 100 g/L as invert: a liqueur by the EU's floor",
      20,
      95.1,
      ["liqueur", "cherry-liqueur", "gentian-liqueur", "us-liqueur"],
    ],
    ["94 g/L is not", 20, 94, ["cherry-liqueur", "gentian-liqueur", "us-liqueur"]],
    ["70 g/L as invert: of cherries alone", 20, 67, ["cherry-liqueur", "us-liqueur"]],
    ["14.9 % vol is too weak for any of the EU's", 14.9, 300, ["us-liqueur"]],
    [
      "crème de from 250 g/L",
      15,
      238,
      ["liqueur", "cherry-liqueur", "gentian-liqueur", "creme-de", "us-liqueur"],
    ],
    [
      "crème de cassis from 400 g/L",
      15,
      381,
      ["liqueur", "cherry-liqueur", "gentian-liqueur", "creme-de", "creme-de-cassis", "us-liqueur"],
    ],
    ["2.5 % by weight for the United States", 30, 27, ["us-liqueur"]],
    ["and less is a spirit with a trace of sugar", 40, 20, []],
  ])("%s", (_what, abv, gPerL, expected) => {
    expect(names(abv, gPerL)).toEqual(expected);
  });
  test("glucose and fructose are invert already", () => {
    const base = { abvPercent: 20, densityGPerMl: 1.05 };
    const met = (mono: number) =>
      legalNames({ ...base, sucroseGPer100Ml: 0, monoGPer100Ml: mono }).find((n) => n.name === "liqueur")!
        .meets;
    expect([met(9.99), met(10)]).toEqual([false, true]);
  });
});

describe("sugar syrups (ICUMSA, worked out independently)", () => {
  test.each<[string, SyrupStrength, number, number, number]>([
    ["1:1 by weight", { by: "mass", ratio: 1 }, 50, 1.22965, 61.48],
    ["3:2 by weight", { by: "mass", ratio: 1.5 }, 60, 1.28661, 77.2],
    ["2:1 by weight", { by: "mass", ratio: 2 }, 66.667, 1.32675, 88.45],
    ["1:1 by volume", { by: "volume", ratio: 1 }, 45.85, 1.2072, 55.35],
    ["2:1 by volume", { by: "volume", ratio: 2 }, 62.88, 1.3037, 81.97],
    ["to 65 °Bx", { by: "brix", brix: 65 }, 65, 1.31656, 85.58],
  ])("%s: %s °Bx, %s g/mL, %s g/100 mL", (_name, strength, brix, density, sugar) => {
    const pure = { ...of("sugar"), sugarsGPer100Ml: { sucrose: label(84.5) }, densityGPerMl: label(0.845) };
    const want = { volumeMl: 1000 };
    const { composition: c } = makeSyrup({ sweetener: pure, water: of("water"), strength, want });
    expect(Math.abs(c.solidsPercent.value - brix)).toBeLessThan(0.02);
    expect(Math.abs(c.densityGPerMl.value - density)).toBeLessThan(0.0001);
    expect(Math.abs(c.sugarGPer100Ml.value - sugar)).toBeLessThan(0.03);
    expect(c.volumeMl.value).toBeCloseTo(1000, 6);
  });

  test("USDA's granulated sugar is 99.8 % sugar: a quarter of a per cent less of everything", () => {
    const { composition: c } = syrup("sugar", { by: "mass", ratio: 1 });
    expect(c.sugarGPer100Ml.value).toBeGreaterThan(61.48 * 0.996);
    expect(c.sugarGPer100Ml.value).toBeLessThan(61.48);
  });

  test("one measure of sugar and one of water make 1.527 (worked by others)", () => {
    const s = syrup("sugar", { by: "volume", ratio: 1 });
    expect(1000 / s.sweetenerMl.value).toBeCloseTo(1.527, 2);
  });

  test.each([
    [1, 55.99],
    [2, 74.68],
    [3, 83.98],
  ])("honey %s:1 by volume: %s g of sugars in 100 mL", (ratio, sugars) => {
    const s = syrup("honey", { by: "volume", ratio });
    expect(Math.abs(s.composition.sugarGPer100Ml.value - sugars)).toBeLessThan(0.5);
  });

  test("3:1 honey by weight is thinner than by volume, and both are shown", () => {
    const s = syrup("honey", { by: "volume", ratio: 3 });
    const other = s.otherWay!;
    expect(other.by).toBe("mass");
    // By volume 3 × 1.42 g of honey meet 1 g of water: 81 % honey; by weight 75 %.
    expect(s.sweetenerG.value / (s.sweetenerG.value + s.waterG.value)).toBeCloseTo(4.26 / 5.26, 2);
    expect(
      other.syrup.sweetenerG.value / (other.syrup.sweetenerG.value + other.syrup.waterG.value),
    ).toBeCloseTo(0.75, 6);
    expect(other.syrup.composition.sugarGPer100Ml.value).toBeLessThan(s.composition.sugarGPer100Ml.value - 4);
  });

  test("agave 1:1 by volume: 47.4 g", () => {
    expect(
      Math.abs(syrup("agave", { by: "volume", ratio: 1 }).composition.sugarGPer100Ml.value - 47.38),
    ).toBeLessThan(0.4);
  });

  test("2:1 by weight: at the edge on the shelf, over it in the refrigerator; 1:1 stays clear", () => {
    const risk = (ratio: number, where: "room" | "fridge") =>
      syrup("sugar", { by: "mass", ratio }).crystals.find((c) => c.storedAt === where)!.risk;
    expect([risk(2, "room"), risk(2, "fridge"), risk(1, "room"), risk(1, "fridge")]).toEqual([
      "may",
      "will",
      "none",
      "none",
    ]);
    expect(syrup("sugar", { by: "brix", brix: 70 }).crystals[0]!.risk).toBe("will");
  });
  test("honey itself grains, a 3:1 of it does not (glucose to water)", () => {
    const risks = (c: Composition) =>
      crystalRisks(c)
        .filter((r) => r.what === "glucose")
        .map((r) => r.risk);
    const honey = combine([{ ingredient: of("honey"), amount: 100, unit: "g" }]);
    expect(risks(honey)).toEqual(["may", "may"]);
    expect(risks(syrup("honey", { by: "volume", ratio: 3 }).composition)).toEqual(["none", "none"]);
    const dry = {
      ...of("honey"),
      sugarsGPer100Ml: {
        glucose: { value: 62, sd: 1, source: "test" },
        fructose: { value: 48, sd: 1, source: "test" },
      },
    };
    expect(risks(combine([{ ingredient: dry, amount: 100, unit: "g" }]))).toEqual(["will", "will"]);
  });

  test("simmering a 1:1 from 1000 g to 800 g leaves 62.5 °Bx", () => {
    const s = syrup("sugar", { by: "mass", ratio: 1 }, { simmered: { beforeG: 1000, afterG: 800 } });
    expect(s.composition.solidsPercent.value).toBeCloseTo((0.998 * 50) / 0.8, 1);
  });

  test("a 2:1 thinned to 50 °Bx takes a third of its weight of water", () => {
    const t = thinSyrup(of("syrup-simple-2-1"), of("water"), 900, { brix: 50 });
    expect(t.waterG.value).toBeCloseTo(300, 0);
    expect(t.composition.solidsPercent.value).toBeCloseTo(50, 3);
    const byVolume = thinSyrup(of("syrup-simple-2-1"), of("water"), 900, { sugarGPer100Ml: 61.48 });
    expect(byVolume.waterG.value).toBeCloseTo(300, -1);
    expect(() => thinSyrup(of("syrup-simple-1-1"), of("water"), 900, { brix: 60 })).toThrow("/to/brix");
  });
});
