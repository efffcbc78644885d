/**
 * A worked example in three variables: sweat rate, sodium and potassium of 20 people. R. A. Johnson and
 * D. W. Wichern, Applied Multivariate Statistical Analysis, examples 5.2 and table 5.1 (data and printed
 * answers recalled from memory; that the data give the printed mean, covariance and T² is itself the check).
 */
import { expect, test } from "vitest";
import { invert3, quadForm, subtract3 } from "../../engine/linalg.ts";
import { covarianceMat3, fQuantile, meanVec3 } from "../../engine/stats.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import type { Vec3 } from "../../engine/types.ts";
import { hotellingRadius } from "../engine/targets/hotelling-radius.ts";

const SWEAT: Vec3[] = [
  [3.7, 48.5, 9.3],
  [5.7, 65.1, 8.0],
  [3.8, 47.2, 10.9],
  [3.2, 53.2, 12.0],
  [3.1, 55.5, 9.7],
  [4.6, 36.1, 7.9],
  [2.4, 24.8, 14.0],
  [7.2, 33.1, 7.6],
  [6.7, 47.4, 8.5],
  [5.4, 54.1, 11.3],
  [3.9, 36.9, 12.7],
  [4.5, 58.8, 12.3],
  [3.5, 27.8, 9.8],
  [4.5, 40.2, 8.4],
  [1.5, 13.5, 10.1],
  [8.5, 56.4, 7.1],
  [4.5, 71.6, 8.2],
  [6.5, 52.8, 10.9],
  [4.1, 44.1, 11.2],
  [5.5, 40.9, 9.4],
];
const HYPOTHESIS: Vec3 = [4, 50, 10];

test("the printed mean and covariance", () => {
  const printedMean = [4.64, 45.4, 9.965];
  meanVec3(SWEAT).forEach((x, i) => {
    expect(x).toBeCloseTo(printedMean[i]!, 10);
  });
  // As we recall it the book prints −1.810 for sweat with potassium, where its own data give −1.809.
  const printed = [
    [2.879, 10.01, -1.809],
    [10.01, 199.788, -5.64],
    [-1.809, -5.64, 3.628],
  ];
  covarianceMat3(SWEAT).forEach((row, i) => {
    row.forEach((x, j) => {
      expect(Math.abs(x - printed[i]![j]!)).toBeLessThanOrEqual(0.5e-3 + 1e-9);
    });
  });
});

test("Hotelling's T² is 9.74 and its 90 % critical value 8.18", () => {
  const d = subtract3(meanVec3(SWEAT), HYPOTHESIS);
  const t2 = 20 * quadForm(invert3(covarianceMat3(SWEAT))!, d);
  expect(t2).toBeCloseTo(9.74, 2);
  // The book multiplies the rounded F of 2.44; the exact product is 8.1726.
  expect(Math.abs(((19 * 3) / 17) * fQuantile(0.9, 3, 17) - 8.18)).toBeLessThan(0.01);
});

test("the same T² as a Mahalanobis distance of an ellipsoid target, and the prediction radius of n = 20", () => {
  const target = compileTarget({
    kind: "ellipsoid",
    mean: meanVec3(SWEAT),
    covariance: covarianceMat3(SWEAT),
    radius: 1,
  });
  expect(20 * target.membership(HYPOTHESIS).mahalanobis! ** 2).toBeCloseTo(9.74, 2);
  // (n+1)(n−1)p/(n(n−p)) F = 21·19·3/(20·17) · F(0.90; 3, 17).
  expect(hotellingRadius(20, 0.9) ** 2).toBeCloseTo(((21 * 19 * 3) / 340) * 2.4374, 2);
});
