import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { chanceAtLeast } from "../../../engine/doubt/chance-at-least.ts";
import { probabilityInside } from "../../../engine/doubt/probability-inside.ts";
import { type CompiledTarget, compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, TargetSpec, Vec3 } from "../../../engine/types.ts";
import { anyTarget } from "../targets/arbitrary-targets.ts";
import { analyticProbability } from "./integral-probability.ts";

const targets: TargetSpec[] = [
  { kind: "box", sugarGPer100Ml: [6, 10], acidGPer100Ml: [0.6, 1.1], abvPercent: [12, 18] },
  { kind: "box", acidGPer100Ml: [0.7, null] },
  { kind: "ratio", min: 7, max: 11 },
  {
    kind: "ellipsoid",
    mean: [8, 0.9, 15.5],
    covariance: [
      [1.2, 0, 0.2],
      [0, 0.022, -0.07],
      [0.2, -0.07, 2],
    ],
    radius: 2.5,
  },
  {
    kind: "intersection",
    parts: [
      { kind: "box", abvPercent: [13, 17] },
      { kind: "ratio", min: 6, max: 12 },
    ],
  },
];

/** A covariance from a random lower triangle, at the size of a drink's doubts. */
const covariance = fc
  .tuple(...Array.from({ length: 6 }, () => fc.double({ min: -1, max: 1, noNaN: true })))
  .map(([a, b, c, d, e, f]): Mat3 => {
    const rows = [
      [0.5 * a! + 0.05, 0, 0],
      [0.05 * b!, 0.06 * c! + 0.005, 0],
      [0.4 * d!, 0.4 * e!, 0.6 * f! + 0.05],
    ];
    return rows.map((r) => rows.map((q) => r.reduce((s, x, k) => s + x * q[k]!, 0))) as unknown as Mat3;
  });
const mean = fc.tuple(
  fc.double({ min: 5, max: 11, noNaN: true }),
  fc.double({ min: 0.5, max: 1.2, noNaN: true }),
  fc.double({ min: 11, max: 19, noNaN: true }),
);

describe("a chance of at least so much", () => {
  test("agrees with the probability, which it replaces where the answer is clear", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...targets.map((t) => compileTarget(t))),
        mean,
        covariance,
        fc.double({ min: 0.05, max: 0.98, noNaN: true }),
        (target, at, cov, chance) => {
          const exact = probabilityInside(target, at as Vec3, cov);
          // Bounds and probability may differ by the latter's error.
          if (Math.abs(exact - chance) < 5e-4) return;
          expect(chanceAtLeast(target, at as Vec3, cov, chance)).toBe(exact >= chance);
        },
      ),
      { numRuns: 2_000 },
    );
  });

  test("the mean over directions is within 5e-4 of the integral, and 1e-4 for most", () => {
    const errors: number[] = [];
    fc.assert(
      fc.property(anyTarget, mean, covariance, (spec, at, cov) => {
        let target: CompiledTarget;
        try {
          target = compileTarget(spec);
        } catch {
          return;
        }
        const { analytic, method } = analyticProbability(target, at as Vec3, cov);
        if (!method.startsWith("normal integrated")) return;
        const error = Math.abs(probabilityInside(target, at as Vec3, cov) - analytic);
        expect(error).toBeLessThan(5e-4);
        errors.push(error);
      }),
      { numRuns: 500, seed: 4 },
    );
    expect(errors.length).toBeGreaterThan(80);
    errors.sort((a, b) => a - b);
    expect(errors[Math.floor(0.9 * errors.length)]!).toBeLessThan(1e-4);
  });

  test("a certain point is inside or not", () => {
    const box = compileTarget(targets[0]!);
    const none: Mat3 = [
      [0, 0, 0],
      [0, 0, 0],
      [0, 0, 0],
    ];
    expect(chanceAtLeast(box, [8, 0.8, 15], none, 0.99)).toBe(true);
    expect(chanceAtLeast(box, [8, 0.5, 15], none, 0.01)).toBe(false);
  });
});
