import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { calibrate, measuredRounds } from "../../../engine/dilution/calibrate.ts";
import { energyBalance, energyRatioSd } from "../../../engine/dilution/energy-balance.ts";
import { METHODS } from "../../../engine/dilution/methods.ts";
import { createMixModel, iceConditions, mixStageTotals } from "../../../engine/dilution/model.ts";
import { regressionRatio } from "../../../engine/dilution/regression.ts";
import { EngineError } from "../../../engine/errors.ts";
import { coefficientsOf } from "../../../engine/mix/coefficients.ts";
import { totalsOf } from "../../../engine/mix/totals.ts";
import type { IceConditions, Ingredient, Method } from "../../../engine/types.ts";
import { ingredient, lime, rum, soda, syrup } from "../mix/pantry.ts";

const mixOf = (pours: [Ingredient, number][]) =>
  totalsOf(
    pours.map(([i]) => coefficientsOf(i)),
    pours.map(([, v]) => v),
  );
const sour = mixOf([
  [rum, 60],
  [syrup, 22.5],
  [lime, 22.5],
]);
const shaker = iceConditions("shaken")!;

describe("energy balance: cases with an answer in closed form (calorimetry of water and ice)", () => {
  const bare: IceConditions = {
    ...shaker,
    ingredientTempC: 20,
    adherentWaterShare: 0,
    vesselMassG: 0,
    iceTempC: 0,
  };
  const water100 = mixOf([[soda, 100 / 0.99820123]]);

  test("100 g of water at 20 °C on plenty of ice at 0 °C melts m c ΔT / L = 25.2 g and ends at 0 °C", () => {
    const b = energyBalance(water100, { ...bare, iceMassG: 200 });
    expect(b.finalTempC).toBeCloseTo(0, 9);
    // 4.20 J/(g·K) is the mean of water's 4.218 (0 °C) and 4.182 (20 °C).
    expect(b.meltedG).toBeCloseTo((100 * 4.2 * 20) / 333.4265, 6);
    expect(b.limit).toBe("temperature");
  });

  test("10 g of ice in 100 g of water at 20 °C all melts, and the end is the calorimetry answer, 10.96 °C", () => {
    const b = energyBalance(water100, { ...bare, iceMassG: 10 });
    expect(b.limit).toBe("all ice melted");
    expect(b.meltedG).toBe(10);
    // c varies by 0.3 % over the range, hence two decimals.
    expect(b.finalTempC).toBeCloseTo((100 * 4.2 * 20 - 10 * 333.4265) / (110 * 4.2), 1);
  });

  test("ice at −18 °C first cools the water: melt is less by c(ice) × 18 K × all the ice / L", () => {
    const warm = energyBalance(water100, { ...bare, iceMassG: 200 });
    const cold = energyBalance(water100, { ...bare, iceMassG: 200, iceTempC: -18 });
    expect(cold.meltedG).toBeCloseTo(warm.meltedG - (200 * 2.101 * 18) / 333.4265, 6);
  });

  test("a 200 g steel vessel at 20 °C melts 200 × 0.5 × 20 / L = 6.0 g more", () => {
    const without = energyBalance(water100, { ...bare, iceMassG: 200 });
    const vessel = energyBalance(water100, { ...bare, iceMassG: 200, vesselMassG: 200, vesselTempC: 20 });
    expect(vessel.meltedG - without.meltedG).toBeCloseTo((200 * 0.5 * 20) / 333.4265, 6);
  });

  test("water on the ice is at 0 °C already: it goes in, and melts nothing more", () => {
    const b = energyBalance(water100, { ...bare, iceMassG: 200, adherentWaterShare: 0.1 });
    expect(b.meltedG).toBeCloseTo((100 * 4.2 * 20) / 333.4265, 6);
    expect(b.waterMl).toBeCloseTo((b.meltedG + 20) / 0.99820123, 9);
  });

  test("a mix colder than its ice can melt takes only the water on the ice", () => {
    const b = energyBalance(sour, { ...shaker, ingredientTempC: -10, vesselMassG: 0, iceTempC: -20 });
    expect(b.limit).toBe("no ice melted");
    expect(b.waterMl).toBeCloseTo((180 * 0.03) / 0.99820123, 9);
    expect(b.finalTempC).toBeGreaterThanOrEqual(b.freezingPointC - 1e-9);
  });

  test("no ice: no water; nothing mixed: no water, no NaN", () => {
    expect(energyBalance(sour, { ...shaker, iceMassG: 0 }).ratio).toBe(0);
    const none = energyBalance(mixOf([]), shaker);
    expect(none.ratio).toBe(0);
    expect(Number.isFinite(none.finalTempC)).toBe(true);
  });
});

describe("energy balance: what any bartender or physicist expects", () => {
  const water = (change: Partial<IceConditions>, mix = sour) =>
    energyBalance(mix, { ...shaker, ...change }).waterMl;
  test.each([
    ["warmer ingredients", { ingredientTempC: 24 }, { ingredientTempC: 8 }],
    ["warmer ice", { iceTempC: 0 }, { iceTempC: -10 }],
    ["wetter ice", { adherentWaterShare: 0.15 }, { adherentWaterShare: 0.02 }],
    ["a heavier vessel", { vesselMassG: 500 }, { vesselMassG: 100 }],
    ["a warmer vessel", { vesselTempC: 25 }, { vesselTempC: 0 }],
    ["longer contact", { approach: 1 }, { approach: 0.7 }],
  ])("%s means more water", (_what, more, less) => {
    expect(water(more)).toBeGreaterThan(water(less));
  });

  test("shaking ends colder and more diluted than stirring the same mix (D. Arnold's experiments, 2010)", () => {
    const shaken = energyBalance(sour, iceConditions("shaken")!);
    const stirred = energyBalance(sour, iceConditions("stirred")!);
    expect(shaken.finalTempC).toBeLessThan(stirred.finalTempC);
    expect(shaken.ratio).toBeGreaterThan(stirred.ratio);
  });

  /** One anonymous report: 2 oz rum, ¾ lime, ½ syrup at 26 °C, drained 0 °C ice, 15 s: −6 °C. Weak evidence, so ±1.5 °C. */
  test("a reported sour at 26 °C ends near −6 °C", () => {
    const mix = mixOf([
      [rum, 60],
      [lime, 22.5],
      [syrup, 15],
    ]);
    const b = energyBalance(mix, { ...shaker, ingredientTempC: 26, vesselTempC: 26 });
    expect(Math.abs(b.finalTempC + 6)).toBeLessThan(1.5);
  });

  test("heat of mixing matters: without it the melt would be a few grams less per 100 g", () => {
    const b = energyBalance(sour, shaker);
    const still = energyBalance({ ...sour, excessEnthalpyJ: sour.excessEnthalpyJ - 1000 }, shaker);
    // 1 kJ less heat is 3 g less ice, as L = 333 J/g and melt water must cool too.
    expect(b.meltedG - still.meltedG).toBeGreaterThan(2);
    expect(b.meltedG - still.meltedG).toBeLessThan(3.1);
  });

  test("never colder than its freezing point (or its start), never more melt than ice, never NaN, under any conditions", () => {
    const conditions = fc.record({
      ingredientTempC: fc.double({ min: -20, max: 40, noNaN: true }),
      iceTempC: fc.double({ min: -40, max: 0, noNaN: true }),
      adherentWaterShare: fc.double({ min: 0, max: 0.3, noNaN: true }),
      iceMassG: fc.double({ min: 0, max: 1000, noNaN: true }),
      vesselMassG: fc.double({ min: 0, max: 1000, noNaN: true }),
      vesselHeatCapacityJPerGK: fc.double({ min: 0, max: 1, noNaN: true }),
      vesselTempC: fc.double({ min: -20, max: 40, noNaN: true }),
      approach: fc.double({ min: 0, max: 1, noNaN: true }),
    });
    const pours = fc.tuple(
      fc.double({ min: 0.1, max: 200, noNaN: true }),
      fc.double({ min: 0, max: 100, noNaN: true }),
      fc.double({ min: 0, max: 100, noNaN: true }),
    );
    fc.assert(
      fc.property(conditions, pours, (c, [a, b, d]) => {
        const mix = mixOf([
          [rum, a],
          [syrup, b],
          [lime, d],
        ]);
        const r = energyBalance(mix, c);
        for (const x of [r.ratio, r.waterMl, r.finalTempC, r.meltedG, r.freezingPointC]) {
          expect(Number.isFinite(x)).toBe(true);
        }
        expect(r.meltedG).toBeGreaterThanOrEqual(0);
        expect(r.meltedG).toBeLessThanOrEqual(c.iceMassG * (1 - c.adherentWaterShare) + 1e-9);
        expect(r.finalTempC).toBeGreaterThanOrEqual(Math.min(r.freezingPointC, c.ingredientTempC) - 1e-6);
        expect(Number.isFinite(energyRatioSd(mix, c))).toBe(true);
      }),
      { numRuns: 300 },
    );
  });

  test.each([
    [{ approach: 1.2 }, "approach"],
    [{ iceTempC: 3 }, "iceTempC"],
    [{ adherentWaterShare: 0.5 }, "adherentWaterShare"],
    [{ ingredientTempC: Number.NaN }, "ingredientTempC"],
  ])("refuses %o, naming the condition", (change, field) => {
    expect(() => energyBalance(sour, { ...shaker, ...change })).toThrow(`/dilution/conditions/${field}`);
  });
});

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
    const estimate = { ratio: 0.5, ratioSd: 0.05, waterMl: 50, finalTempC: null, source: "x" };
    const report = {
      ratio: 0.4,
      ratioSd: 0.02,
      waterMl: 40,
      finalTempC: null,
      regression: estimate,
      energy: null,
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
