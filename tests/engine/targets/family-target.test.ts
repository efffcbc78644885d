import { describe, expect, test } from "vitest";
import { EngineError } from "../../../engine/errors.ts";
import { addScaled3, squareRootColumns3 } from "../../../engine/linalg.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";
import { chiSquareQuantile, covarianceMat3, sampleQuantile } from "../../../engine/stats.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { familyTarget, hotellingRadius, simulateDistances } from "../../../engine/targets/family-target.ts";
import { shrinkCovariance } from "../../../engine/targets/shrink-covariance.ts";
import type { Mat3, Vec3 } from "../../../engine/types.ts";

const TRUTH: Mat3 = [
  [2.5, 0.12, 1.2],
  [0.12, 0.02, -0.05],
  [1.2, -0.05, 7],
];

function drinks(n: number, seed: number, truth: Mat3 = TRUTH): Vec3[] {
  const random = seededRandom(seed);
  const columns = squareRootColumns3(truth);
  return Array.from({ length: n }, () => {
    let p: Vec3 = [8, 0.8, 18];
    for (const c of columns) p = addScaled3(p, random.normal(), c);
    return p;
  });
}

describe("the size of the region", () => {
  test("without shrinking, simulated distances have Hotelling's F quantiles", () => {
    const distances = simulateDistances(12, TRUTH, { shrink: false, seed: 3, replicates: 20000 });
    for (const coverage of [0.5, 0.8, 0.95]) {
      const share =
        distances.filter((d) => d <= hotellingRadius(12, coverage) ** 2).length / distances.length;
      // Four standard errors of a share of 20,000.
      expect(Math.abs(share - coverage)).toBeLessThan(4 * Math.sqrt((coverage * (1 - coverage)) / 20000));
    }
  });
  test("Hotelling's radius tends to the chi-square radius from above as drinks are added", () => {
    const limit = Math.sqrt(chiSquareQuantile(0.8, 3));
    expect(hotellingRadius(5, 0.8)).toBeGreaterThan(hotellingRadius(10, 0.8));
    expect(hotellingRadius(10, 0.8)).toBeGreaterThan(limit);
    expect(hotellingRadius(100000, 0.8)).toBeCloseTo(limit, 3);
  });
  test.each([6, 8, 12, 24])(
    "a region made from %i drinks holds the next one about as often as it says",
    (n) => {
      const trials = 120;
      const perTrial = 20;
      let held = 0;
      let plain = 0;
      for (let trial = 0; trial < trials; trial++) {
        const family = drinks(n, 1000 * n + trial);
        const made = familyTarget(family, 0.8).target;
        const target = compileTarget(made);
        // What would happen if the estimates were taken for the truth.
        const naive = compileTarget({
          ...familyTarget(family, 0.8).target,
          radius: Math.sqrt(chiSquareQuantile(0.8, 3)),
        });
        for (const p of drinks(perTrial, 77 + 31 * trial)) {
          if (target.contains(p)) held++;
          if (naive.contains(p)) plain++;
        }
      }
      const share = held / (trials * perTrial);
      // Families differ, so trials and not points set the error: about 0.15/√120; the bound is four of those.
      expect(Math.abs(share - 0.8)).toBeLessThan(0.05);
      expect(plain / (trials * perTrial)).toBeLessThan(share);
    },
  );
  test("the same drinks give the same region, in any order to rounding", () => {
    const family = drinks(9, 4);
    expect(familyTarget(family, 0.8)).toEqual(familyTarget(family, 0.8));
    const reversed = familyTarget([...family].reverse(), 0.8);
    expect(reversed.target.radius).toBeCloseTo(familyTarget(family, 0.8).target.radius, 6);
  });
  test("more coverage is more room", () => {
    const family = drinks(9, 4);
    expect(familyTarget(family, 0.95).target.radius).toBeGreaterThan(familyTarget(family, 0.6).target.radius);
  });
});

describe("shrinking", () => {
  const NO_FLOOR: Vec3 = [0, 0, 0];
  test("keeps variances, takes the same share from each correlation, and does not depend on units", () => {
    const family = drinks(8, 11);
    const { covariance, shrinkage } = shrinkCovariance(family, NO_FLOOR);
    const sample = covarianceMat3(family);
    expect(shrinkage).toBeGreaterThan(0);
    expect(shrinkage).toBeLessThan(1);
    for (const i of [0, 1, 2] as const) {
      expect(covariance[i][i]).toBeCloseTo(sample[i][i], 12);
      for (const j of [0, 1, 2] as const) {
        if (i !== j) expect(covariance[i][j]).toBeCloseTo((1 - shrinkage) * sample[i][j], 12);
      }
    }
    const other = shrinkCovariance(
      family.map((p): Vec3 => [10 * p[0], p[1] / 3, p[2] + 5]),
      NO_FLOOR,
    );
    expect(other.shrinkage).toBeCloseTo(shrinkage, 10);
  });
  test("fades as drinks are added, and is complete when nothing is correlated", () => {
    const average = (n: number, truth: Mat3) => {
      let sum = 0;
      for (let seed = 0; seed < 40; seed++)
        sum += shrinkCovariance(drinks(n, seed, truth), NO_FLOOR).shrinkage;
      return sum / 40;
    };
    expect(average(8, TRUTH)).toBeGreaterThan(average(40, TRUTH));
    expect(average(400, TRUTH)).toBeLessThan(0.05);
    expect(
      average(40, [
        [1, 0, 0],
        [0, 1, 0],
        [0, 0, 1],
      ]),
    ).toBeGreaterThan(0.6);
  });
  test("on average it is nearer the truth than the plain covariance of few drinks", () => {
    const gap = (m: Mat3) =>
      m.reduce(
        (sum, row, i) =>
          sum + row.reduce((s, x, j) => s + (x - TRUTH[i]![j]!) ** 2 / (TRUTH[i]![i]! * TRUTH[j]![j]!), 0),
        0,
      );
    let shrunk = 0;
    let plain = 0;
    for (let seed = 0; seed < 200; seed++) {
      const family = drinks(6, seed);
      shrunk += gap(shrinkCovariance(family, NO_FLOOR).covariance);
      plain += gap(covarianceMat3(family));
    }
    expect(shrunk).toBeLessThan(plain);
  });
});

describe("few, equal and broken drinks", () => {
  test("six drinks make a region, and the note says how little that is; five do not", () => {
    const made = familyTarget(drinks(6, 1), 0.8);
    expect(made.n).toBe(6);
    expect(made.note).toContain("take the edge as a hint");
    expect(() => familyTarget(drinks(5, 1), 0.8)).toThrow("broader family");
  });
  test("drinks equal on an axis, or all equal, still have some spread", () => {
    const flat = drinks(6, 2).map((p): Vec3 => [p[0], 0.8, p[2]]);
    expect(compileTarget(familyTarget(flat, 0.8).target).contains([8, 0.81, 18])).toBe(true);
    const same: Vec3[] = Array.from({ length: 6 }, () => [8, 0.8, 18]);
    expect(familyTarget(same, 0.8).target.radius).toBeGreaterThan(1);
  });
  test("thirty drinks or more use the F quantile and the plain covariance", () => {
    const family = drinks(30, 3);
    const made = familyTarget(family, 0.9);
    expect(made.target.radius).toBe(hotellingRadius(30, 0.9));
    expect(made.covariance).toEqual(covarianceMat3(family));
  });
  test("bad coverage and bad points are errors by name", () => {
    expect(() => familyTarget(drinks(6, 1), 1)).toThrow(EngineError);
    expect(() => familyTarget(drinks(6, 1), Number.NaN)).toThrow("/coverage");
    expect(() => familyTarget([...drinks(6, 1), [1, Number.NaN, 2]], 0.8)).toThrow("/points/6/acidGPer100Ml");
  });
  test("the simulated statistic is not trivially constant", () => {
    const d = simulateDistances(6, TRUTH, { shrink: true, seed: 1, replicates: 200 });
    expect(sampleQuantile(d, 0.9)).toBeGreaterThan(2 * sampleQuantile(d, 0.3));
  });
});
