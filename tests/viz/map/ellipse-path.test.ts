import { randomLcg, randomNormal } from "d3";
import { describe, expect, test } from "vitest";
import type { Mat3 } from "../../../engine/types.ts";
import { ellipseInPixels, ellipsePath, ellipseShape } from "../../../viz/map/ellipse-path.ts";

describe("uncertainty ellipses", () => {
  test("of the unit covariance have the radius of the chi-square table for two degrees of freedom", () => {
    // χ² with 2 degrees of freedom: 5.991 at 0.95 and 9.210 at 0.99 (NIST/SEMATECH e-Handbook of Statistical
    // Methods, 1.3.6.7.4, critical values; values from memory).
    expect(ellipseShape(1, 0, 1, 0.95)!.rx ** 2).toBeCloseTo(5.991, 3);
    expect(ellipseShape(1, 0, 1, 0.99)!.ry ** 2).toBeCloseTo(9.21, 2);
  });

  test("lie along the line of a strong correlation, and upright for an independent pair", () => {
    const tilted = ellipseShape(1, 0.9, 1, 0.68)!;
    expect(tilted.angle).toBeCloseTo(Math.PI / 4, 9);
    expect((tilted.rx / tilted.ry) ** 2).toBeCloseTo(1.9 / 0.1, 6);
    const upright = ellipseShape(1, 0, 4, 0.68)!;
    expect(Math.abs(Math.sin(upright.angle))).toBeCloseTo(1, 9);
    expect(upright.rx / upright.ry).toBeCloseTo(2, 9);
  });

  test("hold the share of draws they are named for", () => {
    const normal = randomNormal.source(randomLcg(0.42))();
    const [a, b, c] = [2, -0.9, 0.7];
    const [l11, l21] = [Math.sqrt(a), b / Math.sqrt(a)];
    const l22 = Math.sqrt(c - l21 * l21);
    for (const mass of [0.68, 0.95]) {
      const { rx, ry, angle } = ellipseShape(a, b, c, mass)!;
      let inside = 0;
      const n = 20_000;
      for (let i = 0; i < n; i += 1) {
        const [z1, z2] = [normal(), normal()];
        const [x, y] = [l11 * z1, l21 * z1 + l22 * z2];
        const u = (x * Math.cos(angle) + y * Math.sin(angle)) / rx;
        const v = (y * Math.cos(angle) - x * Math.sin(angle)) / ry;
        if (u * u + v * v <= 1) inside += 1;
      }
      // Three binomial standard errors.
      expect(Math.abs(inside / n - mass)).toBeLessThan(3 * Math.sqrt((mass * (1 - mass)) / n));
    }
  });

  test("turn over with the y axis: pixels grow downwards", () => {
    const covariance: Mat3 = [
      [4, 1, 0],
      [1, 1, 0],
      [0, 0, 9],
    ];
    const shape = ellipseInPixels(covariance, 0, 1, 10, -10, 0.68)!;
    expect(shape.angle).toBeLessThan(0);
    expect(shape.rx).toBeCloseTo(10 * ellipseShape(4, 1, 1, 0.68)!.rx, 9);
  });

  test("do not exist where the doubt is unknown, nonsense or not a number", () => {
    expect(ellipseShape(0, 0, 0, 0.68)).toBeNull();
    expect(ellipseShape(1, 2, 1, 0.68)).toBeNull();
    expect(ellipseShape(Number.NaN, 0, 1, 0.68)).toBeNull();
  });

  test("flatten to a line when only one direction is in doubt", () => {
    const shape = ellipseShape(1, 1, 1, 0.68)!;
    expect(shape.ry).toBeCloseTo(0, 6);
    expect(shape.rx).toBeGreaterThan(1);
  });

  test("are drawn from one end of the long axis to the other and back", () => {
    const path = ellipsePath(100, 50, { rx: 20, ry: 5, angle: 0 });
    expect(path).toBe("M80.00,50.00A20.00,5.00 0.00 0 1 120.00,50.00A20.00,5.00 0.00 0 1 80.00,50.00Z");
  });
});
