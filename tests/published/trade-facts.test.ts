import { describe, expect, test } from "vitest";
import { LADDERS } from "../../engine/amounts/ladder.ts";
import { answer } from "../../engine/ask/answer.ts";
import { toVec } from "../../engine/axes.ts";
import { createCatalogue } from "../../engine/catalogue.ts";
import { coefficientsOf } from "../../engine/mix/coefficients.ts";
import { place } from "../../engine/place/place.ts";
import { solve } from "../../engine/solve/solve.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import type { IceConditions, Method, Placement, Spec } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

// What people behind bars know to be so, as directions: which of two glasses is sweeter, sharper, stronger,
// wetter. No figure of ours is checked here, only its sign, on the pantry that ships. Where a fact has no
// published source its title says "common practice".

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));

type Pours = Record<string, number>;
const spec = (method: Method, mlOf: Pours, dilution?: Spec["dilution"]): Spec => ({
  name: "test",
  method,
  lines: Object.entries(mlOf).map(([ingredient, amount]) => ({ ingredient, amount, unit: "ml" })),
  dilution,
});
const placed = (method: Method, mlOf: Pours, dilution?: Spec["dilution"]): Placement =>
  place(spec(method, mlOf, dilution), pantry);

const ingredient = (id: string) => {
  const found = pantry.get(id);
  if (!found) throw new Error(`no ${id} in the pantry`);
  return found;
};
const perMl = (id: string) => coefficientsOf(ingredient(id));
/** Rises strictly from first to last. */
const rises = (values: number[]) => values.every((v, i) => i === 0 || v > values[i - 1]!);

const target = createCatalogue(data).view().region("family:sour").target;
const sourRange = compileTarget(target);
const distance = (p: Placement) => sourRange.membership(toVec(p.point)).signedDistance;

describe("grapefruit: white reads a little less sweet than pink (common practice, no published source)", () => {
  const base = { "tequila-blanco": 50, "juice-lime": 10, "syrup-agave-1-1": 10 };
  const white = placed("shaken", { ...base, "juice-grapefruit-white": 45 });
  const pink = placed("shaken", { ...base, "juice-grapefruit-pink": 45 });

  test("the glass with white has less sugar, and less of it against its acid", () => {
    expect(white.point.sugarGPer100Ml).toBeLessThan(pink.point.sugarGPer100Ml);
    expect(white.sugarAcidRatio!).toBeLessThan(pink.sugarAcidRatio!);
  });

  test("only a little: less than one fruit differs from the next", () => {
    expect(pink.point.sugarGPer100Ml - white.point.sugarGPer100Ml).toBeLessThan(pink.sd.sugarGPer100Ml);
  });
});

describe("a small pour of lemon or lime lifts a dull, sweet drink of weak juice toward sour range (common practice, no published source)", () => {
  /** What the sourest classics on the lists take (Whiskey Sour 3:2:1, Southside). */
  const MOST_CITRUS_ML = 30;
  // A drink of our own: apple juice and agave with nothing sharp in it.
  const dull = { mezcal: 70, "juice-apple": 15, "syrup-agave-1-1": 30 };

  test("it starts outside, for want of acid", () => {
    const at = sourRange.membership(toVec(placed("shaken", dull).point));
    expect(at.inside).toBe(false);
    expect(at.violations.map((v) => v.text).join()).toMatch(/acid .* short/);
  });

  test.each(["juice-lemon", "juice-lime"])(
    "each further 2.5 mL of %s brings it nearer, until inside",
    (id) => {
      const pours = [0, 2.5, 5, 7.5, 10, 12.5, 15];
      const outside = pours.map((ml) => distance(placed("shaken", { ...dull, [id]: ml })));
      expect(rises(outside.map((d) => -d))).toBe(true);
      // 7.5 mL is a quarter of an ounce: small, and a third of the way at least.
      expect(outside[3]!).toBeLessThan((2 / 3) * outside[0]!);
      const reached = answer(
        { ask: "how-much", ingredient: id },
        { spec: spec("shaken", dull), pantry, target, ladder: LADDERS["metric-jigger"] },
      );
      expect(reached.membership.inside).toBe(true);
      expect(reached.range!.leastMl).toBeGreaterThan(0);
      expect(reached.range!.leastMl).toBeLessThanOrEqual(MOST_CITRUS_ML);
    },
  );

  test("too much of it leaves again on the other side", () => {
    const tooMuch = sourRange.membership(toVec(placed("shaken", { ...dull, "juice-lemon": 60 }).point));
    expect(tooMuch.inside).toBe(false);
    expect(tooMuch.violations.map((v) => v.text).join()).toMatch(/acid .* over/);
  });

  test("asked for the least change with both at hand, the solver pours one of them and nothing else", () => {
    const result = solve({
      spec: spec("shaken", dull),
      pantry,
      target,
      ladder: LADDERS["metric-jigger"],
      additions: ["juice-lemon", "juice-lime", "syrup-simple-1-1"],
    });
    expect(result.status).toBe("optimal");
    const first = result.proposals[0]!;
    expect(first.moves.map((m) => m.kind)).toEqual(["add"]);
    expect(["juice-lemon", "juice-lime"]).toContain(first.moves[0]!.ingredient);
    expect(first.moves[0]!.deltaMl).toBeLessThanOrEqual(MOST_CITRUS_ML);
  });
});

describe("honey is thinned to be pourable (common practice, no published source)", () => {
  const thinToThick = ["syrup-honey-1-1", "syrup-honey-2-1", "syrup-honey-3-1", "honey"];

  test("from 1:1 to undiluted: more sugar, denser, less water, per mL", () => {
    const parts = thinToThick.map(perMl);
    expect(rises(parts.map((c) => c.sugarG))).toBe(true);
    expect(rises(parts.map((c) => c.massG))).toBe(true);
    expect(rises(parts.map((c) => -c.waterG))).toBe(true);
    expect(rises(parts.map((c) => -c.waterG / c.massG))).toBe(true);
  });

  test("undiluted honey is under a fifth water; every syrup of it has at least half as much again", () => {
    // Codex Standard 12 for honey, section 3.4: not more than 20 % moisture.
    const share = (id: string) => perMl(id).waterG / perMl(id).massG;
    expect(share("honey")).toBeLessThan(0.2);
    for (const id of thinToThick.slice(0, 3)) expect(share(id)).toBeGreaterThan(1.5 * share("honey"));
  });

  test("the same honey, thinned, makes nearly the same drink once its water counts as dilution", () => {
    // 15 mL of honey, or 30 mL of the 1:1 that 15 mL makes; no ice, the missing water poured.
    const thick = placed("none", { gin: 60, "juice-lemon": 22.5, honey: 15, water: 15 });
    const thin = placed("none", { gin: 60, "juice-lemon": 22.5, "syrup-honey-1-1": 30 });
    expect(Math.abs(thin.point.sugarGPer100Ml / thick.point.sugarGPer100Ml - 1)).toBeLessThan(0.03);
  });
});

describe("swaps", () => {
  test("one rum for another at equal strength moves nothing: the axes do not see aroma (true by definition of the axes)", () => {
    const lime = { "juice-lime": 22.5, "syrup-simple-1-1": 20 };
    const points = ["rum-white", "rum-aged", "cachaca"].map(
      (rum) => placed("shaken", { [rum]: 60, ...lime }).point,
    );
    expect(points[1]).toEqual(points[0]);
    expect(points[2]).toEqual(points[0]);
    // And a stronger one does move it.
    const strong = placed("shaken", { "rum-overproof-63": 60, ...lime }).point;
    expect(strong.abvPercent).toBeGreaterThan(points[0]!.abvPercent + 1);
  });

  test("the question form says so in words", () => {
    const { text } = answer(
      { ask: "what-if", changes: [{ ingredient: "rum-white", swapFor: "rum-aged" }] },
      {
        spec: spec("shaken", { "rum-white": 60, "juice-lime": 22.5, "syrup-simple-1-1": 20 }),
        pantry,
        target,
        ladder: LADDERS["metric-jigger"],
      },
    );
    expect(text).toMatch(/^Nothing moves .*aroma/);
  });

  test("2:1 syrup for 1:1 at the same volume sweetens and leaves the rest where it was (ICUMSA: 88 against 61 g/100 mL)", () => {
    const drink = (syrup: string) => placed("shaken", { gin: 60, "juice-lemon": 22.5, [syrup]: 20 }).point;
    const [one, two] = [drink("syrup-simple-1-1"), drink("syrup-simple-2-1")];
    expect(two.sugarGPer100Ml / one.sugarGPer100Ml).toBeGreaterThan(1.3);
    expect(Math.abs(two.acidGPer100Ml / one.acidGPer100Ml - 1)).toBeLessThan(0.002);
    expect(Math.abs(two.abvPercent / one.abvPercent - 1)).toBeLessThan(0.002);
  });
});

describe("length (common practice, no published source)", () => {
  const sour = { bourbon: 60, "juice-lemon": 22.5, "syrup-simple-1-1": 20 };
  const plain = placed("shaken", sour);

  test("an egg white thins sugar, acid and strength alike, and brings its caution", () => {
    const white = placed("shaken", { ...sour, "egg-white": 30 });
    expect(white.point.sugarGPer100Ml).toBeLessThan(0.9 * plain.point.sugarGPer100Ml);
    expect(white.point.acidGPer100Ml).toBeLessThan(0.9 * plain.point.acidGPer100Ml);
    expect(white.point.abvPercent).toBeLessThan(0.9 * plain.point.abvPercent);
    expect(white.cautions).toContain("raw-egg");
    expect(plain.cautions).not.toContain("raw-egg");
  });

  test.each(["soda-water", "ginger-ale", "wine-sparkling-brut"])(
    "topped with %s: weaker in the glass by the top's own volume, and no more melt water",
    (top) => {
      const topped = placed("shaken", { ...sour, [top]: 60 });
      expect(topped.point.abvPercent).toBeLessThan(0.92 * plain.point.abvPercent);
      expect(topped.point.acidGPer100Ml).toBeLessThan(plain.point.acidGPer100Ml);
      expect(topped.dilution.waterMl).toBe(plain.dilution.waterMl);
      expect(Math.abs(topped.finishedVolumeMl - plain.finishedVolumeMl - 60)).toBeLessThan(1);
    },
  );
});

// D. Arnold, experiments published on the web: "The Science of Shaking II" (24 July 2009) and "Cocktail
// Science in General", parts 1 and 2 (2 and 8 September 2010).
describe("ice", () => {
  const mix = { rye: 60, "vermouth-sweet": 30 };
  const sour = { gin: 60, "juice-lemon": 22.5, "syrup-simple-1-1": 20 };
  const onIce = (conditions: Partial<IceConditions>, method: Method = "shaken") =>
    placed(method, sour, { model: "energy", conditions }).dilution;

  test.each([mix, sour])(
    "stirred comes out less diluted and warmer than shaken, by the curve and by the balance",
    (pours) => {
      const [stirred, shaken] = [placed("stirred", pours).dilution, placed("shaken", pours).dilution];
      expect(stirred.regression!.ratio).toBeLessThan(shaken.regression!.ratio);
      expect(stirred.energy!.ratio).toBeLessThan(shaken.energy!.ratio);
      expect(stirred.finalTempC!).toBeGreaterThan(shaken.finalTempC!);
    },
  );

  test("no chilling without dilution: the nearer to equilibrium, the colder and the wetter", () => {
    const steps = [0.4, 0.6, 0.8, 1].map((approach) => onIce({ approach }));
    expect(rises(steps.map((d) => -d.finalTempC!))).toBe(true);
    expect(rises(steps.map((d) => d.waterMl))).toBe(true);
  });

  test("enough dry ice at 0 °C: twice as much moves the end by less than a degree, the water by less than the curve's own doubt", () => {
    for (const [few, many] of [
      [100, 200],
      [180, 720],
    ]) {
      const [some, more] = [few, many].map((iceMassG) => onIce({ iceMassG, adherentWaterShare: 0 }));
      expect(Math.abs(more!.finalTempC! - some!.finalTempC!)).toBeLessThan(1);
      expect(Math.abs(more!.ratio - some!.ratio)).toBeLessThan(some!.regression!.ratioSd);
    }
    // Too little is another matter: it melts away before the drink is cold.
    expect(onIce({ iceMassG: 30, adherentWaterShare: 0 })).toMatchObject({
      because: "ice-runs-out",
      trust: "measure",
      finalTempC: null,
    });
  });

  test("wet ice dilutes more than dry (common practice; follows from the balance)", () => {
    expect(rises([0, 0.03, 0.1].map((adherentWaterShare) => onIce({ adherentWaterShare }).waterMl))).toBe(
      true,
    );
  });

  test("warmer ingredients melt more ice, a warmer shaker too (conservation of energy)", () => {
    expect(rises([4, 12, 20, 28].map((fridgeTempC) => onIce({ fridgeTempC }).waterMl))).toBe(true);
    expect(rises([-18, 4, 20, 28].map((shelfTempC) => onIce({ shelfTempC }).waterMl))).toBe(true);
    expect(rises([0, 10, 20, 30].map((vesselTempC) => onIce({ vesselTempC }).waterMl))).toBe(true);
  });

  test("a drink ends below 0 °C: spirit lowers the freezing point, and more of it lowers it further", () => {
    const temps = [30, 45, 60, 90].map(
      (gin) => placed("shaken", { ...sour, gin }, { model: "energy" }).dilution.finalTempC!,
    );
    expect(temps.every((t) => t < 0)).toBe(true);
    expect(rises(temps.map((t) => -t))).toBe(true);
  });
});
