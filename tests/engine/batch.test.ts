/**
 * Batches. Outside checks: OIML R 22 through the mixing rule (a batch is the drink many times), freezing points of
 * ethanol and water by volume as engineering tables print them (10 % −4, 20 % −9, 30 % −15, 40 % −23 °C, read),
 * Melinder 2010 through CoolProp (read). Common practice, no published source: citrus last, air in bottle and keg.
 */
import { describe, expect, test } from "vitest";
import { type BatchRequest, planBatch } from "../../engine/batch/plan.ts";
import { batchWords } from "../../engine/batch/words.ts";
import { place } from "../../engine/place/place.ts";
import type { Spec } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const drink = (method: Spec["method"], pours: Record<string, number>): Spec => ({
  name: "Batch (invented)",
  method,
  lines: Object.entries(pours).map(([ingredient, amount]) => ({ ingredient, amount, unit: "ml" })),
});
const manhattan = drink("stirred", { rye: 60, "vermouth-sweet": 30, "bitters-aromatic": 1.6 });
const sour = drink("shaken", { gin: 60, "juice-lemon": 22.5, "syrup-simple-1-1": 22.5 });
const plan = (request: Partial<BatchRequest> & { spec: Spec }) =>
  planBatch({ size: { serves: 10 }, ...request }, pantry);

describe("a batch is the drink many times", () => {
  test.each([manhattan, sour])(
    "ten of it, water included, is the same point but for the rounding",
    (spec) => {
      const b = plan({ spec });
      const one = place(spec, pantry);
      expect(b.waterMl.exactMl).toBeCloseTo(10 * one.dilution.waterMl, 9);
      for (const key of ["sugarGPer100Ml", "acidGPer100Ml", "abvPercent"] as const) {
        expect(b.serve.point[key] - b.drift[key]).toBeCloseTo(one.point[key], 9);
        expect(Math.abs(b.drift[key])).toBeLessThan(0.01 * Math.max(1, one.point[key]));
      }
      expect(b.batchMl / 10).toBeCloseTo(one.finishedVolumeMl, 0);
      expect(b.batchAbvPercent).toBeCloseTo(one.point.abvPercent, 0);
    },
  );

  test("rounding is half a per cent of what is measured at most, above a spoonful", () => {
    for (const serves of [1, 7, 33, 100, 850]) {
      for (const line of plan({ spec: sour, size: { serves } }).lines) {
        if (line.exactMl > 20) expect(Math.abs(line.pourMl / line.exactMl - 1)).toBeLessThan(0.0126);
      }
    }
  });

  test("what the doubt of the ice was is gone once the water is measured in", () => {
    const [ahead, order] = [1, 0].map((dilutedShare) => plan({ spec: manhattan, dilutedShare }));
    expect(ahead!.serve.sd.abvPercent).toBeLessThan(0.5 * order!.serve.sd.abvPercent);
    expect(order!.waterMl.pourMl).toBe(0);
    expect(order!.portionMl).toBeCloseTo(place({ ...manhattan, method: "none" }, pantry).finishedVolumeMl, 0);
    expect(ahead!.batchAbvPercent).toBeLessThan(order!.batchAbvPercent - 5);
  });

  test("a bottle is filled to its neck, a keg leaves room for gas and holds whole serves", () => {
    const bottle = plan({ spec: manhattan, size: { bottleMl: 750, bottles: 2 } });
    expect(Math.abs(bottle.batchMl - 2 * 0.97 * 750)).toBeLessThan(8);
    const keg = plan({ spec: sour, size: { kegMl: 19_000 } });
    expect(Number.isInteger(keg.serves)).toBe(true);
    expect(keg.batchMl).toBeLessThan(0.905 * 19_000);
    expect(keg.batchMl + keg.portionMl).toBeGreaterThan(0.895 * 19_000);
  });
});

describe("order of work", () => {
  test("citrus last, egg and soda with the serve, the rest in the base", () => {
    const fizz: Spec = {
      ...drink("shaken", {
        gin: 60,
        "syrup-simple-1-1": 20,
        "juice-lemon": 22.5,
        "egg-white": 30,
        "soda-water": 60,
      }),
    };
    const b = plan({ spec: fizz });
    expect(b.lines.map((l) => l.when)).toEqual(["base", "base", "last", "serve", "serve"]);
    expect(b.lines[4]!.pourMl).toBe(600);
    expect(b.portionMl).toBeLessThan(170);
  });
  test("what to open and to press", () => {
    const lines = plan({ spec: sour, size: { serves: 24 } }).lines;
    expect(lines[0]!.bottles).toBe(3);
    expect(lines[1]!.pieces).toBe(Math.ceil(540 / pantry.get("juice-lemon")!.pieceMl!.value));
  });
});

describe("in the freezer", () => {
  const neat = (abv: number, freezerTempC: number) =>
    planBatch(
      { spec: drink("none", { vodka: 100 }), size: { serves: 10 }, freezerTempC },
      new Map([
        ...pantry,
        ["vodka", { ...pantry.get("vodka")!, abvPercent: { value: abv, sd: 0, source: "test" } }],
      ]),
    ).freezer!;
  test.each([
    [10, -4],
    [20, -9],
    [30, -15],
    [40, -23],
  ])("%s %% vol freezes near %s °C (engineering tables)", (abv, tempC) => {
    expect(Math.abs(neat(abv, -18).freezingC.value - tempC)).toBeLessThan(2.1);
  });
  test("40 % pours at −18 °C, 30 % may freeze, 20 % freezes, and the colder the more of it", () => {
    expect([40, 30, 20].map((abv) => neat(abv, -17).state)).toEqual(["pours", "may-freeze", "freezes"]);
    const shares = [-10, -14, -18, -25].map((t) => neat(20, t).frozenShare);
    expect(shares.every((s, i) => i === 0 || s > shares[i - 1]!)).toBe(true);
    expect(neat(40, -18).frozenShare).toBe(0);
  });
  test("what is left unfrozen is as strong as freezes there (lever rule by mass)", () => {
    const { frozenShare } = neat(20, -18);
    // 20 % vol is 16.21 % by mass; what freezes at −18 °C is near 28 % by mass (CRC: 24 % at −14.47, 30 % at −20.47).
    const left = 16.21 / (16.21 + (100 - 16.21) * (1 - frozenShare));
    expect(left).toBeGreaterThan(0.26);
    expect(left).toBeLessThan(0.29);
  });
  test("a diluted sour is a block", () => {
    const { state, frozenShare } = plan({ spec: sour, freezerTempC: -18 }).freezer!;
    expect(state).toBe("freezes");
    expect(frozenShare).toBeGreaterThan(0.4);
  });
});

describe("keeping and cautions", () => {
  test("with citrus for the day, without it for weeks; always the law on mixing ahead", () => {
    expect(plan({ spec: sour }).keeping).toMatchObject({ days: 1, because: "fresh-citrus" });
    expect(plan({ spec: manhattan }).keeping).toMatchObject({ because: "spirit-strength" });
    expect(plan({ spec: manhattan }).cautions).toEqual(expect.arrayContaining(["alcohol", "batching"]));
  });
});

test("in words: each sentence ends, none is empty", () => {
  for (const spec of [sour, manhattan]) {
    for (const s of batchWords(plan({ spec, freezerTempC: -18 }))) expect(s).toMatch(/^[A-Z0-9].*\.$/s);
  }
});

test.each<[string, Partial<BatchRequest>, string]>([
  ["no serves", { size: { serves: 0 } }, "/size/serves"],
  ["half a bottle", { size: { bottleMl: 750, bottles: 0.5 } }, "/size/bottles"],
  ["a bottle too small", { size: { bottleMl: 10, bottles: 1 } }, "/size/bottleMl"],
  ["a keg too small", { size: { kegMl: 20 } }, "/size/kegMl"],
  ["more water than melts", { dilutedShare: 2 }, "/dilutedShare"],
  ["an oven", { freezerTempC: 200 }, "/freezerTempC"],
  ["only soda", { spec: drink("none", { "soda-water": 100 }) }, "/spec/lines"],
])("refuses %s", (_what, change, pointer) => {
  expect(() => plan({ spec: manhattan, ...change })).toThrow(pointer);
});
