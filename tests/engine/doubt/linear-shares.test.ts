import { describe, expect, test } from "vitest";
import { adviseMeasuring } from "../../../engine/doubt/advise-measuring.ts";
import { directionToEdge, linearShares } from "../../../engine/doubt/linear-shares.ts";
import { addScaledMat3, outer3 } from "../../../engine/linalg.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { DoubtShare, DoubtSource, Mat3, Vec3 } from "../../../engine/types.ts";
import { analyticProbability } from "./integral-probability.ts";
import { sampledShares } from "./sampled-shares.ts";

/** A doubt that moves the point by `effect` (axis units) per standard deviation. */
function doubt(id: string, label: string, effect: Vec3): DoubtShare {
  const [head, tail] = id.split(":") as [string, string | undefined];
  const source =
    tail === undefined
      ? { kind: head }
      : head === "unit"
        ? { kind: head, unit: tail }
        : { kind: tail, ingredient: head };
  return {
    id,
    ...(source as DoubtSource),
    label,
    variance: [effect[0] ** 2, effect[1] ** 2, effect[2] ** 2],
    covariance: outer3(effect),
  };
}
const total = (doubts: DoubtShare[]) =>
  doubts.reduce<Mat3>(
    (sum, d) => addScaledMat3(sum, 1, d.covariance!),
    [
      [0, 0, 0],
      [0, 0, 0],
      [0, 0, 0],
    ],
  );

const PINEAPPLE = doubt("juice-pineapple:acid", "Pineapple juice, fresh: acid", [0, 0.06, 0]);
const LIME = doubt("juice-lime:acid", "Lime juice: acid", [-0.02, 0.03, 0]);
const WATER = doubt("dilution", "water from ice", [-0.25, -0.03, -0.6]);
const RUM = doubt("rum:abv", "Aged rum: ABV", [0, 0, 0.3]);
const DOUBTS = [PINEAPPLE, LIME, WATER, RUM];
const MEAN: Vec3 = [8, 0.8, 18];

describe("whose doubt it is", () => {
  test("toward a floor of acid only the acid part of each doubt counts", () => {
    const target = compileTarget({ kind: "box", acidGPer100Ml: [0.75, null] });
    expect(directionToEdge(target, MEAN)).toEqual([0, -1, 0]);
    const [pineapple, lime, water, rum] = linearShares(DOUBTS, target, MEAN);
    const whole = 0.06 ** 2 + 0.03 ** 2 + 0.03 ** 2;
    expect(pineapple).toBeCloseTo(0.06 ** 2 / whole, 12);
    expect(lime).toBeCloseTo(0.03 ** 2 / whole, 12);
    expect(water).toBeCloseTo(0.03 ** 2 / whole, 12);
    expect(rum).toBe(0);
  });
  test("signs matter: a doubt that moves sugar and acid together leaves their ratio alone", () => {
    const target = compileTarget({ kind: "ratio", min: null, max: 10.5 });
    const together = doubt("dilution", "water", [0.8, 0.08, 0]);
    const against = doubt("juice:acid", "Juice: acid", [0.8, -0.08, 0]);
    const [same, opposite] = linearShares([together, against], target, [8, 0.8, 18]);
    expect(same).toBeLessThan(0.001);
    expect(opposite).toBeGreaterThan(0.999);
  });
  test("linear shares sum to one; sampled and linear shares agree by a flat edge", () => {
    const target = compileTarget({ kind: "half-space", normal: [1, -8, 0.2], offset: 6 });
    const found = sampledShares(DOUBTS, target, MEAN);
    expect(found.shares.reduce((s, x) => s + x.linear, 0)).toBeCloseTo(1, 12);
    expect(found.agree).toBe(true);
    for (const s of found.shares) expect(Math.abs(s.linear - s.sobol)).toBeLessThan(4 * s.sobolError + 1e-9);
    expect(Math.abs(found.interaction)).toBeLessThan(0.15);
  });
  test("in a narrow band the edge is not flat: sampled shares leave some to interaction, and it is said", () => {
    // At the middle of a band as narrow as the doubt, both edges matter and the margin is a fold, −|x|.
    const target = compileTarget({ kind: "box", acidGPer100Ml: [0.79, 0.81] });
    const found = sampledShares(DOUBTS, target, [8, 0.8, 18]);
    expect(found.interaction).toBeGreaterThan(0.2);
    expect(found.agree).toBe(false);
  });
  test("from outside and on the edge the direction is toward and across the nearest face", () => {
    const target = compileTarget({ kind: "box", sugarGPer100Ml: [6, 9] });
    expect(directionToEdge(target, [10, 1, 18])).toEqual([-1, 0, 0]);
    expect(directionToEdge(target, [9, 1, 18])[0]).toBeCloseTo(1, 6);
  });
  test("no doubt along the direction gives no shares; without its covariance a doubt's axes are unrelated", () => {
    const target = compileTarget({ kind: "box", acidGPer100Ml: [0.75, null] });
    expect(linearShares([RUM], target, MEAN)).toEqual([0]);
    const { covariance: _, ...bare } = LIME;
    expect(linearShares([PINEAPPLE, bare], target, MEAN)).toEqual(
      linearShares([PINEAPPLE, LIME], target, MEAN),
    );
  });
});

describe("advice to measure", () => {
  const at = (point: Vec3, doubts: DoubtShare[]) => ({
    point: { sugarGPer100Ml: point[0], acidGPer100Ml: point[1], abvPercent: point[2] },
    covariance: total(doubts),
    doubts,
  });
  const NAMES = new Map([
    ["juice-pineapple", "Pineapple juice, fresh"],
    ["honey", "Honey"],
    ["rum", "Aged rum"],
    ["lime", "Lime"],
  ]);
  const nameOf = (id: string) => NAMES.get(id) ?? id;
  const narrow = compileTarget({ kind: "box", name: "narrow", acidGPer100Ml: [0.73, 0.87] });
  test("at the middle of a narrow band, no pour helps and titrating does; both chances are given", () => {
    const [first, ...rest] = adviseMeasuring(at(MEAN, DOUBTS), narrow, nameOf);
    expect(first!.doubt).toBe("juice-pineapple:acid");
    expect(first!.text).toMatch(/^Titrate your fresh pineapple juice: it is 67 % of the doubt\./);
    expect(first!.text).toContain(`${Math.round(100 * first!.chanceMeasured)} % chance`);
    expect(first!.text).toContain(`gives ${Math.round(100 * first!.chancePoured)} %`);
    expect(first!.chanceMeasured).toBeGreaterThan(first!.chancePoured);
    expect(first!.chanceNow).toBeCloseTo(analyticProbability(narrow, MEAN, total(DOUBTS)).analytic, 12);
    for (const other of rest) expect(other.chanceMeasured).toBeLessThanOrEqual(first!.chanceMeasured);
  });
  test("the chance measured is that of the drink with the doubt cut to a fifth", () => {
    const [first] = adviseMeasuring(at(MEAN, DOUBTS), narrow, nameOf);
    const less = DOUBTS.map((d) => (d === PINEAPPLE ? doubt(d.id, d.label, [0, 0.06 * 0.2, 0]) : d));
    expect(first!.chanceMeasured).toBeCloseTo(analyticProbability(narrow, MEAN, total(less)).analytic, 6);
  });
  test("near the edge of a roomy target pouring is better, so nothing is advised", () => {
    const roomy = compileTarget({ kind: "box", acidGPer100Ml: [0.75, 1.4] });
    expect(analyticProbability(roomy, MEAN, total(DOUBTS)).analytic).toBeLessThan(0.9);
    expect(adviseMeasuring(at(MEAN, DOUBTS), roomy, nameOf)).toEqual([]);
  });
  test("nor when the drink is outside, already sure, or a proposal is known to do better", () => {
    expect(adviseMeasuring(at([8, 0.5, 18], DOUBTS), narrow, nameOf)).toEqual([]);
    expect(
      adviseMeasuring(at(MEAN, DOUBTS), compileTarget({ kind: "box", acidGPer100Ml: [0.2, 1.4] }), nameOf),
    ).toEqual([]);
    expect(adviseMeasuring(at(MEAN, DOUBTS), narrow, nameOf, { pouredChance: 0.99 })).toEqual([]);
  });
  test("each kind of doubt has its own way of being settled", () => {
    const way = (id: string, label: string) =>
      adviseMeasuring(at(MEAN, [doubt(id, label, [0, 0.08, 0])]), narrow, nameOf)[0]?.text.split(":")[0];
    expect(way("honey:sugar", "Honey: sugar")).toBe("Take a refractometer reading of your honey");
    expect(way("rum:abv", "Aged rum: ABV")).toBe("Check the strength of your aged rum");
    expect(way("dilution", "water from ice")).toBe("Measure the finished drink (its volume or its mass)");
    expect(way("pour", "pouring")).toBe("Weigh your pours");
    expect(way("unit:dash", "size of a dash")).toBe("Count how many of your dashes fill 10 mL");
    expect(way("unit:drop", "size of a drop")).toBe("Count how many of your drops fill 10 mL");
    expect(way("unit:barspoon", "size of a bar spoon")).toBe("Count how many of your bar spoons fill 10 mL");
    expect(way("lime:piece", "Lime: size of a piece")).toBe("Measure what one lime gives");
    expect(way("egg:solids", "Egg white: solids")).toBeUndefined();
  });
});
