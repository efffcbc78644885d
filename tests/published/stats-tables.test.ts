/**
 * Distribution quantiles against printed tables, to the digits printed.
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, sections 1.3.6.7.1 (normal), 1.3.6.7.2 (t),
 * 1.3.6.7.3 (F, 5 % and 1 % upper points), 1.3.6.7.4 (chi-square). Values recalled from memory, not read.
 */
import { describe, expect, test } from "vitest";
import { chiSquareQuantile, fQuantile, normalCdf, tQuantile } from "../../engine/stats.ts";

describe("NIST/SEMATECH e-Handbook tables", () => {
  test.each([
    [0.5, 0.69146],
    [1.0, 0.84134],
    [1.64, 0.9495],
    [1.96, 0.975],
    [3.0, 0.99865],
  ])("normal: area below %d is %d", (z, area) => {
    expect(Math.abs(normalCdf(z) - area)).toBeLessThanOrEqual(0.5e-5 + 1e-12);
  });
  test.each([
    [0.95, 1, 6.314],
    [0.975, 1, 12.706],
    [0.975, 4, 2.776],
    [0.975, 10, 2.228],
    [0.99, 20, 2.528],
    [0.95, 30, 1.697],
    [0.999, 5, 5.893],
  ])("t: %d point, %i degrees of freedom, is %d", (p, df, value) => {
    expect(Math.abs(tQuantile(p, df) - value)).toBeLessThanOrEqual(0.5e-3 + 1e-9);
  });
  test.each([
    [0.95, 1, 3.841],
    [0.95, 3, 7.815],
    [0.99, 3, 11.345],
    [0.9, 10, 15.987],
    [0.95, 30, 43.773],
    [0.05, 10, 3.94],
  ])("chi-square: %d point, %i degrees of freedom, is %d", (p, df, value) => {
    expect(Math.abs(chiSquareQuantile(p, df) - value)).toBeLessThanOrEqual(0.5e-3 + 1e-9);
  });
  test.each([
    [0.95, 1, 1, 161.448],
    [0.95, 3, 1, 215.707],
    [0.95, 3, 7, 4.347],
    [0.95, 3, 17, 3.197],
    [0.95, 10, 20, 2.348],
    [0.99, 3, 10, 6.552],
    [0.99, 5, 5, 10.967],
  ])("F: %d point, %i and %i degrees of freedom, is %d", (p, df1, df2, value) => {
    expect(Math.abs(fQuantile(p, df1, df2) - value)).toBeLessThanOrEqual(0.5e-3 + 1e-9);
  });
});
