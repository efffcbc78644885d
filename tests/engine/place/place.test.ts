import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { EngineError } from "../../../engine/errors.ts";
import { METHOD_IDS } from "../../../engine/ids.ts";
import { place } from "../../../engine/place/place.ts";
import type { Glass, Method, Placement, Spec, SpecLine } from "../../../engine/types.ts";
import { ingredient, pantry } from "../mix/pantry.ts";

const ml = (ingredient: string, amount: number, more: Partial<SpecLine> = {}): SpecLine => ({
  ingredient,
  amount,
  unit: "ml",
  ...more,
});
const sour: Spec = {
  name: "sour",
  method: "shaken",
  lines: [ml("rum", 60), ml("syrup", 22.5), ml("lime", 22.5)],
};
const coupe: Glass = { id: "coupe", name: "Coupe", washLineMl: 150, brimMl: 180, iceMl: 0, source: "test" };

const numbersIn = (x: unknown): number[] =>
  typeof x === "number"
    ? [x]
    : x !== null && typeof x === "object"
      ? Object.values(x).flatMap(numbersIn)
      : [];

describe("place", () => {
  const p = place(sour, pantry, {
    glasses: [coupe],
    prices: new Map([
      ["rum", 25],
      ["syrup", 2],
      ["lime", 8],
    ]),
  });

  test("shares of sugar, acid and alcohol each sum to 100 %, shares of volume to the pours", () => {
    const sum = (f: (l: Placement["lines"][number]) => number) => p.lines.reduce((s, l) => s + f(l), 0);
    expect(sum((l) => l.sugarSharePercent)).toBeCloseTo(100, 9);
    expect(sum((l) => l.acidSharePercent)).toBeCloseTo(100, 9);
    expect(sum((l) => l.ethanolSharePercent)).toBeCloseTo(100, 9);
    expect(sum((l) => l.shareOfFinishedPercent)).toBeCloseTo((100 * 105) / p.finishedVolumeMl, 9);
    expect(sum((l) => l.sugarG)).toBeCloseTo((p.point.sugarGPer100Ml * p.finishedVolumeMl) / 100, 9);
    expect(sum((l) => l.acidG)).toBeCloseTo((p.point.acidGPer100Ml * p.finishedVolumeMl) / 100, 9);
    expect(sum((l) => l.ethanolMl)).toBeCloseTo((p.point.abvPercent * p.finishedVolumeMl) / 100, 9);
  });

  test("mass is conserved: pours and melt water make the glass", () => {
    const poured = p.lines.reduce((s, l) => s + l.massG, 0);
    expect(p.finishedMassG).toBeCloseTo(poured + 0.99820123 * p.dilution.waterMl, 9);
  });

  test("cost is the sum of the pours at the price of a litre; null when a price is missing", () => {
    expect(p.cost).toBeCloseTo(60 * 0.025 + 22.5 * 0.002 + 22.5 * 0.008, 12);
    expect(place(sour, pantry, { prices: new Map([["rum", 25]]) }).cost).toBeNull();
    expect(place(sour, pantry).cost).toBeNull();
  });

  test("both dilution models are shown, each with an uncertainty, and the reason says which is used", () => {
    for (const estimate of [p.dilution.regression!, p.dilution.energy!]) {
      expect(estimate.ratioSd).toBeGreaterThan(0.01);
      expect(estimate.source).not.toBe("");
    }
    expect(p.dilution).toMatchObject({ used: "regression", trust: "regression", because: "usual-drink" });
    expect(p.dilution.ratio).toBeCloseTo(p.dilution.regression!.ratio, 12);
    const energy = place({ ...sour, dilution: { model: "energy" } }, pantry).dilution;
    expect(energy.used).toBe("energy");
    expect(energy.ratio).toBeCloseTo(energy.energy!.ratio, 9);
    expect(energy.reason).not.toBe(p.dilution.reason);
  });

  test("a measured glass replaces the model, shrinks the doubt and is reproduced", () => {
    const m = place({ ...sour, dilution: { model: "measured", finishedVolumeMl: 152, sdMl: 1 } }, pantry);
    expect(m.dilution.used).toBe("measured");
    expect(m.finishedVolumeMl).toBeCloseTo(152, 8);
    expect(m.dilution.ratioSd).toBeCloseTo(1 / 105, 12);
    expect(m.sd.abvPercent).toBeLessThan(p.sd.abvPercent);
    expect(m.dilution.regression).toEqual(p.dilution.regression);
  });

  test("a calibration moves the water and replaces its doubt", () => {
    const c = place(
      { ...sour, dilution: { model: "regression", calibration: { factor: 0.9, sd: 0.03, n: 8 } } },
      pantry,
    ).dilution;
    expect(c.ratio).toBeCloseTo(0.9 * p.dilution.ratio, 12);
    expect(c.ratioSd).toBeCloseTo(0.03 * p.dilution.ratio, 12);
    expect(c.reason).toContain("8 measured rounds");
  });

  test.each<[Method, boolean]>([
    ["shaken", true],
    ["stirred", true],
    ["built", true],
    ["thrown", true],
    ["crushed", true],
    ["blended", false],
    ["carbonated", false],
  ])("%s: a curve always, an ice balance %s", (method, hasBalance) => {
    const d = place({ ...sour, method }, pantry).dilution;
    expect(d.regression).not.toBeNull();
    expect(d.energy !== null).toBe(hasBalance);
    expect(d.finalTempC !== null).toBe(hasBalance);
  });

  describe("which figure to trust", () => {
    const trusted = (spec: Spec) => {
      const { trust, because, used, reason } = place(spec, pantry).dilution;
      expect(reason.length).toBeGreaterThan(20);
      return { trust, because, used };
    };
    const scaled = (k: number) => ({
      ...sour,
      lines: sour.lines.map((l) => ({ ...l, amount: k * l.amount })),
    });
    const by = (dilution: Spec["dilution"], spec = sour) => trusted({ ...spec, dilution });

    test("the curve for a usual drink, the corrected one for other sizes and other ice", () => {
      expect(trusted(sour)).toEqual({ trust: "regression", because: "usual-drink", used: "regression" });
      for (const k of [0.5, 3]) {
        expect(trusted(scaled(k))).toMatchObject({ trust: "energy", because: "unusual-size" });
        expect(place(scaled(k), pantry).warnings.join()).toContain("figure to trust");
      }
      expect(by({ model: "energy", conditions: { iceTempC: -10 } })).toEqual({
        trust: "energy",
        because: "own-conditions",
        used: "energy",
      });
    });
    test.each(["built", "crushed", "blended", "thrown"] as const)(
      "%s: measure yours, with its own why",
      (method) => {
        expect(trusted({ ...sour, method })).toMatchObject({
          trust: "measure",
          because: "no-published-curve",
        });
        expect(place({ ...sour, method }, pantry).dilution.reason).toContain("Measure yours");
      },
    );
    test("a measurement, or measured rounds, over any curve", () => {
      expect(by({ model: "measured", waterMl: 50 })).toMatchObject({ trust: "measured" });
      const calibration = { factor: 0.9, sd: 0.05, n: 4 };
      expect(by({ model: "regression", calibration })).toMatchObject({
        because: "calibrated",
        trust: "regression",
      });
    });
    test("neither where the ice runs out or none melts", () => {
      expect(by({ model: "energy", conditions: { iceMassG: 20 } })).toMatchObject({
        because: "ice-runs-out",
      });
      const frozen = { shelfTempC: -20, fridgeTempC: -10, vesselTempC: -10, iceTempC: -20 };
      expect(by({ model: "energy", conditions: frozen })).toMatchObject({
        because: "ice-stays-whole",
        trust: "measure",
      });
    });
  });

  describe("temperature of the finished drink", () => {
    const cold = new Map([...pantry, ["soda", { ...pantry.get("soda")!, role: "lengthener" as const }]]);
    const tempOf = (spec: Spec) => place(spec, cold).dilution.finalTempC!;
    const topped = (ml: number): Spec => ({
      ...sour,
      lines: [...sour.lines, { ingredient: "soda", amount: ml, unit: "ml" }],
    });
    test("a topping warms it by plain mixing of heat", () => {
      expect(tempOf(topped(60))).toBeGreaterThan(tempOf(sour) + 2);
      expect(tempOf(topped(120))).toBeGreaterThan(tempOf(topped(60)));
      expect(tempOf(topped(1e5))).toBeCloseTo(5, 1);
    });
    test("a built drink with its soda stands near the ice's temperature, as a glass full of ice does", () => {
      const long = tempOf({ ...topped(100), method: "built" });
      expect(long).toBeGreaterThan(-2);
      expect(long).toBeLessThan(5);
    });
    test("its doubt is never under that of the freezing point", () => {
      const { finalTempSdC } = place(sour, pantry).dilution;
      expect(finalTempSdC!).toBeGreaterThanOrEqual(1);
    });
  });

  describe("the ice a drink is served on takes room in the glass", () => {
    const rocks: Glass = { ...coupe, id: "rocks", washLineMl: 210, brimMl: 260, iceMl: 60 };
    const inRocks = (more: Partial<Spec>) =>
      place({ ...sour, glass: "rocks", ...more }, pantry, { glasses: [rocks] }).washLine!;
    test("strained over it by habit of the glass, not if said otherwise", () => {
      expect(inRocks({}).iceMl).toBeCloseTo(55, 0);
      expect(inRocks({ servedOn: "none" }).iceMl).toBe(0);
      expect(inRocks({}).fillPercent).toBeCloseTo(
        inRocks({ servedOn: "none" }).fillPercent + (100 * 0.917 * 60) / 210,
        9,
      );
      expect(inRocks({}).verdict).toContain("counting 55 mL of ice");
    });
    test("left in the jug by a blender, and absent from a stemmed glass", () => {
      expect(inRocks({ method: "blended" }).iceMl).toBe(0);
      const up = place({ ...sour, glass: "coupe" }, pantry, { glasses: [coupe] }).washLine!;
      expect(up.iceMl).toBe(0);
    });
  });

  test("no ice: nothing is added, and the drink is only its contraction away from its pours", () => {
    const n = place({ ...sour, method: "none" }, pantry);
    expect(n.dilution).toMatchObject({ used: "none", waterMl: 0, ratioSd: 0, finalTempC: null });
    expect(n.finishedVolumeMl).toBeLessThan(105);
    expect(n.finishedVolumeMl).toBeGreaterThan(104);
    expect(n.warnings.join()).toContain("contract");
  });

  test("soda is topped by habit, mixed if the line says so", () => {
    const top = place({ ...sour, lines: [...sour.lines, ml("soda", 60)] }, pantry);
    const mixed = place({ ...sour, lines: [...sour.lines, ml("soda", 60, { stage: "mix" })] }, pantry);
    expect(top.dilution.waterMl).toBeCloseTo(p.dilution.waterMl, 12);
    expect(mixed.dilution.waterMl).toBeGreaterThan(top.dilution.waterMl);
  });

  test.each([
    [100, "Coupe", "sits low"],
    [151, "Coupe", "reaches"],
    [140, "Coupe", "fits"],
    [170, "Coupe", "above the wash line"],
    [200, "Coupe", "overflows"],
  ])("%s mL in a %s to 150 mL: %s", (volume, _name, verdict) => {
    const glass = { ...coupe, washLineMl: 150, brimMl: 180 };
    const w = place(
      { name: "w", method: "none", glass: "coupe", lines: [ml("soda", volume === 100 ? 80 : volume)] },
      pantry,
      { glasses: [glass] },
    ).washLine!;
    expect(w.verdict).toContain(verdict);
    expect(w.fillPercent).toBeCloseTo((100 * (volume === 100 ? 80 : volume)) / 150, 9);
  });

  test("no glass named, no fit; a glass we do not know is an error", () => {
    expect(p.washLine).toBeNull();
    expect(() => place({ ...sour, glass: "boot" }, pantry, { glasses: [coupe] })).toThrow("/glass");
  });

  test("cautions: alcohol by strength, and each poured ingredient's own, once", () => {
    const withEgg = place(
      { ...sour, lines: [...sour.lines, { ingredient: "egg", amount: 1, unit: "piece" }] },
      pantry,
    );
    expect(withEgg.cautions).toEqual(["alcohol", "raw-egg"]);
    const noEgg = place(
      { ...sour, lines: [...sour.lines, { ingredient: "egg", amount: 0, unit: "piece" }] },
      pantry,
    );
    expect(noEgg.cautions).toEqual(["alcohol"]);
    expect(place({ name: "w", method: "none", lines: [ml("soda", 100)] }, pantry).cautions).toEqual([]);
  });

  test("sugar : acid is null, not infinite, without acid", () => {
    expect(place({ name: "r", method: "stirred", lines: [ml("rum", 60)] }, pantry).sugarAcidRatio).toBeNull();
    expect(p.sugarAcidRatio).toBeCloseTo(p.point.sugarGPer100Ml / p.point.acidGPer100Ml, 12);
  });

  test("warns where the curve is out of its depth, where the ice runs out, where a measurement is odd", () => {
    const weak = place({ name: "w", method: "shaken", lines: [ml("lime", 60), ml("rum", 5)] }, pantry);
    expect(weak.warnings.join()).toContain("outside the 10–50 %");
    const odd = place({ ...sour, dilution: { model: "measured", finishedVolumeMl: 230 } }, pantry);
    expect(odd.warnings.join()).toContain("check the measurement");
    expect(weak.dilution).toMatchObject({ trust: "measure", because: "outside-curve" });
    const little = place({ ...sour, dilution: { model: "energy", conditions: { iceMassG: 20 } } }, pantry);
    expect(little.warnings.join()).toContain("use more ice");
  });

  test("names every bad line at once, with a remedy each", () => {
    const bad: Spec = {
      ...sour,
      lines: [
        ml("rum", 60),
        ml("unicorn", 10),
        ml("lime", -3),
        { ingredient: "rum", amount: 1, unit: "cask" as never },
      ],
    };
    try {
      place(bad, pantry);
      expect.unreachable();
    } catch (error) {
      const { issues } = error as EngineError;
      expect(issues.map((i) => i.pointer)).toEqual([
        "/lines/1/ingredient",
        "/lines/2/amount",
        "/lines/3/unit",
      ]);
      for (const i of issues) expect(i.remedy.length).toBeGreaterThan(5);
    }
  });

  test.each([
    [{ ...sour, lines: [] }, "/lines"],
    [{ ...sour, lines: [ml("rum", 0)] }, "/lines"],
    [{ ...sour, lines: [ml("rum", Number.POSITIVE_INFINITY)] }, "/lines/0/amount"],
    [{ ...sour, dilution: { model: "magic" } as never }, "/dilution/model"],
    [{ ...sour, dilution: { model: "measured" as const } }, "/dilution"],
  ])("refuses bad input, case %#", (spec, pointer) => {
    expect(() => place(spec, pantry)).toThrow(EngineError);
    expect(() => place(spec, pantry)).toThrow(pointer);
  });
  test("refuses a price that is no price", () => {
    expect(() => place(sour, pantry, { prices: new Map([["rum", Number.NaN]]) })).toThrow("/prices/rum");
  });
});

describe("properties of placing", () => {
  const ids = [...pantry.keys()];
  const amount = fc.double({ min: 0, max: 120, noNaN: true });
  const lines = fc
    .array(fc.record({ ingredient: fc.constantFrom(...ids), amount, unit: fc.constant("ml" as const) }), {
      minLength: 1,
      maxLength: 8,
    })
    .filter((ls) => ls.some((l) => l.amount > 1));
  const method = fc.constantFrom(...METHOD_IDS);
  const pointOf = (spec: Spec) => place(spec, pantry).point;
  const near = (a: Spec, b: Spec, tolerance: number) => {
    const [p, q] = [pointOf(a), pointOf(b)];
    for (const k of ["sugarGPer100Ml", "acidGPer100Ml", "abvPercent"] as const) {
      expect(Math.abs(p[k] - q[k])).toBeLessThanOrEqual(tolerance);
    }
  };

  test("the order of the lines does not matter", () => {
    fc.assert(
      fc.property(lines, method, fc.integer({ min: 0, max: 7 }), (ls, m, k) => {
        const turned = [...ls.slice(k % ls.length), ...ls.slice(0, k % ls.length)].reverse();
        near({ name: "a", method: m, lines: ls }, { name: "a", method: m, lines: turned }, 1e-9);
      }),
    );
  });

  test("twice the drink is the same drink", () => {
    fc.assert(
      fc.property(lines, method, fc.double({ min: 0.1, max: 20, noNaN: true }), (ls, m, k) => {
        const scaled = ls.map((l) => ({ ...l, amount: l.amount * k }));
        near({ name: "a", method: m, lines: ls }, { name: "a", method: m, lines: scaled }, 1e-8);
      }),
    );
  });

  test("one line split into two of the same ingredient is the same drink, covariance of composition included", () => {
    fc.assert(
      fc.property(lines, method, fc.double({ min: 0, max: 1, noNaN: true }), (ls, m, part) => {
        const [first, ...rest] = ls;
        const split = [
          { ...first!, amount: first!.amount * part },
          { ...first!, amount: first!.amount * (1 - part) },
          ...rest,
        ];
        near({ name: "a", method: m, lines: ls }, { name: "a", method: m, lines: split }, 1e-9);
        const composition = (x: SpecLine[]) =>
          place({ name: "a", method: m, lines: x }, pantry)
            .doubts.filter((d) => d.id !== "pour")
            .reduce((s, d) => s + d.variance[0], 0);
        expect(composition(split)).toBeCloseTo(composition(ls), 9);
      }),
    );
  });

  test("continuous: a hair more of anything moves the point by a hair", () => {
    fc.assert(
      fc.property(lines, method, fc.nat(7), (ls, m, k) => {
        const at = k % ls.length;
        const nudged = ls.map((l, i) => (i === at ? { ...l, amount: l.amount + 1e-7 } : l));
        near({ name: "a", method: m, lines: ls }, { name: "a", method: m, lines: nudged }, 1e-4);
      }),
    );
  });

  test("one liquid alone without ice is itself", () => {
    for (const id of ids.filter((x) => x !== "sugar")) {
      const i = pantry.get(id)!;
      const p = place({ name: "a", method: "none", lines: [ml(id, 73)] }, pantry);
      expect(p.finishedVolumeMl).toBeCloseTo(73, 9);
      expect(p.point.abvPercent).toBeCloseTo(i.abvPercent.value, 9);
      const sugars = Object.values(i.sugarsGPer100Ml).reduce((s, v) => s + v.value, 0);
      expect(p.point.sugarGPer100Ml).toBeCloseTo(sugars, 9);
    }
  });

  test("no NaN, no infinity, nothing negative that cannot be; the covariance is a covariance", () => {
    fc.assert(
      fc.property(lines, method, (ls, m) => {
        const p = place({ name: "a", method: m, lines: ls }, pantry);
        for (const x of numbersIn(p)) expect(Number.isFinite(x)).toBe(true);
        expect(
          Math.min(p.point.sugarGPer100Ml, p.point.acidGPer100Ml, p.point.abvPercent),
        ).toBeGreaterThanOrEqual(0);
        const c = p.covariance;
        for (let i = 0; i < 3; i++) {
          for (let j = 0; j < 3; j++) {
            expect(c[i]![j]).toBe(c[j]![i]);
            expect(c[i]![j]! ** 2).toBeLessThanOrEqual(c[i]![i]! * c[j]![j]! * (1 + 1e-9) + 1e-300);
          }
        }
      }),
    );
  });

  test("a swap of one spirit for another of the same strength moves nothing here: the axes cannot see aroma", () => {
    const gin = { ...ingredient("gin", { abv: 40 }), name: "gin" };
    const wider = new Map([...pantry, ["gin", gin]]);
    const swapped = { ...sour, lines: [ml("gin", 60), ...sour.lines.slice(1)] };
    expect(place(swapped, wider).point).toEqual(place(sour, wider).point);
  });
});
