import { describe, expect, test } from "vitest";
import { calibrate, measuredRounds } from "../../../engine/dilution/calibrate.ts";
import { METHODS } from "../../../engine/dilution/methods.ts";
import { createMixModel, mixStageTotals } from "../../../engine/dilution/model.ts";
import { curveRatioSd, regressionRatio } from "../../../engine/dilution/regression.ts";
import { EngineError } from "../../../engine/errors.ts";
import { coefficientsOf } from "../../../engine/mix/coefficients.ts";
import type { Method } from "../../../engine/types.ts";
import { ingredient, lime, rum, soda, syrup } from "../mix/pantry.ts";

describe("methods", () => {
  const methods = Object.keys(METHODS) as Method[];
  test("every method's curve gives water of 0 or more at every strength, and says where it comes from", () => {
    for (const method of methods) {
      const m = METHODS[method];
      expect(m.source.length).toBeGreaterThan(10);
      for (let e = 0; e <= 1; e += 0.01) expect(regressionRatio(method, e)).toBeGreaterThanOrEqual(0);
      if (m.kind === "estimate") {
        expect(m.source).toContain("estimate");
        expect(m.sd).toBeGreaterThan(m.regression.a0 * 0.25);
      }
    }
  });
  test("the doubt is the evidence's at 10–50 % vol and grows beyond", () => {
    for (const method of ["shaken", "stirred"] as const) {
      expect([0.1, 0.25, 0.5].map((e) => curveRatioSd(method, e))).toEqual([0.08, 0.08, 0.08]);
      expect(curveRatioSd(method, 0)).toBeCloseTo(0.128, 3);
      expect(curveRatioSd(method, 0.57)).toBeGreaterThan(0.2);
    }
    expect(curveRatioSd("none", 0)).toBe(0);
  });
  test("only shaken and stirred call themselves published", () => {
    expect(methods.filter((m) => METHODS[m].kind === "published").sort()).toEqual(["shaken", "stirred"]);
  });
});

describe("createMixModel", () => {
  const items = [rum, syrup, lime].map((i) => ({ ingredient: i, stage: "mix" as const }));
  const pours = [60, 22.5, 22.5];

  test("regression water is the stated quadratic of additive strength", () => {
    const f = createMixModel(items, "shaken").finish(pours);
    const e = 24 / 105;
    expect(f.waterMl).toBeCloseTo((-1.567 * e * e + 1.742 * e + 0.203) * 105, 9);
    expect(f.ratio).toBeCloseTo(f.waterMl / 105, 12);
  });

  test("a calibration multiplies the model's water", () => {
    const plain = createMixModel(items, "shaken").finish(pours);
    for (const model of ["regression", "energy"] as const) {
      const raw = createMixModel(items, "shaken", { model }).finish(pours);
      const own = createMixModel(items, "shaken", { model, calibration: { factor: 0.9, sd: 0.05, n: 3 } });
      expect(own.finish(pours).waterMl).toBeCloseTo(0.9 * raw.waterMl, 9);
    }
    expect(plain.waterMl).toBeGreaterThan(0);
  });

  test("topped lines take no melt water and do not change it", () => {
    const with_ = createMixModel([...items, { ingredient: soda, stage: "top" }], "shaken");
    const mixed = createMixModel([...items, { ingredient: soda, stage: "mix" }], "shaken");
    const base = createMixModel(items, "shaken").finish(pours);
    expect(with_.finish([...pours, 60]).waterMl).toBe(base.waterMl);
    expect(mixed.finish([...pours, 60]).waterMl).toBeGreaterThan(base.waterMl);
  });

  test.each(["finishedVolumeMl", "finishedMassG", "waterMl"] as const)(
    "a measured %s is reproduced exactly, topped lines included",
    (key) => {
      const all = [...items, { ingredient: soda, stage: "top" as const }];
      const v = [...pours, 30];
      const value = key === "waterMl" ? 48 : 190;
      const f = createMixModel(all, "shaken", { model: "measured", [key]: value }, v).finish(v);
      const got = { finishedVolumeMl: f.finishedVolumeMl, finishedMassG: f.totals.massG, waterMl: f.waterMl };
      expect(got[key]).toBeCloseTo(value, 8);
    },
  );

  test("none adds no water; a drink of topped lines only takes none either", () => {
    expect(createMixModel(items, "none").finish(pours).waterMl).toBe(0);
    expect(createMixModel([{ ingredient: soda, stage: "top" }], "shaken").finish([100]).waterMl).toBe(0);
  });

  test.each([
    ["nothing poured", () => createMixModel(items, "shaken").finish([0, 0, 0]), "/lines"],
    ["a negative pour", () => createMixModel(items, "shaken").finish([60, -1, 20]), "/lines/1/amount"],
    ["a missing pour", () => createMixModel(items, "shaken").finish([60, 20]), "/lines/2/amount"],
    [
      "a pour that is no number",
      () => createMixModel(items, "shaken").finish([Number.NaN, 1, 1]),
      "/lines/0/amount",
    ],
    ["energy for blended", () => createMixModel(items, "blended", { model: "energy" }), "/dilution/model"],
    [
      "measured without pours",
      () => createMixModel(items, "shaken", { model: "measured", waterMl: 40 }),
      "/dilution",
    ],
    [
      "two measurements",
      () => createMixModel(items, "shaken", { model: "measured", waterMl: 40, finishedMassG: 150 }, pours),
      "/dilution",
    ],
    [
      "a glass smaller than the pours",
      () => createMixModel(items, "shaken", { model: "measured", finishedVolumeMl: 90 }, pours),
      "/dilution/finishedVolumeMl",
    ],
    [
      "a calibration of 0",
      () => createMixModel(items, "shaken", { model: "regression", calibration: { factor: 0, sd: 0, n: 1 } }),
      "/dilution/calibration/factor",
    ],
  ])("refuses %s", (_what, call, pointer) => {
    expect(call).toThrow(EngineError);
    expect(call).toThrow(pointer);
  });

  test("mixStageTotals leaves out what is topped", () => {
    const c = [rum, soda].map(coefficientsOf);
    expect(mixStageTotals(c, ["mix", "top"], [60, 100]).pouredMl).toBe(60);
  });
});

describe("calibrate", () => {
  const rounds = (ratio: number, n: number) =>
    Array.from({ length: n }, () => ({ measuredWaterMl: 50 * ratio, modelWaterMl: 50 }));
  test("one round pulls the factor most of the way, many pull it all the way", () => {
    const [one, many] = [calibrate(rounds(0.85, 1)), calibrate(rounds(0.85, 30))];
    expect(one.factor).toBeGreaterThan(0.85);
    expect(one.factor).toBeLessThan(0.9);
    expect(many.factor).toBeCloseTo(0.85, 2);
    expect(many.n).toBe(30);
  });
  test("uncertainty falls with rounds and rises with scatter", () => {
    const steady = calibrate(rounds(1, 6)).sd;
    expect(steady).toBeLessThan(calibrate(rounds(1, 1)).sd);
    const wild = [0.7, 1.3, 0.8, 1.2, 0.9, 1.1].map((r) => ({ measuredWaterMl: 50 * r, modelWaterMl: 50 }));
    expect(calibrate(wild).sd).toBeGreaterThan(2 * steady);
  });
  test("refuses an empty list and a round the model gives no water for", () => {
    expect(() => calibrate([])).toThrow("/rounds");
    expect(() => calibrate([{ measuredWaterMl: 4, modelWaterMl: 0 }])).toThrow("/rounds/0");
  });
  test("takes only measured rounds from reports", () => {
    const estimate = { ratio: 0.5, ratioSd: 0.05, waterMl: 50, source: "x" };
    const report = {
      ratio: 0.4,
      ratioSd: 0.02,
      waterMl: 40,
      finalTempC: null,
      finalTempSdC: null,
      regression: estimate,
      energy: null,
      trust: "measured" as const,
      because: "measured" as const,
      reason: "",
    };
    expect(
      measuredRounds([
        { ...report, used: "measured" },
        { ...report, used: "regression" },
      ]),
    ).toEqual([{ measuredWaterMl: 40, modelWaterMl: 50 }]);
    expect(measuredRounds([{ ...report, used: "measured" }], "energy")).toEqual([]);
  });
  test("a spirit alone is a valid mix for every method with a curve", () => {
    for (const method of Object.keys(METHODS) as Method[]) {
      const m = createMixModel([{ ingredient: ingredient("s", { abv: 63 }), stage: "mix" }], method);
      expect(Number.isFinite(m.finish([60]).point[2])).toBe(true);
    }
  });
});
