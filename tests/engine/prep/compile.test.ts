import { describe, expect, test } from "vitest";
import { place } from "../../../engine/place/place.ts";
import { affectedBy, compilePreps, labelOf, withPreps } from "../../../engine/prep/compile.ts";
import { addDays } from "../../../engine/prep/dates.ts";
import type { Prep, SteepedId } from "../../../engine/prep/types.ts";
import type { Spec } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const g = (ingredient: string, amount: number) => ({ ingredient, amount, unit: "g" as const });
const ml = (ingredient: string, amount: number) => ({ ingredient, amount, unit: "ml" as const });
const prep = (id: string, parts: Prep["parts"], more: Partial<Prep> = {}): Prep => ({
  id,
  name: id.replaceAll("-", " "),
  role: "syrup",
  parts,
  storage: "fridge",
  madeOn: "2031-05-09",
  batch: "1",
  ...more,
});
const honey = prep("honey-syrup", [g("honey", 300), g("water", 100)]);
const sour = prep("sour-orange", [ml("juice-orange", 500), g("citric-acid", 16), g("malic-acid", 10)], {
  role: "sour-juice",
});
const cordial = prep("orange-cordial", [ml("sour-orange", 300), g("honey-syrup", 200), g("sugar", 100)]);
const one = (p: Prep, others: Prep[] = []) => {
  const { compiled, failed } = compilePreps([p, ...others], pantry);
  expect([...failed]).toEqual([]);
  return compiled.get(p.id)!;
};

describe("preps as ingredients", () => {
  test("nested: a cordial of an adjusted juice and a syrup holds what they hold, in any order of records", () => {
    const c = one(cordial, [honey, sour]);
    const again = compilePreps([sour, honey, cordial], pantry).compiled.get("orange-cordial")!;
    expect(again.composition).toEqual(c.composition);
    expect(c.contains.sort()).toEqual(["honey-syrup", "sour-orange"]);
    const [s, h] = [one(sour), one(honey)];
    const sugarG =
      (300 * s.composition.sugarGPer100Ml.value) / 100 +
      ((200 / h.composition.densityGPerMl.value) * h.composition.sugarGPer100Ml.value) / 100 +
      99.76;
    expect((c.composition.sugarGPer100Ml.value * c.composition.volumeMl.value) / 100).toBeCloseTo(sugarG, 1);
  });

  test("used by a spec like any other ingredient, its doubt included", () => {
    const wider = withPreps(pantry, compilePreps([honey], pantry));
    const spec: Spec = {
      name: "x",
      method: "shaken",
      lines: [ml("rum-white", 60), ml("juice-lime", 22), ml("honey-syrup", 20)],
    };
    const p = place(spec, wider);
    expect(p.doubts.some((d) => d.id === "honey-syrup:sugar")).toBe(true);
    expect(p.cautions).toContain("honey-infants");
  });

  test("a change of a part changes all that hold it", () => {
    const richer = { ...honey, parts: [g("honey", 390), g("water", 10)] };
    const [a, b] = [one(cordial, [honey, sour]), one(cordial, [richer, sour])];
    expect(b.composition.sugarGPer100Ml.value).toBeGreaterThan(a.composition.sugarGPer100Ml.value + 3);
  });

  test("lists what a change touches, and only that", () => {
    const other = prep("plain", [g("sugar", 1), g("water", 1)]);
    const uses = (id: string) => ({ lines: [ml(id, 20)] });
    const specs = [uses("orange-cordial"), uses("plain"), uses("honey-syrup")];
    const { preps, specs: touched } = affectedBy("honey-syrup", [cordial, honey, sour, other], specs);
    expect(preps.map((p) => p.id)).toEqual(["orange-cordial"]);
    expect(touched).toEqual([specs[0], specs[2]]);
    expect(affectedBy("juice-orange", [cordial, honey, sour, other], specs).preps.map((p) => p.id)).toEqual([
      "orange-cordial",
      "sour-orange",
    ]);
  });

  test("one that holds itself is named, and spoils only what holds it", () => {
    const loop = [
      prep("a", [ml("b", 10), ml("water", 5)]),
      prep("b", [ml("c", 10)]),
      prep("c", [ml("a", 10)]),
    ];
    const { compiled, failed } = compilePreps([...loop, honey], pantry);
    expect([...compiled.keys()]).toEqual(["honey-syrup"]);
    expect([...failed.keys()].sort()).toEqual(["a", "b", "c"]);
    const [issue] = failed.get("a")!;
    expect(issue!.detail).toContain("a → b → c → a");
    expect(issue!.pointer).toContain("/parts");
  });

  test("an unknown part is named", () => {
    const { failed } = compilePreps([prep("x", [ml("water", 5), ml("unicorn", 1)])], pantry);
    expect(failed.get("x")![0]!.pointer).toBe("/parts/1/ingredient");
  });

  test("a batch measured: its own figures replace the table's and say by what", () => {
    const juice = prep("lemon-today", [ml("juice-lemon", 700)], {
      role: "sour-juice",
      measured: [
        { kind: "titration", titreMl: 37.5, normality: 0.1, sampleMl: 5 },
        { kind: "ph", ph: 2.35 },
      ],
    });
    const c = one(juice);
    expect(c.composition.acidGPer100Ml.value).toBeCloseTo(4.803, 2);
    expect(c.composition.acidGPer100Ml.sd).toBeLessThan(0.08);
    expect(c.replaced.map((r) => [r.quantity, r.by])).toEqual([["acid", "titration"]]);
    expect(c.ph).toMatchObject({ value: 2.35, source: "own-measurement" });
    expect(c.ingredient.acidsGPer100Ml.citric!.source).toBe("own-measurement");
  });

  test("pH by charge balance where the minerals are known, unknown where they are not", () => {
    expect(one(sour).ph!.value).toBeLessThan(3);
    expect(one(prep("x", [ml("verjus", 100)], { role: "sour-juice" })).ph).toBeNull();
  });

  test("simmering takes water: the same solids in less", () => {
    const [plain, thick] = [undefined, { beforeG: 1000, afterG: 700 }].map((simmered) =>
      one(prep("s", [g("sugar", 400), g("water", 600)], { simmered })),
    );
    expect(thick!.composition.solidsPercent.value).toBeCloseTo(
      plain!.composition.solidsPercent.value / 0.7,
      6,
    );
    expect(thick!.cautions).toContain("hot-sugar");
    expect(plain!.cautions).not.toContain("hot-sugar");
  });

  test("what was steeped leaves the numbers alone, and brings its caution", () => {
    const plain = one(honey);
    const steeped = one({ ...honey, steeped: ["cassia"] });
    expect(steeped.composition).toEqual(plain.composition);
    expect(steeped.cautions).toEqual(expect.arrayContaining(["coumarin", "infusion", "honey-infants"]));
  });

  test.each<[SteepedId, string]>([
    ["cinchona", "quinine"],
    ["activated-charcoal", "charcoal"],
    ["tonka", "coumarin"],
    ["low-acid-plants", "low-acid"],
    ["fat-or-oil", "low-acid"],
    ["milk", "milk"],
    ["raw-egg", "raw-egg"],
    ["nuts", "nuts"],
    ["spice-or-herb", "infusion"],
    ["fruit-or-peel", "infusion"],
  ])("%s carries %s, and the data has its words and source", (steeped, caution) => {
    expect(one({ ...honey, steeped: [steeped] }).cautions).toContain(caution);
    expect(data.cautions.find((c) => c.id === caution)!.source.length).toBeGreaterThan(3);
  });

  test("alcohol brings its cautions; strong acids theirs", () => {
    const batch = one(prep("batch", [ml("rum-white", 500), ml("water", 200)], { role: "spirit" }));
    expect(batch.cautions).toEqual(expect.arrayContaining(["alcohol", "batching"]));
    expect(one(sour).cautions).toContain("strong-acid");
  });
});

describe("how long it keeps", () => {
  const kept = (p: Prep) => {
    const { keeping, useBy } = one(p);
    return [keeping.because, keeping.days, useBy];
  };
  test.each<[string, Prep, unknown[]]>([
    ["fresh citrus: the day", prep("x", [ml("juice-lime", 100)]), ["fresh-citrus", 1, "2031-05-10"]],
    ["adjusted juice", sour, ["juice", 3, "2031-05-12"]],
    ["a thin syrup", prep("x", [g("sugar", 100), g("water", 100)]), ["thin-syrup", 7, "2031-05-16"]],
    ["a rich one", prep("x", [g("sugar", 200), g("water", 100)]), ["rich-syrup", 28, "2031-06-06"]],
    ["a spirit", prep("x", [ml("gin", 100)]), ["spirit-strength", 90, "2031-08-07"]],
    ["wine", prep("x", [ml("vermouth-sweet", 100)]), ["wine-strength", 14, "2031-05-23"]],
    ["egg, whatever else", prep("x", [ml("gin", 100), ml("egg-white", 30)]), ["raw-egg", 1, "2031-05-10"]],
    [
      "herbs in a syrup",
      prep("x", [g("sugar", 200), g("water", 100)], { steeped: ["low-acid-plants"] }),
      ["low-acid", 7, "2031-05-16"],
    ],
    ["acid in water", prep("x", [g("citric-acid", 10), g("water", 90)]), ["acid-solution", 28, "2031-06-06"]],
  ])("%s", (_what, p, expected) => {
    expect(kept(p)).toEqual(expected);
  });
  test("no longer than what is in it", () => {
    const old = { ...sour, madeOn: "2031-05-05" };
    expect(one({ ...cordial, madeOn: "2031-05-09" }, [honey, old]).useBy).toBe("2031-05-08");
  });
  test("every source it names is in the table", () => {
    const sources = new Set(data.sources.map((s) => s.id));
    for (const p of [sour, honey, prep("x", [ml("gin", 9)]), prep("y", [g("sugar", 1), g("water", 1)])]) {
      expect(sources).toContain(one(p).keeping.source);
    }
    expect(sources).toContain("own-measurement");
  });
  test("warns when it stands too warm", () => {
    expect(one({ ...honey, storage: "shelf" }).keeping.tooWarm).toBe(true);
    expect(one(honey).keeping.tooWarm).toBe(false);
    expect(one(prep("x", [ml("gin", 100)], { storage: "shelf" })).keeping.tooWarm).toBe(false);
  });
});

describe("labels and dates", () => {
  test("a label names parts by weight, allergens, strength and use-by", () => {
    const label = labelOf(
      one(
        prep("milk-punch", [ml("rum-white", 300), ml("milk", 200), ml("juice-lemon", 100)], {
          role: "spirit",
          batch: "7",
        }),
      ),
    );
    expect(label).toMatchObject({ batch: "7", madeOn: "2031-05-09", useBy: "2031-05-12" });
    expect(label.ingredients[0]).toContain("um");
    expect(label.allergens).toContain("milk");
    expect(label.abvPercent.value).toBeGreaterThan(15);
  });
  test.each([
    ["2031-02-28", 1, "2031-03-01"],
    ["2032-02-28", 1, "2032-02-29"],
    ["2031-12-31", 1, "2032-01-01"],
    ["2031-03-30", 7, "2031-04-06"],
  ])("%s and %s days is %s", (from, days, to) => {
    expect(addDays(from, days)).toBe(to);
  });
  test.each(["2031-02-30", "31-05-09", "tomorrow", ""])("%s is no date", (madeOn) => {
    const { failed } = compilePreps([{ ...honey, madeOn }], pantry);
    expect(failed.get("honey-syrup")![0]!.pointer).toBe("/madeOn");
  });
});

test("water with acids has a pH; water with sugar has none to speak of", () => {
  const sour = one(prep("sour-water", [g("water", 1000), g("citric-acid", 60)], { role: "acid" }));
  expect(sour.ph!.value).toBeGreaterThan(1.5);
  expect(sour.ph!.value).toBeLessThan(2.2);
  expect(one(prep("plain", [g("water", 100), g("sugar", 100)])).ph).toBeNull();
});
