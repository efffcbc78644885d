import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { EngineError } from "../../engine/errors.ts";
import {
  chiSquareCdf,
  chiSquareQuantile,
  covarianceMat3,
  fCdf,
  fQuantile,
  incompleteBeta,
  incompleteGamma,
  mean,
  meanVec3,
  normalCdf,
  normalQuantile,
  tQuantile,
} from "../../engine/stats.ts";
import type { Vec3 } from "../../engine/types.ts";
import { tCdf } from "./student-t.ts";

const probability = fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true });
const df = fc.double({ min: 0.5, max: 300, noNaN: true });

describe("bad input is refused, never waited on or passed through", () => {
  test.each([
    ["a NaN value among good ones", () => mean([1, Number.NaN, 3])],
    ["no values", () => mean([])],
    ["an infinite value", () => mean([1, Infinity])],
    ["one point for a covariance", () => covarianceMat3([[1, 2, 3]])],
    ["a probability of 1", () => normalQuantile(1)],
    ["a probability of 0", () => fQuantile(0, 3, 4)],
    ["no degrees of freedom", () => tQuantile(0.5, 0)],
    ["NaN degrees of freedom", () => chiSquareQuantile(0.5, Number.NaN)],
    ["NaN to the normal", () => normalCdf(Number.NaN)],
  ])("%s", (_what, run) => {
    expect(run).toThrow(EngineError);
  });
});

describe("samples", () => {
  test("covariance: shift changes nothing, scale squares, symmetric", () => {
    const points: Vec3[] = [
      [1, 2, 3],
      [2, 1, 5],
      [4, 4, 4],
      [0, 3, 9],
    ];
    const c = covarianceMat3(points);
    const moved = covarianceMat3(points.map((p): Vec3 => [p[0] + 10, p[1] * 3, p[2]]));
    expect(moved[0][0]).toBeCloseTo(c[0][0], 12);
    expect(moved[1][1]).toBeCloseTo(9 * c[1][1], 12);
    expect(c[0][1]).toBe(c[1][0]);
    expect(meanVec3(points)).toEqual([1.75, 2.5, 5.25]);
  });
});

describe("distributions", () => {
  test("every quantile inverts its distribution function", () => {
    fc.assert(
      fc.property(probability, df, df, (p, a, b) => {
        expect(normalCdf(normalQuantile(p))).toBeCloseTo(p, 12);
        expect(chiSquareCdf(chiSquareQuantile(p, a), a)).toBeCloseTo(p, 10);
        expect(fCdf(fQuantile(p, a, b), a, b)).toBeCloseTo(p, 10);
        expect(tCdf(tQuantile(p, a), a)).toBeCloseTo(p, 10);
      }),
    );
  });
  test("identities: Φ² against chi-square, t² against F, F of reversed degrees, exponential and Cauchy", () => {
    fc.assert(
      fc.property(probability, df, df, (p, a, b) => {
        const z = normalQuantile(0.5 + p / 2);
        expect(chiSquareQuantile(p, 1) / (z * z)).toBeCloseTo(1, 9);
        expect(tQuantile(0.5 + p / 2, a) ** 2 / fQuantile(p, 1, a)).toBeCloseTo(1, 9);
        expect(fQuantile(p, a, b) * fQuantile(1 - p, b, a)).toBeCloseTo(1, 6);
        expect(chiSquareQuantile(p, 2) / (-2 * Math.log1p(-p))).toBeCloseTo(1, 9);
        expect(tQuantile(p, 1)).toBeCloseTo(Math.tan(Math.PI * (p - 0.5)), -2);
        expect(incompleteBeta(a, b, 0.3) + incompleteBeta(b, a, 0.7)).toBeCloseTo(1, 12);
        const { lower, upper } = incompleteGamma(a, b);
        expect(lower + upper).toBe(1);
      }),
    );
  });
  test("the normal tail keeps its digits: Φ(−10) = 7.61985e−24 (SciPy 1.17: 7.61985302416e-24)", () => {
    expect(normalCdf(-10) / 7.61985302416e-24).toBeCloseTo(1, 9);
    expect(normalCdf(-Infinity)).toBe(0);
    expect(normalCdf(Infinity)).toBe(1);
  });
});
