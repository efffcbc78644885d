import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { formatAmount, formatDelta, formatQuantity } from "../../../engine/amounts/format-amount.ts";
import {
  isOnLadder,
  LADDERS,
  laddersFor,
  nearestRung,
  nextRung,
  rungsBetween,
} from "../../../engine/amounts/ladder.ts";
import { parseQuantity } from "../../../engine/amounts/parse-quantity.ts";
import { DEFAULT_UNIT_SETTINGS, fromVolumeMl, toVolumeMl } from "../../../engine/amounts/units.ts";
import { EngineError } from "../../../engine/errors.ts";
import { UNIT_IDS } from "../../../engine/ids.ts";
import type { Ingredient, PourLadder, UnitId } from "../../../engine/types.ts";
import { STAND_IN_PANTRY } from "../recipe/stand-in-pantry.ts";

const OZ = 29.5735295625;
const item = (id: string): Ingredient => STAND_IN_PANTRY.get(id)!;
const US = LADDERS["us-jigger"];
const METRIC = LADDERS["metric-jigger"];
const SCALE = LADDERS.scale;

describe("volumes", () => {
  test("a dash is its set size, with its doubt proportional to the count", () => {
    const settings = { ...DEFAULT_UNIT_SETTINGS, dashMl: 0.62, dashSdMl: 0.1 };
    const { ml, sdMl } = toVolumeMl(3, "dash", { settings });
    expect(ml).toBeCloseTo(1.86, 12);
    expect(sdMl).toBeCloseTo(0.3, 12);
  });

  test("grams go through density and carry its doubt", () => {
    const { ml, sdMl } = toVolumeMl(17, "g", { ingredient: item("sugar") });
    expect(ml).toBeCloseTo(20, 12);
    expect(sdMl).toBeCloseTo((20 * 0.04) / 0.85, 12);
  });

  test("half a lime is half the pantry's lime", () => {
    expect(toVolumeMl(0.5, "piece", { ingredient: item("juice-lime") })).toEqual({ ml: 15, sdMl: 3 });
  });

  test("bad input names the field and the remedy", () => {
    const bad: [number, UnitId, object][] = [
      [Number.NaN, "oz", {}],
      [-1, "oz", {}],
      [Number.POSITIVE_INFINITY, "ml", {}],
      [1, "g", {}],
      [1, "piece", { ingredient: item("gin") }],
      [1, "gallon" as UnitId, {}],
      [1, "dash", { settings: { ...DEFAULT_UNIT_SETTINGS, dashMl: 0 } }],
      [1e300, "part", { settings: { ...DEFAULT_UNIT_SETTINGS, partMl: 1e300 } }],
    ];
    for (const [amount, unit, ctx] of bad) {
      try {
        toVolumeMl(amount, unit, { ...ctx, pointer: "/lines/0/amount" });
        expect.unreachable(`${amount} ${unit} was accepted`);
      } catch (error) {
        expect(error).toBeInstanceOf(EngineError);
        expect((error as EngineError).issues[0]!.pointer).toBe("/lines/0/amount");
        expect((error as EngineError).issues[0]!.remedy).not.toBe("");
      }
    }
  });

  test("fromVolumeMl undoes toVolumeMl in every unit", () => {
    const ctx = { ingredient: item("juice-lime") };
    fc.assert(
      fc.property(
        fc.constantFrom(...UNIT_IDS),
        fc.double({ min: 1e-9, max: 1e4, noNaN: true }),
        (unit, amount) => {
          const back = fromVolumeMl(toVolumeMl(amount, unit, ctx).ml, unit, ctx);
          expect(Math.abs(back - amount)).toBeLessThanOrEqual(1e-12 * amount);
        },
      ),
    );
  });
});

describe("parseQuantity", () => {
  const cases: [string, number, number | undefined, UnitId | null, string][] = [
    ["2 1/4 oz", 2.25, undefined, "oz", ""],
    ["2¼ oz", 2.25, undefined, "oz", ""],
    ["2 ¼ oz gin", 2.25, undefined, "oz", "gin"],
    ["1-1/2 oz gin", 1.5, undefined, "oz", "gin"],
    ["1 & 1/2 oz gin", 1.5, undefined, "oz", "gin"],
    ["2¹⁄₂ oz", 2.5, undefined, "oz", ""],
    ["⅔ oz", 2 / 3, undefined, "oz", ""],
    ["1⁄2", 0.5, undefined, null, ""],
    ["½", 0.5, undefined, null, ""],
    ["17.5 ml", 17.5, undefined, "ml", ""],
    ["0,75 oz", 0.75, undefined, "oz", ""],
    [".75 oz", 0.75, undefined, "oz", ""],
    ["1,500 ml", 1500, undefined, "ml", ""],
    ["1,125 oz", 1.125, undefined, "oz", ""],
    ["３０ ㎖ gin", 30, undefined, "ml", "gin"],
    ["60ml", 60, undefined, "ml", ""],
    ["6 cl", 6, undefined, "cl", ""],
    ["1 dl", 100, undefined, "ml", ""],
    ["1.5oz", 1.5, undefined, "oz", ""],
    ["1 1/2oz", 1.5, undefined, "oz", ""],
    ["1½ fl. oz. rum", 1.5, undefined, "oz", "rum"],
    ["2 imp fl oz rum", 2, undefined, "imperial-oz", "rum"],
    ["¾ of an ounce of lime", 0.75, undefined, "oz", "lime"],
    ["one and a half ounces of gin", 1.5, undefined, "oz", "gin"],
    ["30 g", 30, undefined, "g", ""],
    ["600 mg citric acid", 0.6, undefined, "g", "citric acid"],
    ["1 bsp", 1, undefined, "barspoon", ""],
    ["2 barspoons maraschino", 2, undefined, "barspoon", "maraschino"],
    ["bar spoon of maraschino", 1, undefined, "barspoon", "maraschino"],
    ["2 bar-spoons x", 2, undefined, "barspoon", "x"],
    ["2 tsp. honey", 2, undefined, "tsp", "honey"],
    ["1 Tbsp honey", 1, undefined, "tbsp", "honey"],
    ["1 part", 1, undefined, "part", ""],
    ["3 dashes", 3, undefined, "dash", ""],
    ["two dashes", 2, undefined, "dash", ""],
    ["a dash of bitters", 1, undefined, "dash", "bitters"],
    ["a generous dash of absinthe", 1, undefined, "dash", "absinthe"],
    ["1-2 dashes", 1, 2, "dash", ""],
    ["1 or 2 dashes orange bitters", 1, 2, "dash", "orange bitters"],
    ["20–25 ml lemon", 20, 25, "ml", "lemon"],
    ["20ml-25ml lemon", 20, 25, "ml", "lemon"],
    ["20/25 ml lemon", 20, 25, "ml", "lemon"],
    ["½–¾ oz lime", 0.5, 0.75, "oz", "lime"],
    ["2 x 30 ml rum", 60, undefined, "ml", "rum"],
    ["1 oz + 1 tsp lemon", OZ + OZ / 6, undefined, "ml", "lemon"],
    ["half a lime", 0.5, undefined, null, "lime"],
    ["1 egg white", 1, undefined, null, "egg white"],
    ["3 Tropfen Salzlösung", 3, undefined, "drop", "Salzlösung"],
    ["2 cuillères à café de sucre", 2, undefined, "tsp", "sucre"],
    ["2 traits d’amers", 2, undefined, "dash", "amers"],
    ["1 onza de ron", 1, undefined, "oz", "ron"],
  ];
  test.each(cases)("%s", (text, amount, high, unit, rest) => {
    const read = parseQuantity(text)!;
    expect(read).not.toBeNull();
    expect(read.amount).toBeCloseTo(amount, 12);
    if (high === undefined) expect(read.high).toBeUndefined();
    else expect(read.high).toBeCloseTo(high, 12);
    expect(read.unit).toBe(unit);
    expect(read.rest).toBe(rest);
  });

  test.each([
    "2:1 syrup",
    "40% rum",
    "40 % vol",
    "80 proof",
    "7 year old rum",
    "12-year scotch",
    "1/0 oz",
    "1 to 1 syrup",
    "-2 oz",
    "",
    "lime",
    "3rd",
  ])("%s is not an amount", (text) => {
    expect(parseQuantity(text)).toBeNull();
  });

  test("a decimal comma is echoed with a point and noted", () => {
    const read = parseQuantity("0,75 oz")!;
    expect(read.echo).toBe("0.75 oz");
    expect(read.notes).toEqual([{ code: "decimal-comma", said: "0,75", amount: 0.75 }]);
  });

  test("any string: no throw, no NaN, no negative amount, a range never runs backwards", () => {
    const bits = fc.constantFrom(
      "1",
      "2",
      "/",
      "½",
      " ",
      "-",
      "–",
      ",",
      ".",
      "oz",
      "ml",
      "to",
      "dash",
      "a",
      "⁄",
      "x",
      "+",
      "of",
      "%",
    );
    const text = fc.oneof(
      fc.string({ unit: "binary", maxLength: 60 }),
      fc.array(bits, { maxLength: 16 }).map((b) => b.join("")),
    );
    fc.assert(
      fc.property(text, (t) => {
        const read = parseQuantity(t);
        if (read === null) return;
        expect(Number.isFinite(read.amount) && read.amount >= 0).toBe(true);
        if (read.high !== undefined) expect(read.high).toBeGreaterThan(read.amount);
      }),
      { numRuns: 2000 },
    );
  });
});

describe("ladders", () => {
  test("US jigger: eighths of an ounce, and one bar spoon below a quarter", () => {
    const rungs = rungsBetween(0, OZ / 2, US, item("juice-lime"));
    const expected = [0, OZ / 8, 5, OZ / 4, (3 * OZ) / 8, OZ / 2];
    expect(rungs).toHaveLength(expected.length);
    for (const [i, ml] of expected.entries()) expect(rungs[i]).toBeCloseTo(ml, 12);
  });

  test("metric jigger: 2.5 mL steps; bar spoons of another size are rungs below 7.5 mL", () => {
    expect(rungsBetween(0, 10, METRIC)).toEqual([0, 2.5, 5, 7.5, 10]);
    const own = laddersFor({ ...DEFAULT_UNIT_SETTINGS, barspoonMl: 4 })["metric-jigger"];
    expect(rungsBetween(0, 10, own)).toEqual([0, 2.5, 4, 5, 7.5, 10]);
  });

  test("bitters have dash rungs up to a quarter ounce, then the jigger's", () => {
    const rungs = rungsBetween(0, 12, METRIC, item("bitters-aromatic"));
    for (const n of [1, 2, 3, 9]) expect(rungs.some((r) => Math.abs(r - n * 0.8) < 1e-9)).toBe(true);
    expect(rungs.filter((r) => r > 7.4)).toEqual([7.5, 10]);
  });

  test("acids step by 0.1 g on every ladder", () => {
    for (const ladder of [US, METRIC, SCALE]) {
      const rungs = rungsBetween(0, 1 / 1.66, ladder, item("citric"));
      expect(rungs).toHaveLength(11);
      expect(rungs[6]! * 1.66).toBeCloseTo(0.6, 12);
    }
  });

  test("sugar can be spooned as well as weighed", () => {
    expect(isOnLadder(10, US, item("sugar"))).toBe(true);
    expect(isOnLadder(0.1 / 0.85, US, item("sugar"))).toBe(true);
  });

  test("the scale steps in half grams through density", () => {
    const dense = { ...item("syrup-simple-2-1"), densityGPerMl: { value: 1.25, sd: 0, source: "t" } };
    expect(rungsBetween(0, 1.2, SCALE, dense)).toEqual([0, 0.4, 0.8, 1.2000000000000002]);
  });

  test("floating noise neither adds nor loses a rung", () => {
    expect(isOnLadder(0.1 + 0.2 + 2.2, METRIC)).toBe(true);
    expect(rungsBetween(22.5 + 1e-9, 25 - 1e-9, METRIC)).toEqual([22.5, 25]);
    expect(nextRung(22.5 - 1e-9, METRIC, 1)).toBe(25);
    expect(nextRung(22.5 + 1e-9, METRIC, -1)).toBe(20);
    expect(isOnLadder(22.51, METRIC)).toBe(false);
  });

  test("edges: zero is the lowest rung, ties go down, an empty range is empty", () => {
    expect(nextRung(0, US, -1)).toBe(0);
    expect(nearestRung(-3, US)).toBe(0);
    expect(nearestRung(1.25, METRIC)).toBe(0);
    expect(nearestRung(23.8, METRIC)).toBe(25);
    expect(rungsBetween(3, 4, METRIC)).toEqual([]);
    expect(rungsBetween(5, 2, METRIC)).toEqual([]);
    expect(rungsBetween(-5, 0, METRIC)).toEqual([0]);
  });

  test("a step that no tool has is refused", () => {
    const own = (stepMl: number): PourLadder => ({ id: "own", name: "own", stepMl, displayUnit: "ml" });
    expect(() => rungsBetween(0, 30, own(0))).toThrow(EngineError);
    expect(() => rungsBetween(0, 30, own(Number.NaN))).toThrow(EngineError);
    expect(() => rungsBetween(0, 1e6, own(0.01))).toThrow(/larger step/);
    expect(() => nearestRung(Number.NaN, METRIC)).toThrow(EngineError);
  });

  const anyLadder = fc.constantFrom(US, METRIC, SCALE, {
    id: "own",
    name: "own",
    stepMl: 7,
    fineStepMl: 1.5,
    fineBelowMl: 10,
    displayUnit: "ml",
  } as PourLadder);
  const anyItem = fc.constantFrom(...["juice-lime", "bitters-aromatic", "citric", "sugar", "gin"].map(item));

  // Thousandths of a mL: fc.double would spend its runs on volumes near zero.
  const volumesUpTo = (max: number) => fc.integer({ min: 0, max: max * 1000 }).map((n) => n / 1000);

  test("rungsBetween, nextRung, nearestRung and isOnLadder agree with each other", () => {
    fc.assert(
      fc.property(anyLadder, anyItem, volumesUpTo(90), (ladder, ingredient, ml) => {
        const rungs = rungsBetween(0, ml + 20, ladder, ingredient);
        const near = nearestRung(ml, ladder, ingredient);
        const best = Math.min(...rungs.map((r) => Math.abs(r - ml)));
        expect(Math.abs(near - ml)).toBeLessThanOrEqual(best + 2e-6);
        expect(isOnLadder(near, ladder, ingredient)).toBe(true);
        const up = nextRung(near, ladder, 1, ingredient);
        const i = rungs.findIndex((r) => Math.abs(r - near) < 1e-6);
        expect(i).toBeGreaterThanOrEqual(0);
        expect(up).toBeCloseTo(rungs[i + 1]!, 6);
        expect(nextRung(up, ladder, -1, ingredient)).toBeCloseTo(rungs[i]!, 6);
      }),
    );
  });

  test("what is written for a rung reads back as that rung", () => {
    fc.assert(
      fc.property(anyLadder, anyItem, volumesUpTo(120), (ladder, ingredient, ml) => {
        const rung = nearestRung(ml, ladder, ingredient);
        const written = formatAmount(rung, ladder, { ingredient });
        const read = parseQuantity(written)!;
        expect(read.rest).toBe("");
        // mL and g are printed to 0.01, so writing may lose half of that; every other unit nothing.
        const ctx = { ingredient };
        const loss = read.unit === "ml" || read.unit === "g" ? toVolumeMl(0.005, read.unit, ctx).ml : 0;
        const back = toVolumeMl(read.amount, read.unit!, ctx).ml;
        expect(Math.abs(back - rung)).toBeLessThanOrEqual(loss + 1e-6);
      }),
      { numRuns: 500 },
    );
  });
});

describe("formatting", () => {
  test("as a bartender reads it", () => {
    expect(formatAmount(0.75 * OZ, US)).toBe("¾ oz");
    expect(formatAmount(2.25 * OZ, US)).toBe("2¼ oz");
    expect(formatAmount(5, US)).toBe("1 bar spoon");
    expect(formatAmount(30, US)).toBe("1.01 oz");
    expect(formatAmount(0, US)).toBe("0 oz");
    expect(formatAmount(22.5, METRIC)).toBe("22.5 mL");
    expect(formatAmount(5, METRIC)).toBe("5 mL");
    expect(formatAmount(1.6, US, { ingredient: item("bitters-aromatic") })).toBe("2 dashes");
    expect(formatAmount(OZ, US, { ingredient: item("bitters-aromatic") })).toBe("1 oz");
    expect(formatAmount(0.6 / 1.66, US, { ingredient: item("citric") })).toBe("0.6 g");
    expect(formatAmount(10, US, { ingredient: item("sugar") })).toBe("2 bar spoons");
    expect(formatAmount((2 / 3) * OZ, "oz")).toBe("⅔ oz");
    expect(formatAmount(60, "cl")).toBe("6 cl");
    expect(formatQuantity(1.5, "barspoon")).toBe("1½ bar spoons");
    expect(formatQuantity(1, "dash")).toBe("1 dash");
    expect(formatQuantity(0.5, "piece")).toBe("½ piece");
  });

  test("changes carry their sign and stay in the ladder's unit", () => {
    expect(formatDelta(OZ / 4, US)).toBe("+¼ oz");
    expect(formatDelta(-5, METRIC)).toBe("−5 mL");
    expect(formatDelta(OZ / 4 - 5, US)).toBe("+0.08 oz");
    expect(formatDelta(0.8, US, { ingredient: item("bitters-aromatic") })).toBe("+1 dash");
    expect(() => formatAmount(Number.NaN, US)).toThrow(EngineError);
    expect(() => formatAmount(-1, US)).toThrow(EngineError);
  });
});
