import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { calibrateMelt, type MeltRequest, meltOverTime } from "../../../engine/dilution/melt.ts";
import { followMelting, type MeltSetup } from "../../../engine/dilution/melt-physics.ts";
import { coefficientsOf } from "../../../engine/mix/coefficients.ts";
import { totalsOf } from "../../../engine/mix/totals.ts";
import type { IceConditions, Ingredient } from "../../../engine/types.ts";
import { lime, rum, soda, syrup } from "../mix/pantry.ts";
import { fullBalance } from "./full-balance.ts";

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
const alone: MeltSetup = {
  liquid: sour,
  liquidTempC: 15,
  wetG: 4,
  iceG: 150,
  iceTempC: 0,
  iceSideMm: 20,
  vesselJPerK: 60,
  vesselTempC: 20,
  roomTempC: 20,
  exchangeWPerM2K: 3000,
  vesselWPerK: 10,
  roomWPerK: 0,
  freezingShiftC: 0,
};
const balance = (s: MeltSetup) => {
  const conditions: Omit<IceConditions, "shelfTempC" | "fridgeTempC"> = {
    iceTempC: s.iceTempC,
    iceMassG: s.iceG + s.wetG,
    adherentWaterShare: s.wetG / (s.iceG + s.wetG),
    vesselMassG: s.vesselJPerK,
    vesselHeatCapacityJPerGK: 1,
    vesselTempC: s.vesselTempC,
    approach: 1,
  };
  return fullBalance(s.liquid, s.liquidTempC, conditions, 1);
};

describe("left to itself in no room, melting ends where a full heat balance says", () => {
  test.each<[string, Partial<MeltSetup>]>([
    ["a usual shake", {}],
    ["ice at −18 °C", { iceTempC: -18 }],
    ["a heavy warm vessel", { vesselJPerK: 300, vesselTempC: 35 }],
    ["dry ice, large pieces", { wetG: 0, iceSideMm: 40 }],
    ["a warm start", { liquidTempC: 30 }],
    ["plain water", { liquid: mixOf([[soda, 100]]) }],
  ])("%s", (_name, change) => {
    const setup = { ...alone, ...change };
    const end = followMelting(setup, [0, 5000])[1]!;
    const b = balance(setup);
    // The balance takes one mean heat capacity between the ends; the two agree to that.
    expect(Math.abs(end.tempC - b.endC)).toBeLessThan(0.15);
    expect(Math.abs(end.waterG - (b.meltedG + setup.wetG))).toBeLessThan(1);
    expect(end.vesselTempC).toBeCloseTo(end.tempC, 2);
    expect(end.iceTempC).toBeCloseTo(end.tempC, 1);
  });

  test("too little ice melts away, and the end is the calorimetry answer: 10 g in 100 g of water at 20 °C, 10.96 °C", () => {
    const water = mixOf([[soda, 100 / 0.99820123]]);
    const setup = {
      ...alone,
      liquid: water,
      liquidTempC: 20,
      wetG: 0,
      iceG: 10,
      vesselJPerK: 0,
      vesselWPerK: 0,
    };
    const end = followMelting(setup, [0, 2000])[1]!;
    expect(end.iceLeftG).toBeLessThan(0.01);
    expect(end.tempC).toBeCloseTo((100 * 4.2 * 20 - 10 * 333.4265) / (110 * 4.2), 0);
  });

  test("a room keeps it melting: the heat of the room over the latent heat, once all is cold", () => {
    const water = mixOf([[soda, 100]]);
    const setup = { ...alone, liquid: water, roomWPerK: 0.5, liquidTempC: 0, vesselTempC: 0, iceG: 500 };
    const [, at1, at2] = followMelting(setup, [0, 600, 1200]);
    const melted = at2!.waterG - at1!.waterG;
    // Room to vessel to liquid: two resistances in a row.
    const watts = 20 / (1 / 0.5 + 1 / setup.vesselWPerK);
    expect(melted).toBeCloseTo((watts * 600) / 333.4, 1);
  });

  test.each<[string, Partial<MeltSetup>]>([
    // Both found by the property below: a liquid at 0 °C that mixing warms melts nearly all, and specks stay for good.
    [
      "beside a slow vessel",
      {
        iceG: 19.888683739199198,
        vesselJPerK: 124.27352862272335,
        vesselTempC: 0.24428313197620724,
        exchangeWPerM2K: 243.21830379785848,
      },
    ],
    [
      "beside hardly any vessel",
      { iceG: 19.818960955418415, vesselJPerK: 5, vesselTempC: 0, exchangeWPerM2K: 985.1744292590928 },
    ],
  ])("specks of ice in a drink that has stopped melting are followed to the end: %s", (_name, change) => {
    const cold = { liquidTempC: 0, wetG: 0, iceTempC: 0, iceSideMm: 4, roomTempC: 0 };
    const setup = { ...alone, ...cold, ...change };
    const at = followMelting({ ...setup, vesselWPerK: setup.vesselJPerK / 8 }, [0, 60, 600, 3600]);
    const [, , later, last] = at;
    expect(last!.tempC).toBeCloseTo(later!.tempC, 1);
    expect(last!.iceLeftG).toBeLessThan(0.01);
    expect(last!.waterG).toBeCloseTo(setup.iceG, 1);
  });

  test("never a number that is none, never more water than ice, whatever the conditions", () => {
    const n = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(
        fc.record({
          liquidTempC: n(-20, 60),
          wetG: n(0, 40),
          iceG: n(1, 1000),
          iceTempC: n(-30, 0),
          iceSideMm: n(4, 60),
          vesselJPerK: n(5, 400),
          vesselTempC: n(-20, 40),
          roomTempC: n(0, 40),
          exchangeWPerM2K: n(20, 10_000),
          roomWPerK: n(0, 1),
        }),
        (change) => {
          const setup = { ...alone, ...change, vesselWPerK: change.vesselJPerK / 8 };
          for (const s of followMelting(setup, [0, 10, 60, 600])) {
            for (const x of Object.values(s)) expect(Number.isFinite(x)).toBe(true);
            expect(s.waterG).toBeLessThanOrEqual(setup.wetG + setup.iceG + 1e-6);
            expect(s.iceLeftG).toBeGreaterThanOrEqual(0);
          }
        },
      ),
      { numRuns: 60 },
    );
  });
});

const line = (ingredient: Ingredient, volumeMl: number, stage: "mix" | "top" = "mix") => ({
  ingredient,
  volumeMl,
  stage,
});
const request: MeltRequest = {
  lines: [line(rum, 60), line(syrup, 22.5), line(lime, 22.5)],
  method: "shaken",
};

describe("a drink against time", () => {
  test("phases follow one another, and water never goes back", () => {
    const t = meltOverTime({ ...request, served: { on: "rock", seconds: 600 } });
    expect(t.phases).toEqual([
      { action: "shaking", fromS: 0, toS: 13 },
      { action: "standing", fromS: 13, toS: 613 },
    ]);
    for (let k = 1; k < t.timeS.length; k += 1) {
      expect(t.timeS[k]).toBeGreaterThanOrEqual(t.timeS[k - 1]!);
      expect(t.waterMl[k]).toBeGreaterThanOrEqual(t.waterMl[k - 1]! - 1e-6);
      expect(t.ratioSd[k]).toBeGreaterThan(0);
    }
    const lengths = [t.timeS, t.tempC, t.tempSdC, t.waterMl, t.ratio, t.ratioSd, t.iceLeftG, t.path].map(
      (a) => a.length,
    );
    expect(new Set(lengths).size).toBe(1);
  });

  test("what is topped joins after straining: the point jumps there, the water does not", () => {
    const t = meltOverTime({
      ...request,
      lines: [...request.lines, line(soda, 60, "top")],
      served: { on: "none", seconds: 60 },
    });
    const k = t.timeS.indexOf(13);
    expect(t.path[k + 1]![2]).toBeLessThan(0.8 * t.path[k]![2]);
    expect(t.waterMl[k + 1]).toBeCloseTo(t.waterMl[k]!, 6);
    expect(t.tempC[k + 1]).toBeGreaterThan(t.tempC[k]!);
  });

  test("without ice in the glass it only warms", () => {
    const t = meltOverTime({ ...request, served: { on: "none", seconds: 1200 } });
    expect(t.waterMl.at(-1)).toBeCloseTo(t.waterMl[t.timeS.indexOf(13)]!, 6);
    expect(t.tempC.at(-1)!).toBeGreaterThan(t.tempC[t.timeS.indexOf(13)]! + 4);
  });

  test("a rock melts slower than cubes, cubes slower than crushed ice", () => {
    const melted = (on: "rock" | "cubes" | "crushed") => {
      const t = meltOverTime({ ...request, served: { on, seconds: 300, iceMassG: 110 } });
      return t.waterMl.at(-1)! - t.waterMl[t.timeS.indexOf(13)]!;
    };
    expect(melted("rock")).toBeLessThan(melted("cubes"));
    expect(melted("cubes")).toBeLessThan(melted("crushed"));
  });

  test.each([
    [{ method: "blended" as const }, "/method"],
    [{ seconds: 0 }, "/seconds"],
    [{ iceSideMm: 900 }, "/iceSideMm"],
    [{ roomTempC: 99 }, "/roomTempC"],
    [{ conditions: { iceMassG: 0 } }, "/conditions/iceMassG"],
    [{ conditions: { iceTempC: 5 } }, "/dilution/conditions/iceTempC"],
    [{ lines: [] }, "/lines"],
    [{ lines: [line(rum, -1)] }, "/lines/0/volumeMl"],
    [{ served: { on: "rock" as const, seconds: 1e6 } }, "/served/seconds"],
  ])("refuses %o", (change, pointer) => {
    expect(() => meltOverTime({ ...request, ...change })).toThrow(pointer);
  });
  test("a line that cannot be poured is named by its place among all lines, mixed or topped", () => {
    const lines = [
      { ingredient: soda, stage: "top" as const, volumeMl: 60 },
      { ingredient: rum, stage: "mix" as const, volumeMl: -1 },
    ];
    expect(() => meltOverTime({ ...request, lines })).toThrow("/lines/1/volumeMl");
  });
});

describe("one weighed drink", () => {
  test.each(["shaken", "stirred", "built"] as const)("%s: the model then gives that water", (method) => {
    const usual = meltOverTime({ ...request, method });
    for (const factor of [0.9, 1.12]) {
      const weighed = factor * usual.waterMl.at(-1)!;
      const own = calibrateMelt({ ...request, method }, weighed);
      expect(own.waterMl).toBeCloseTo(weighed, 1);
      const again = meltOverTime({
        ...request,
        method,
        conditions: { adherentWaterShare: own.adherentWaterShare },
        exchangeFactor: own.exchangeFactor,
      });
      expect(again.waterMl.at(-1)!).toBeCloseTo(weighed, 1);
    }
  });
  test("a shake is explained by wetness first, a stir by the hand", () => {
    const more = (method: "shaken" | "stirred") =>
      calibrateMelt({ ...request, method }, 1.08 * meltOverTime({ ...request, method }).waterMl.at(-1)!);
    expect(more("shaken")).toMatchObject({ exchangeFactor: 1 });
    expect(more("stirred")).toMatchObject({ adherentWaterShare: 0.03 });
  });
  test("what nothing plausible explains comes back as near as it goes", () => {
    expect(calibrateMelt(request, 400).waterMl).toBeLessThan(200);
    expect(() => calibrateMelt(request, -1)).toThrow("/waterMl");
  });
});
