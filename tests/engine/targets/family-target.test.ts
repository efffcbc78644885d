import { describe, expect, test } from "vitest";
import { fromScaled, toScaled } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { addScaled3, addScaledMat3, invert3, mat3, outer3, rescale3 } from "../../../engine/linalg.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";
import { chiSquareQuantile, covarianceMat3, meanVec3 } from "../../../engine/stats.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import {
  type FamilyMember,
  familyTarget,
  USUAL_SCATTER,
  usualCovariance,
} from "../../../engine/targets/family-target.ts";
import { scatterOf } from "../../../engine/targets/scatter.ts";
import type { Mat3, Vec3 } from "../../../engine/types.ts";
import { squareRootColumns3 } from "../square-root-columns.ts";
import { hotellingRadius } from "./hotelling-radius.ts";

const MEAN: Vec3 = [8, 0.8, 18];
const TRUTH = usualCovariance(MEAN);
const NONE: Mat3 = mat3(() => 0);

function drinks(n: number, seed: number, truth: Mat3 = TRUTH, mean = MEAN): Vec3[] {
  const random = seededRandom(seed);
  const columns = squareRootColumns3(truth);
  return Array.from({ length: n }, () => {
    let p = mean;
    for (const c of columns) p = addScaled3(p, random.normal(), c);
    return p;
  });
}
const seen = (points: readonly Vec3[], doubt?: Mat3): FamilyMember[] =>
  points.map((point) => ({ point, doubt }));

/** Share of further drinks that regions made from `n` drinks hold, over many families. */
function coverageOf(n: number, truthOf: (trial: number) => Mat3, options: { ratio?: boolean } = {}) {
  const trials = 150;
  const perTrial = 20;
  let held = 0;
  for (let trial = 0; trial < trials; trial++) {
    const truth = truthOf(trial);
    const family = seen(drinks(n, 1000 * n + trial, truth));
    const target = compileTarget(familyTarget(family, 0.8, options).target);
    for (const p of drinks(perTrial, 77 + 31 * trial, truth)) if (target.contains(p)) held++;
  }
  return held / (trials * perTrial);
}

/** A true scatter drawn as families differ: inverse Wishart with the usual scatter as its mean. */
function drawnScatter(trial: number): Mat3 {
  const { weight } = USUAL_SCATTER;
  const precision = invert3(TRUTH)!;
  let sum = NONE;
  for (const d of drinks(weight + 4, 5000 + trial, precision, [0, 0, 0]))
    sum = addScaledMat3(sum, 1 / weight, outer3(d));
  return invert3(sum)!;
}

describe("the size of the region", () => {
  test.each([6, 8, 12, 30])(
    "made from %i drinks of the usual scatter it holds the next about as often as it says",
    (n) => {
      // Families differ, so trials and not points set the error: about 0.12/√150; the bound is five of those.
      expect(Math.abs(coverageOf(n, () => TRUTH) - 0.8)).toBeLessThan(0.05);
    },
  );
  test.each([6, 8, 12, 24])("where families differ in scatter, made from %i drinks each", (n) => {
    expect(Math.abs(coverageOf(n, drawnScatter) - 0.8)).toBeLessThan(0.05);
  });
  test("with the ratio band it holds no fewer than it says", () => {
    expect(coverageOf(12, () => TRUTH, { ratio: true })).toBeGreaterThan(0.77);
  });
  test("one that took its estimates for the truth would hold too few", () => {
    let [held, naive] = [0, 0];
    for (let trial = 0; trial < 100; trial++) {
      const points = drinks(6, trial);
      const { radius } = familyTarget(seen(points), 0.8);
      const plain = {
        kind: "ellipsoid" as const,
        mean: meanVec3(points),
        covariance: covarianceMat3(points),
      };
      const made = compileTarget(familyTarget(seen(points), 0.8).target);
      const taken = compileTarget({ ...plain, radius: Math.sqrt(chiSquareQuantile(0.8, 3)) });
      expect(radius).toBeGreaterThan(Math.sqrt(chiSquareQuantile(0.8, 3)));
      for (const p of drinks(10, 900 + trial)) {
        held += Number(made.contains(p));
        naive += Number(taken.contains(p));
      }
    }
    expect(naive).toBeLessThan(held - 100);
  });
  test("Hotelling's radius is what is left without the usual scatter, and tends to chi-square's", () => {
    const limit = Math.sqrt(chiSquareQuantile(0.8, 3));
    expect(hotellingRadius(5, 0.8)).toBeGreaterThan(hotellingRadius(10, 0.8));
    expect(hotellingRadius(100000, 0.8)).toBeCloseTo(limit, 3);
    const large = familyTarget(seen(drinks(2000, 3)), 0.8);
    expect(large.radius / hotellingRadius(2000, 0.8)).toBeCloseTo(1, 2);
  });
  test("more coverage is more room, in every direction", () => {
    const family = seen(drinks(9, 4));
    const [wide, narrow] = [0.95, 0.6].map((c) => familyTarget(family, c, { ratio: true }));
    expect(wide!.radius).toBeGreaterThan(narrow!.radius);
    expect(wide!.ratio![0]).toBeLessThan(narrow!.ratio![0]);
    expect(wide!.ratio![1]).toBeGreaterThan(narrow!.ratio![1]);
  });
});

describe("what a spec leaves open", () => {
  test("without doubts and weight it is the sample mean and covariance", () => {
    const points = drinks(9, 11);
    const { mean, covariance } = scatterOf(seen(points), TRUTH, 0);
    const sample = covarianceMat3(points);
    mean.forEach((x, i) => {
      expect(x).toBeCloseTo(meanVec3(points)[i]!, 10);
    });
    covariance.flat().forEach((x, i) => {
      expect(x).toBeCloseTo(sample.flat()[i]!, 8);
    });
  });
  test("doubt that the points show is taken out of the family's scatter", () => {
    // Seen with as much doubt as they truly scatter: the sample is twice too wide, the estimate is not.
    let [plain, cleared] = [0, 0];
    for (let trial = 0; trial < 30; trial++) {
      const noise = drinks(40, 700 + trial, TRUTH, [0, 0, 0]);
      const points = drinks(40, trial).map((p, i) => addScaled3(p, 1, noise[i]!));
      plain += covarianceMat3(points)[0][0] / TRUTH[0][0] / 30;
      cleared +=
        scatterOf(seen(points, TRUTH), TRUTH, USUAL_SCATTER.weight).covariance[0][0] / TRUTH[0][0] / 30;
    }
    expect(plain).toBeGreaterThan(1.8);
    expect(Math.abs(cleared - 1)).toBeLessThan(0.15);
  });
  test("a drink whose spec says little moves the mean less than one that says all", () => {
    const rest = drinks(8, 5);
    const far: Vec3 = [16, 0.8, 18];
    const wide = usualCovariance([30, 1, 20]);
    const vague = scatterOf([...seen(rest), { point: far, doubt: wide }], TRUTH, 8).mean[0];
    const plain = scatterOf([...seen(rest), { point: far }], TRUTH, 8).mean[0];
    expect(vague).toBeLessThan(plain);
    expect(vague).toBeGreaterThan(meanVec3(rest)[0]);
  });
});

describe("the usual scatter", () => {
  test("counts as much as it says: a family of equal drinks keeps its share of it", () => {
    const near = drinks(6, 1).map((_, i): Vec3 => [8 + i * 1e-4, 0.8, 18]);
    const made = familyTarget(seen(near), 0.8);
    const share = USUAL_SCATTER.weight / (USUAL_SCATTER.weight + 5);
    expect(made.covariance[2][2] / TRUTH[2][2]).toBeCloseTo(share, 3);
  });
  test("drinks at one point count once, and a family without acid still has room", () => {
    const points = drinks(7, 2);
    expect(familyTarget(seen([...points, points[0]!]), 0.8).n).toBe(7);
    const dry = drinks(6, 2).map((p): Vec3 => [p[0], 0, p[2]]);
    expect(compileTarget(familyTarget(seen(dry), 0.8).target).contains([8, 0.01, 18])).toBe(true);
  });
  test("does not depend on the axes' units: seen in other scales, the same drinks are inside", () => {
    const points = drinks(9, 4);
    const made = familyTarget(seen(points), 0.8);
    const moved = rescale3(made.covariance, fromScaled([1, 1, 1]));
    expect(moved[0][0] / 4).toBeCloseTo(made.covariance[0][0], 9);
    expect(toScaled(fromScaled(made.mean))[1]).toBeCloseTo(made.mean[1], 12);
  });
});

describe("the band of sugar to acid", () => {
  test("is the normal model's own: log-ratio scatter by simulation", () => {
    const made = familyTarget(seen(drinks(40, 6)), 0.8, { ratio: true });
    const logs = drinks(20000, 8, made.covariance, made.mean).map((p) => Math.log(p[0] / p[1]));
    const inside = logs.filter((x) => x >= Math.log(made.ratio![0]) && x <= Math.log(made.ratio![1]));
    // Made for half of the 20 % that may be missed, and a little more for the 40 drinks only.
    expect(inside.length / logs.length).toBeGreaterThan(0.89);
    expect(inside.length / logs.length).toBeLessThan(0.93);
  });
  test("cuts off the sweet and sharp corners the ellipsoid alone would hold", () => {
    const family = seen(drinks(20, 6));
    const made = familyTarget(family, 0.95);
    const alone = compileTarget(made.target);
    const cut = compileTarget(familyTarget(family, 0.95, { ratio: true }).target);
    const step = (axis: 0 | 1, sign: number) => sign * 1.6 * Math.sqrt(made.covariance[axis][axis]);
    const corner: Vec3 = [made.mean[0] + step(0, 1), made.mean[1] + step(1, -1), made.mean[2]];
    expect(alone.contains(corner)).toBe(true);
    expect(cut.contains(corner)).toBe(false);
  });
});

describe("few and broken drinks", () => {
  test("six drinks make a region, and the note says how little that is; five do not", () => {
    const made = familyTarget(seen(drinks(6, 1)), 0.8);
    expect(made.n).toBe(6);
    expect(made.note).toContain("take the edge as a hint");
    expect(() => familyTarget(seen(drinks(5, 1)), 0.8)).toThrow("broader family");
  });
  test("the same drinks give the same region, in any order to rounding", () => {
    const family = seen(drinks(9, 4));
    expect(familyTarget(family, 0.8)).toEqual(familyTarget(family, 0.8));
    const reversed = familyTarget([...family].reverse(), 0.8);
    expect(reversed.covariance[0][1]).toBeCloseTo(familyTarget(family, 0.8).covariance[0][1], 9);
  });
  test("bad coverage and bad points are errors by name", () => {
    expect(() => familyTarget(seen(drinks(6, 1)), 1)).toThrow(EngineError);
    expect(() => familyTarget(seen(drinks(6, 1)), Number.NaN)).toThrow("/coverage");
    expect(() => familyTarget(seen([...drinks(6, 1), [1, Number.NaN, 2]]), 0.8)).toThrow(
      "/members/6/point/acidGPer100Ml",
    );
  });
});
