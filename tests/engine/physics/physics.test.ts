import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { EngineError } from "../../../engine/errors.ts";
import {
  abvPercentToMassFraction,
  dilutionWaterMl,
  ethanolWaterDensity20KgPerM3,
  ethanolWaterDensityKgPerM3,
  ethanolWaterDensitySlope20KgPerM3,
  ethanolWaterVolumeMl,
  massFractionToAbvPercent,
} from "../../../engine/physics/ethanol-water.ts";
import { findRoot } from "../../../engine/physics/find-root.ts";
import { freezingPointC } from "../../../engine/physics/freezing.ts";
import { drinkHeatCapacityJPerK, excessEnthalpyJ } from "../../../engine/physics/heat.ts";
import {
  sucroseDensityKgPerM3,
  sugarApparentVolume,
  sugarApparentVolumeMl,
} from "../../../engine/physics/sucrose-water.ts";
import { tabulated } from "../../../engine/physics/tabulated.ts";

const unit = fc.double({ min: 0, max: 1, noNaN: true });

describe("findRoot", () => {
  test.each([
    ["√2", (x: number) => x * x - 2, 0, 2, Math.SQRT2],
    ["Dottie's number", (x: number) => Math.cos(x) - x, 0, 1, 0.7390851332151607],
    ["a flat triple root", (x: number) => (x - 0.3) ** 3, -1, 4, 0.3],
    ["a step", (x: number) => (x < 0.123 ? -1 : 1), 0, 1, 0.123],
  ])("finds %s", (_name, f, lo, hi, root) => {
    expect(Math.abs(findRoot(f, lo, hi) - root)).toBeLessThan(1e-11);
  });
  test("takes either orientation and an end that is the root", () => {
    expect(findRoot((x) => 1 - x, 3, 0)).toBeCloseTo(1, 12);
    expect(findRoot((x) => x, 0, 1)).toBe(0);
  });
  test("uses far fewer steps than bisection on smooth functions", () => {
    let calls = 0;
    const f = (x: number) => {
      calls += 1;
      return Math.exp(x) - 5;
    };
    findRoot(f, 0, 10, 1e-14);
    expect(calls).toBeLessThan(18);
  });
  test("refuses a bracket without a sign change, and NaN", () => {
    expect(() => findRoot((x) => x + 2, 0, 1)).toThrow(RangeError);
    expect(() => findRoot(() => Number.NaN, 0, 1)).toThrow(RangeError);
  });
});

describe("tabulated", () => {
  const f = tabulated([0, 1, 3, 4], [0, 2, 1, 5]);
  test("goes through its knots, smoothly, and straight beyond the ends", () => {
    expect([0, 1, 3, 4].map(f)).toEqual([0, 2, 1, 5]);
    for (const x of [1, 3]) {
      const h = 1e-6;
      expect(Math.abs((f(x + h) - f(x)) / h - (f(x) - f(x - h)) / h)).toBeLessThan(1e-4);
    }
    expect(f(6) - f(5)).toBeCloseTo(f(5) - f(4), 9);
    expect(f(-2) - f(-1)).toBeCloseTo(f(-1) - f(0), 9);
  });
  test("reproduces a parabola exactly inside", () => {
    const square = tabulated([0, 1, 2.5, 4, 7], [0, 1, 6.25, 16, 49]);
    for (const x of [1.2, 2, 3.3, 3.9]) expect(square(x)).toBeCloseTo(x * x, 12);
  });
});

describe("ethanol–water", () => {
  test("strength and mass fraction are each other's inverse, over the whole range", () => {
    fc.assert(
      fc.property(unit, (u) => {
        expect(massFractionToAbvPercent(abvPercentToMassFraction(100 * u))).toBeCloseTo(100 * u, 10);
      }),
    );
    expect(abvPercentToMassFraction(0)).toBe(0);
    expect(abvPercentToMassFraction(100)).toBe(1);
  });
  test("strength rises with mass fraction", () => {
    for (let p = 0; p < 1; p += 0.001) {
      expect(massFractionToAbvPercent(Math.min(p + 0.001, 1))).toBeGreaterThan(massFractionToAbvPercent(p));
    }
  });
  test("the slope is the derivative, and the fast form is the general one at 20 °C", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 0.999, noNaN: true }), (p) => {
        const h = 1e-5;
        const slope = (ethanolWaterDensity20KgPerM3(p + h) - ethanolWaterDensity20KgPerM3(p - h)) / (2 * h);
        expect(Math.abs(slope - ethanolWaterDensitySlope20KgPerM3(p))).toBeLessThan(0.01);
        expect(ethanolWaterDensity20KgPerM3(p)).toBe(ethanolWaterDensityKgPerM3(p, 20));
      }),
    );
  });
  test("final volume on dilution is V·q1/q2 to the last digit, whatever contracts", () => {
    const water = dilutionWaterMl(700, 63, 43);
    const p = abvPercentToMassFraction(63);
    const g = 0.7 * ethanolWaterDensityKgPerM3(p);
    expect(ethanolWaterVolumeMl(g * p, g * (1 - p) + water * 0.99820123)).toBeCloseTo((700 * 63) / 43, 8);
  });
  test.each([
    [() => ethanolWaterDensityKgPerM3(1.01), "/massFraction"],
    [() => ethanolWaterDensityKgPerM3(Number.NaN), "/massFraction"],
    [() => ethanolWaterDensityKgPerM3(0.2, 41), "/tempC"],
    [() => abvPercentToMassFraction(-1), "/abvPercent"],
    [() => dilutionWaterMl(100, 40, 45), "/toAbvPercent"],
    [() => sucroseDensityKgPerM3(-0.1), "/massFraction"],
    [() => sucroseDensityKgPerM3(0.1, 99), "/tempC"],
  ])("refuses what is out of range, case %#", (call, pointer) => {
    expect(call).toThrow(EngineError);
    expect(call).toThrow(pointer);
  });
});

describe("sucrose–water", () => {
  test("apparent volume per gram runs from 0.615 (dilute) to 0.630 mL/g (2:1), with its exact slopes", () => {
    expect(sugarApparentVolumeMl(1, 99)).toBeCloseTo(0.615, 3);
    expect(sugarApparentVolumeMl(200, 100) / 200).toBeCloseTo(0.63, 3);
    const at = sugarApparentVolume(30, 70);
    expect(at.ml).toBeCloseTo(sugarApparentVolumeMl(30, 70), 12);
    const h = 1e-4;
    expect((sugarApparentVolumeMl(30 + h, 70) - sugarApparentVolumeMl(30 - h, 70)) / (2 * h)).toBeCloseTo(
      at.perSugarG,
      7,
    );
    expect((sugarApparentVolumeMl(30, 70 + h) - sugarApparentVolumeMl(30, 70 - h)) / (2 * h)).toBeCloseTo(
      at.perWaterG,
      7,
    );
  });
});

describe("freezing and heat", () => {
  test("water freezes at 0 °C; each solute lowers it, and together they lower it by the sum", () => {
    expect(freezingPointC(0, 100, 0, 0)).toBeCloseTo(0, 12);
    const [e, s, a] = [
      freezingPointC(15, 100, 0, 0),
      freezingPointC(0, 100, 12, 0),
      freezingPointC(0, 100, 0, 1),
    ];
    expect(Math.max(e, s, a)).toBeLessThan(0);
    expect(freezingPointC(15, 100, 12, 1)).toBeCloseTo(e + s + a, 12);
  });
  test("diluting always raises the freezing point", () => {
    let last = Number.NEGATIVE_INFINITY;
    for (let w = 40; w < 400; w += 5) {
      const t = freezingPointC(20, w, 15, 1);
      expect(t).toBeGreaterThan(last);
      last = t;
    }
  });
  test("heat of mixing is nothing for pure liquids, scales with amount, and is never taken up at 25 °C", () => {
    expect(excessEnthalpyJ(50, 0)).toBeCloseTo(0, 9);
    expect(excessEnthalpyJ(0, 50)).toBe(0);
    expect(excessEnthalpyJ(0, 0)).toBe(0);
    expect(excessEnthalpyJ(20, 60)).toBeCloseTo(2 * excessEnthalpyJ(10, 30), 9);
    for (let p = 0.01; p < 1; p += 0.01) expect(excessEnthalpyJ(p, 1 - p)).toBeLessThan(0);
  });
  test("a drink without liquid still has a finite heat capacity", () => {
    expect(drinkHeatCapacityJPerK(0, 0, 10, 20)).toBeCloseTo(18.23, 6);
  });
});
