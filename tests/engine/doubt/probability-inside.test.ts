import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { AXIS_SCALE } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { addScaled3 } from "../../../engine/linalg.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";
import {
  chiSquareCdf,
  normalCdf,
  normalDensity,
  normalQuantile,
  normalQuantileFast,
} from "../../../engine/stats.ts";
import { type CompiledTarget, compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, TargetSpec, Vec3 } from "../../../engine/types.ts";
import { squareRootColumns3 } from "../square-root-columns.ts";
import { anyTarget } from "../targets/arbitrary-targets.ts";
import { analyticProbability } from "./integral-probability.ts";
import { normalIntegral } from "./normal-region.ts";
import { integrate } from "./quadrature.ts";
import { probabilityInside } from "./quasi-probability.ts";
import { sobolPoints } from "./sobol-points.ts";

/** Covariance from axis-scaled standard deviations and correlations. */
function covariance(sd: Vec3, r01 = 0, r02 = 0, r12 = 0): Mat3 {
  const s: Vec3 = [sd[0] * AXIS_SCALE[0], sd[1] * AXIS_SCALE[1], sd[2] * AXIS_SCALE[2]];
  return [
    [s[0] * s[0], r01 * s[0] * s[1], r02 * s[0] * s[2]],
    [r01 * s[0] * s[1], s[1] * s[1], r12 * s[1] * s[2]],
    [r02 * s[0] * s[2], r12 * s[1] * s[2], s[2] * s[2]],
  ];
}
const MEAN: Vec3 = [8, 0.8, 18];
const NONE: Mat3 = [
  [0, 0, 0],
  [0, 0, 0],
  [0, 0, 0],
];

const number = (min: number, max: number) =>
  fc.integer({ min: 0, max: 1e6 }).map((i) => min + ((max - min) * i) / 1e6);
const doubt = fc
  .tuple(
    number(0.05, 1.5),
    number(0.05, 1.5),
    number(0.05, 1.5),
    number(-0.9, 0.9),
    number(-0.5, 0.5),
    number(-0.5, 0.5),
  )
  .map(([a, b, c, x, y, z]) => covariance([a, b, c], x * 0.6, y * 0.6, z * 0.6));

describe("against closed forms", () => {
  test("one half-space is Φ of the distance in standard deviations, exactly", () => {
    fc.assert(
      fc.property(doubt, number(-3, 3), number(-8, 8), (c, z, w) => {
        const normal: Vec3 = [1, w, 0.2];
        const sd = Math.sqrt(
          normal.reduce((s, x, i) => s + normal.reduce((t, y, j) => t + x * y * c[i]![j]!, 0), 0),
        );
        const middle = normal.reduce((s, x, i) => s + x * MEAN[i]!, 0);
        const target = compileTarget({ kind: "half-space", normal, offset: middle + z * sd });
        const { analytic, method } = analyticProbability(target, MEAN, c);
        expect(analytic).toBeCloseTo(normalCdf(z), 10);
        expect(method).toContain("exact");
      }),
      { numRuns: 100, seed: 1, endOnFailure: true },
    );
  });
  test("a box with unrelated doubts is the product over its axes", () => {
    const target = compileTarget({
      kind: "box",
      sugarGPer100Ml: [7, 10],
      acidGPer100Ml: [0.7, 1],
      abvPercent: [16, 19],
    });
    const sd: Vec3 = [0.6, 0.7, 0.5];
    const side = (low: number, high: number, k: 0 | 1 | 2) => {
      const s = sd[k] * AXIS_SCALE[k];
      return normalCdf((high - MEAN[k]) / s) - normalCdf((low - MEAN[k]) / s);
    };
    const { analytic } = analyticProbability(target, MEAN, covariance(sd));
    expect(analytic).toBeCloseTo(side(7, 10, 0) * side(0.7, 1, 1) * side(16, 19, 2), 6);
  });
  test("an orthant of three related doubts is 1/8 + Σ arcsin ρ / 4π", () => {
    const target = compileTarget({
      kind: "box",
      sugarGPer100Ml: [8, null],
      acidGPer100Ml: [0.8, null],
      abvPercent: [18, null],
    });
    for (const [r01, r02, r12] of [
      [0, 0, 0],
      [0.5, 0.3, -0.2],
      [-0.4, 0.6, 0.1],
      [0.9, 0.8, 0.7],
    ] as const) {
      const exact = 1 / 8 + (Math.asin(r01) + Math.asin(r02) + Math.asin(r12)) / (4 * Math.PI);
      expect(
        analyticProbability(target, MEAN, covariance([0.4, 0.5, 0.6], r01, r02, r12)).analytic,
      ).toBeCloseTo(exact, 6);
    }
  });
  test("an ellipsoid shaped like the doubt holds the chi-square share, wide regions and narrow ones", () => {
    const c = covariance([0.4, 0.5, 0.6], 0.3, -0.2, 0.5);
    for (const radius of [0.05, 0.5, 1, 2, 3, 5]) {
      const target = compileTarget({ kind: "ellipsoid", mean: MEAN, covariance: c, radius });
      expect(analyticProbability(target, MEAN, c).analytic).toBeCloseTo(chiSquareCdf(radius * radius, 3), 6);
    }
  });
  test("a ball larger than the reach in one dimension and cut by the walls in others loses nothing", () => {
    for (const radius of [5.9, 6.1, 6.5, 9]) {
      for (const dimension of [2, 3]) {
        const gauge = Array.from({ length: dimension }, (_, i) =>
          Array.from({ length: dimension }, (__, j) => (i === j ? radius ** -2 : 0)),
        );
        const { value } = normalIntegral({
          dimension,
          planes: [],
          quadrics: [{ mean: new Array(dimension).fill(0), gauge }],
        });
        expect(value).toBeCloseTo(chiSquareCdf(radius * radius, dimension), 7);
      }
    }
  });
  test("an ellipsoid shaped like the doubt but off its mean holds the non-central chi share", () => {
    fc.assert(
      fc.property(
        doubt,
        number(0.1, 4),
        number(0.2, 4),
        fc.tuple(number(-1, 1), number(-1, 1), number(0.2, 1)),
        (c, delta, radius, d) => {
          // A point at Mahalanobis distance δ from the mean, along some mix of the doubt's own directions.
          const columns = squareRootColumns3(c);
          const length = Math.hypot(...d);
          let mean: Vec3 = [40, 6, 50];
          const away = mean;
          columns.forEach((column, k) => {
            mean = addScaled3(mean, (delta * d[k]!) / length, column);
          });
          const target = compileTarget({ kind: "ellipsoid", mean, covariance: c, radius });
          // Three dimensions have a closed form: the length of a normal vector has density
          // (r/δ)(φ(r − δ) − φ(r + δ)), which integrates by parts.
          const exact =
            normalCdf(radius - delta) +
            normalCdf(radius + delta) -
            1 -
            (normalDensity(radius - delta) - normalDensity(radius + delta)) / delta;
          expect(analyticProbability(target, away, c).analytic).toBeCloseTo(exact, 5);
        },
      ),
      { numRuns: 60, seed: 2, endOnFailure: true },
    );
  });
});

describe("against sampling", () => {
  test("analytic and quasi-random agree on any target, within four half-widths", () => {
    let interesting = 0;
    fc.assert(
      fc.property(anyTarget, doubt, (spec: TargetSpec, c) => {
        let target: CompiledTarget;
        try {
          target = compileTarget(spec);
        } catch (error) {
          if (error instanceof EngineError) return;
          throw error;
        }
        const [low, high] = target.boundingBox;
        // Near the region's edge, where it is neither sure nor hopeless.
        const mean: Vec3 = [0, 1, 2].map(
          (k) => 0.7 * target.centre[k]! + 0.3 * Math.min(high[k]!, low[k]! + 3 * AXIS_SCALE[k]!),
        ) as unknown as Vec3;
        const p = probabilityInside(target, mean, c);
        if (p.quasi > 0.02 && p.quasi < 0.98) interesting++;
        expect(Math.abs(p.analytic - p.quasi)).toBeLessThanOrEqual(4 * p.quasiHalfWidth + p.analyticError);
        expect(p.analytic).toBeGreaterThanOrEqual(0);
        expect(p.analytic).toBeLessThanOrEqual(1);
      }),
      { numRuns: 120, seed: 31, endOnFailure: true },
    );
    expect(interesting).toBeGreaterThan(30);
  });
  test("nor do they differ in a cage of six slanted faces around the mean", () => {
    const face = fc.tuple(number(-1, 1), number(-1, 1), number(-1, 1), number(0.1, 1.5));
    fc.assert(
      fc.property(fc.array(face, { minLength: 6, maxLength: 6 }), doubt, (faces, c) => {
        const parts = faces
          .filter(([x, y, z]) => Math.hypot(x, y, z) > 0.2)
          .map(([x, y, z, distance]): TargetSpec => {
            const size = Math.hypot(x, y, z);
            const normal: Vec3 = [
              x / size / AXIS_SCALE[0],
              y / size / AXIS_SCALE[1],
              z / size / AXIS_SCALE[2],
            ];
            const offset = normal.reduce((sum, w, k) => sum + w * MEAN[k]!, distance);
            return { kind: "half-space", normal, offset };
          });
        const p = probabilityInside(compileTarget({ kind: "intersection", parts }), MEAN, c);
        expect(Math.abs(p.analytic - p.quasi)).toBeLessThanOrEqual(4 * p.quasiHalfWidth + p.analyticError);
      }),
      { numRuns: 60, seed: 8, endOnFailure: true },
    );
  });
  test("the stated half-width holds the truth about 95 times in 100 seeds", () => {
    const target = compileTarget({ kind: "ratio", min: 8, max: 12 });
    const c = covariance([0.4, 0.4, 0.4], 0.2);
    const truth = analyticProbability(target, MEAN, c).analytic;
    const held = Array.from({ length: 100 }, (_, seed) =>
      probabilityInside(target, MEAN, c, { seed }),
    ).filter((p) => Math.abs(p.quasi - truth) <= p.quasiHalfWidth).length;
    // Binomial(100, 0.95): 87 or fewer has probability 0.002.
    expect(held).toBeGreaterThanOrEqual(88);
  });
  test("the same seed gives the same answer, another seed another", () => {
    const target = compileTarget({ kind: "ratio", min: 8, max: 12 });
    const c = covariance([0.4, 0.4, 0.4]);
    expect(probabilityInside(target, MEAN, c, { seed: 7 })).toEqual(
      probabilityInside(target, MEAN, c, { seed: 7 }),
    );
    expect(probabilityInside(target, MEAN, c, { seed: 7 }).quasi).not.toBe(
      probabilityInside(target, MEAN, c, { seed: 8 }).quasi,
    );
  });
  test("plain pseudo-random draws, a third route, agree for an ellipsoid cut by a ratio band", () => {
    const target = compileTarget({
      kind: "intersection",
      parts: [
        {
          kind: "ellipsoid",
          mean: [8.5, 0.85, 17],
          covariance: covariance([0.8, 0.7, 0.6], 0.4),
          radius: 1.5,
        },
        { kind: "ratio", min: 9, max: 13 },
      ],
    });
    const c = covariance([0.5, 0.4, 0.5], 0.3, 0.1, 0.2);
    const random = seededRandom(123);
    const columns = squareRootColumns3(c);
    let inside = 0;
    const n = 100_000;
    for (let i = 0; i < n; i++) {
      let p: Vec3 = MEAN;
      for (const column of columns) p = addScaled3(p, random.normal(), column);
      if (target.contains(p)) inside++;
    }
    const { analytic } = analyticProbability(target, MEAN, c);
    expect(analytic).toBeGreaterThan(0.1);
    expect(Math.abs(inside / n - analytic)).toBeLessThan(4 * Math.sqrt((analytic * (1 - analytic)) / n));
  });
});

describe("edges", () => {
  const box = compileTarget({ kind: "box", sugarGPer100Ml: [7, 9] });
  test("no doubt at all: certainly in or certainly out", () => {
    expect(analyticProbability(box, [8, 1, 1], NONE).analytic).toBe(1);
    expect(analyticProbability(box, [9.1, 1, 1], NONE).analytic).toBe(0);
  });
  test("doubt on one axis only, across and along the target", () => {
    expect(analyticProbability(box, [9, 1, 1], covariance([0.1, 0, 0])).analytic).toBeCloseTo(0.5, 10);
    expect(analyticProbability(box, [8, 1, 1], covariance([0, 0.5, 0])).analytic).toBe(1);
    expect(analyticProbability(box, [9.5, 1, 1], covariance([0, 0.5, 0])).analytic).toBe(0);
    const ball = compileTarget({
      kind: "ellipsoid",
      mean: MEAN,
      covariance: covariance([1, 1, 1]),
      radius: 1,
    });
    expect(analyticProbability(ball, [8, 0.8, 19.5], covariance([1, 0, 0])).analytic).toBeCloseTo(
      2 * normalCdf(Math.sqrt(0.75)) - 1,
      6,
    );
  });
  test("doubts a million times smaller or larger than the target", () => {
    const ball = compileTarget({
      kind: "ellipsoid",
      mean: MEAN,
      covariance: covariance([1, 1, 1]),
      radius: 1,
    });
    expect(analyticProbability(ball, MEAN, covariance([1e-6, 1e-6, 1e-6])).analytic).toBeCloseTo(1, 9);
    expect(analyticProbability(ball, [10, 0.8, 18], covariance([1e-6, 1e-6, 1e-6])).analytic).toBeCloseTo(
      0.5,
      3,
    );
    const huge = analyticProbability(ball, MEAN, covariance([1e3, 1e3, 1e3])).analytic;
    expect(huge).toBeGreaterThanOrEqual(0);
    expect(huge).toBeLessThan(1e-8);
  });
  test("less doubt never lowers the chance at the middle of a symmetric target", () => {
    const ball = compileTarget({
      kind: "ellipsoid",
      mean: MEAN,
      covariance: covariance([1, 1, 1]),
      radius: 1,
    });
    const chances = [2, 1, 0.5, 0.25].map(
      (s) => analyticProbability(ball, MEAN, covariance([s, s, s])).analytic,
    );
    expect([...chances].sort((a, b) => a - b)).toEqual(chances);
  });
  test("NaN and impossible covariances are errors by name", () => {
    expect(() => analyticProbability(box, [Number.NaN, 1, 1], NONE)).toThrow("/mean/sugarGPer100Ml");
    expect(() =>
      analyticProbability(box, MEAN, [
        [Number.NaN, 0, 0],
        [0, 0, 0],
        [0, 0, 0],
      ]),
    ).toThrow("/covariance/0/0");
    expect(() =>
      analyticProbability(box, MEAN, [
        [-1, 0, 0],
        [0, 1, 0],
        [0, 0, 1],
      ]),
    ).toThrow("positive semi-definite");
    expect(() => probabilityInside(box, MEAN, NONE, { seed: Number.NaN })).toThrow("/seed");
  });
});

describe("the tools underneath", () => {
  test("Gauss-Kronrod is exact on polynomials and finds kinks and square-root ends", () => {
    expect(integrate((x) => 5 * x ** 4, [0, 1], 1e-9).value).toBeCloseTo(1, 12);
    expect(integrate((x) => Math.abs(x - 0.3), [0, 1], 1e-9).value).toBeCloseTo(0.29, 8);
    expect(integrate((x) => Math.sqrt(1 - x * x), [-1, 1], 1e-9).value).toBeCloseTo(Math.PI / 2, 9);
    expect(integrate(() => 1, [2, 2], 1e-9).value).toBe(0);
  });
  test("the Sobol sequence starts as published and fills every dyadic cell evenly", () => {
    const plain = sobolPoints(4, [0, 0, 0]).map((p) => p.map((x) => Number(x.toFixed(6))));
    expect(plain).toEqual([
      [0, 0, 0],
      [0.5, 0.5, 0.5],
      [0.75, 0.25, 0.25],
      [0.25, 0.75, 0.75],
    ]);
    for (const shift of [
      [0, 0, 0],
      [123456789, 987654321, 555555555],
    ] as const) {
      for (const [i, j] of [
        [0, 1],
        [0, 2],
        [1, 2],
      ] as const) {
        const cells = new Map<string, number>();
        // 256 points, 4 × 4 cells: each pair of the first three dimensions is evenly spread at this depth.
        for (const p of sobolPoints(256, shift)) {
          const key = `${Math.floor(p[i] * 4)},${Math.floor(p[j] * 4)}`;
          cells.set(key, (cells.get(key) ?? 0) + 1);
        }
        expect([...cells.values()]).toEqual(new Array(16).fill(16));
      }
    }
  });
  test("the fast normal quantile is good to 1.2e-9 relative", () => {
    for (let k = 1; k < 2000; k++) {
      const p = k / 2000;
      expect(Math.abs(normalQuantileFast(p) - normalQuantile(p))).toBeLessThanOrEqual(
        1.2e-9 * Math.abs(normalQuantile(p)) + 1e-15,
      );
    }
    expect(normalQuantileFast(1e-10)).toBeCloseTo(normalQuantile(1e-10), 7);
  });
  test("random numbers repeat by seed, and look uniform and normal", () => {
    const [a, b] = [seededRandom(5), seededRandom(5)];
    const draws = Array.from({ length: 20000 }, () => a.uniform());
    expect(draws.slice(0, 50)).toEqual(Array.from({ length: 50 }, () => b.uniform()));
    // Chi-square over 20 bins: 19 degrees of freedom, 43.8 is the 99.9 % point.
    const bins = new Array<number>(20).fill(0);
    for (const x of draws) bins[Math.floor(x * 20)]!++;
    expect(bins.reduce((s, n) => s + (n - 1000) ** 2 / 1000, 0)).toBeLessThan(43.8);
    const normals = Array.from({ length: 20000 }, () => a.normal());
    const mean = normals.reduce((s, x) => s + x, 0) / 20000;
    expect(Math.abs(mean)).toBeLessThan(4 / Math.sqrt(20000));
    expect(Math.abs(normals.reduce((s, x) => s + x * x, 0) / 20000 - 1)).toBeLessThan(
      4 * Math.sqrt(2 / 20000),
    );
  });
});
