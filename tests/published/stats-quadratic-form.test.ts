/**
 * Probability of an ellipsoid against the printed distribution of a quadratic form in normal variables:
 * J. P. Imhof, "Computing the distribution of quadratic forms in normal variables", Biometrika 48 (1961),
 * table 1, form Q1 = 0.6 χ²₁ + 0.3 χ²₁ + 0.1 χ²₁ (values recalled from memory, to the four digits printed).
 */
import { expect, test } from "vitest";
import { AXIS_SCALE } from "../../engine/axes.ts";
import { probabilityInside } from "../../engine/doubt/probability-inside.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import type { Mat3, Vec3 } from "../../engine/types.ts";

const diagonal = (d: Vec3): Mat3 => [
  [d[0] * AXIS_SCALE[0] ** 2, 0, 0],
  [0, d[1] * AXIS_SCALE[1] ** 2, 0],
  [0, 0, d[2] * AXIS_SCALE[2] ** 2],
];

test.each([
  [0.1, 0.9458],
  [0.7, 0.5064],
  [2.0, 0.124],
])("P(Q1 > %d) is %d", (x, printed) => {
  const mean: Vec3 = [20, 2, 30];
  const target = compileTarget({
    kind: "ellipsoid",
    mean,
    covariance: diagonal([1, 1, 1]),
    radius: Math.sqrt(x),
  });
  const outside = 1 - probabilityInside(target, mean, diagonal([0.6, 0.3, 0.1]));
  expect(Math.abs(outside - printed)).toBeLessThanOrEqual(0.5e-4 + 1e-6);
});
