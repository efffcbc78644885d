import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import { ownIngredient } from "../../engine/prep/own-ingredient.ts";
import { encodeViewWithBench } from "../../viz/state/link-bench.ts";
import { decodeView } from "../../viz/state/link-reader.ts";
import { encodeView } from "../../viz/state/link-writer.ts";
import type { TargetPart, View } from "../../viz/state/view.ts";
import { DEFAULT_ASK } from "../../viz/state/view.ts";

const NOTHING = { ingredients: [], preps: [] };

const VIEW: View = {
  spec: {
    name: "Roof & maple, 2nd #try",
    method: "shaken",
    glass: "coupe",
    dilution: { model: "measured", finishedVolumeMl: 104.5, sdMl: 2 },
    lines: [
      { ingredient: "rum-aged", amount: 1.75, unit: "oz" },
      { ingredient: "juice-lime", amount: 11.25, unit: "ml" },
      { ingredient: "bitters-aromatic", amount: 2, unit: "dash" },
      { ingredient: "soda-water", amount: 2, unit: "imperial-oz", stage: "top" },
    ],
  },
  rules: { "rum-aged": { locked: true }, "juice-lime": { minMl: 5, maxMl: 30 }, "soda-water": { maxMl: 90 } },
  target: [
    { kind: "family", family: "egg-white-sour", coverage: 0.9 },
    { kind: "family", family: "sour", coverage: 0.75, era: "modern" },
    { kind: "near", drink: "daiquiri" },
    { kind: "band", band: "band-shaken" },
    { kind: "box", sugar: [5, 9], acid: [null, 0.9], abv: [null, null] },
    { kind: "ratio", min: 6, max: null },
    { kind: "plane", normal: [1, -2.5, 0], offset: 4 },
    {
      kind: "table",
      mean: [7.1, 0.72, 15.5],
      covariance: [0.4, 0.01, -0.02, 0.006, 0, 1.1],
      radius: 2.1,
      family: "sour",
    },
    {
      kind: "table",
      mean: [7.1, 0.72, 15.5],
      covariance: [0.4, 0, 0, 0.006, 0, 1.1],
      radius: 1,
      family: null,
    },
  ],
  units: "ml",
  ladder: { id: "own", stepMl: 2.5 },
  bench: "demo-rooftop",
  round: "round-3",
  reference: "daiquiri",
  ask: {
    additions: ["juice-lemon", "acid-citric"],
    maxTouched: 2,
    maxFinishedMl: 140,
    character: [
      { ingredient: "rum-aged", minSharePercent: 30 },
      { ingredient: "juice-pineapple", atLeastAsMuchAs: "syrup-maple" },
    ],
    minProbability: 0.8,
    measure: "drift",
    driftBudget: 2.5,
    anyGlass: true,
    release: ["size", "base"],
  },
  unitSettings: { ...DEFAULT_UNIT_SETTINGS, dashMl: 0.8, dashSdMl: 0.15, partMl: 22.5 },
  measured: { "juice-pineapple": { sugar: 12.6, acid: 0.72 }, "rum-aged": { abv: 43.2 } },
};

/** Through the address bar, as a browser would write and read it. */
const throughAddress = (fragment: string) => new URL(`http://localhost/#${fragment}`).hash;

describe("the view in the address", () => {
  test("comes back whole", () => {
    const { view, problems } = decodeView(throughAddress(encodeView(VIEW)));
    expect(problems).toEqual([]);
    expect(view).toEqual(VIEW);
  });

  test.each([
    {
      model: "energy",
      conditions: { iceTempC: -8, adherentWaterShare: 0.05 },
      calibration: { factor: 1.08, sd: 0.05, n: 3 },
    },
    { model: "regression", calibration: { factor: 0.93, sd: 0.06, n: 1 } },
    { model: "regression" },
    { model: "measured", finishedMassG: 131 },
    { model: "measured", waterMl: 0 },
  ] as const)("keeps the water from ice: %j", (dilution) => {
    const { view, problems } = decodeView(
      throughAddress(encodeView({ ...VIEW, spec: { ...VIEW.spec, dilution } })),
    );
    expect(problems).toEqual([]);
    expect(view.spec?.dilution).toEqual(dilution);
  });

  test("says its version first and stays short enough to send", () => {
    const text = encodeView(VIEW);
    expect(text.startsWith("v=1&")).toBe(true);
    expect(text.length).toBeLessThan(900);
  });

  test("comes back whole for any amounts, rules and limits", () => {
    const id = fc.stringMatching(/^[a-z][a-z0-9-]{0,20}$/);
    const number = fc.double({ min: 0.01, max: 900, noNaN: true }).map((x) => Number(x.toPrecision(6)));
    const interval = fc
      .tuple(fc.option(number), fc.option(number))
      .filter(([low, high]) => low === null || high === null || low <= high);
    const part: fc.Arbitrary<TargetPart> = fc.oneof(
      fc.record({
        kind: fc.constant("family" as const),
        family: id,
        coverage: fc.constantFrom(0.5, 0.75, 0.95),
      }),
      fc.record({ kind: fc.constant("box" as const), sugar: interval, acid: interval, abv: interval }),
    );
    fc.assert(
      fc.property(
        fc.uniqueArray(id, { minLength: 1, maxLength: 12 }),
        fc.array(number, { minLength: 12, maxLength: 12 }),
        fc.array(part, { maxLength: 3 }),
        fc.string({ minLength: 1, maxLength: 40, unit: "grapheme" }),
        fc.boolean(),
        (ids, amounts, target, name, locked) => {
          const view: View = {
            ...VIEW,
            spec: {
              name,
              method: "stirred",
              lines: ids.map((ingredient, i) => ({ ingredient, amount: amounts[i]!, unit: "oz" as const })),
            },
            rules: locked ? { [ids[0]!]: { locked: true, minMl: amounts[0]! } } : {},
            target,
            ask: DEFAULT_ASK,
          };
          const back = decodeView(throughAddress(encodeView(view)));
          expect(back.problems).toEqual([]);
          expect(back.view.spec).toEqual(view.spec);
          expect(back.view.rules).toEqual(view.rules);
          expect(back.view.target ?? []).toEqual(target);
        },
      ),
      { numRuns: 300 },
    );
  });

  test("never throws, whatever the address holds", () => {
    const key = fc.constantFrom(
      "v",
      "n",
      "m",
      "l",
      "d",
      "t",
      "u",
      "k",
      "b",
      "r",
      "h",
      "a",
      "c",
      "mt",
      "mf",
      "mp",
      "ms",
      "md",
    );
    const pair = fc
      .tuple(key, fc.string({ unit: "binary", maxLength: 60 }))
      .map(([k, value]) => `${k}=${value}`);
    fc.assert(
      fc.property(fc.array(pair, { maxLength: 12 }), fc.boolean(), (pairs, versioned) => {
        const { view, problems } = decodeView(`#${versioned ? "v=1&" : ""}${pairs.join("&")}`);
        for (const line of view.spec?.lines ?? []) expect(Number.isFinite(line.amount)).toBe(true);
        expect(Array.isArray(problems)).toBe(true);
      }),
      { numRuns: 500 },
    );
  });

  test("can carry the bench with its rounds, fork, words and all", () => {
    const spec = VIEW.spec;
    const round = (number: number, parent: number | null, rest: object = {}) => ({
      id: `r${number}`,
      number,
      parent: parent === null ? null : `r${parent}`,
      label: `Try ${number}: “more & less” 50 %`,
      spec: { ...spec, name: `Drink ${number}` },
      ...rest,
    });
    const bench = {
      id: "mine",
      name: "Roof & terrace",
      target: "",
      current: "r3",
      rounds: [
        round(1, null, { faults: ["thin", "dull, flat"] }),
        round(2, 1, { abandoned: true, notes: "No.\nNot this = that & more" }),
        round(3, 1, { state: "kept" }),
        round(4, 3, { state: "rejected", abandoned: true }),
        round(5, 3, { state: "final" }),
      ],
    };
    const fragment = throughAddress(
      encodeViewWithBench({ ...VIEW, bench: "mine", round: "r3" }, bench, NOTHING),
    );
    const { bench: back, view, problems, settle } = decodeView(fragment);
    expect(problems).toEqual([]);
    expect(settle).toBeUndefined();
    expect(back).toEqual({ ...bench, id: "linked" });
    expect(view.spec).toEqual(spec);
    expect(fragment.length).toBeLessThan(3000);
  });

  test("what a bench pours of the sender's own comes along, and settles in the house it comes to", () => {
    const shrub = ownIngredient({
      id: "own-shrub",
      name: "Quince & “shrub” 50 %",
      role: "sour-juice",
      brix: 31,
    });
    const spec = { ...VIEW.spec, lines: [{ ingredient: shrub.id, amount: 2, unit: "oz" as const }] };
    const round = { id: "r1", number: 1, parent: null, label: "One", spec };
    const bench = { id: "mine", name: "Quince", target: "", current: "r1", rounds: [round] };
    const view = { ...VIEW, spec, rules: { [shrub.id]: { locked: true } } };
    const link = throughAddress(encodeViewWithBench(view, bench, { ingredients: [shrub], preps: [] }));
    const decoded = decodeView(link);
    expect(decoded.problems).toEqual([]);
    expect(decoded.settle!([], {}).settings).toEqual({ own: [shrub], preps: [] });
    // Another's shrub by the same id stays, and the one that came is poured under an id of its own.
    const theirs = ownIngredient({ id: "own-shrub", name: "Shrub", role: "sour-juice", brix: 12 });
    const { decoded: there, settings } = decoded.settle!([], { own: [theirs] });
    expect(settings.own![0]).toBe(theirs);
    const { id } = settings.own![1]!;
    expect(id).not.toBe(shrub.id);
    expect(there.view.spec!.lines[0]!.ingredient).toBe(id);
    expect(there.view.rules).toEqual({ [id]: { locked: true } });
    expect(there.bench!.rounds[0]!.spec.lines[0]!.ingredient).toBe(id);
  });

  test("unknown keys are ignored", () => {
    const { view, problems } = decodeView("#v=1&l=rum-aged:2oz&zoom=3&utm=x");
    expect(problems).toEqual([]);
    expect(view.spec?.lines).toEqual([{ ingredient: "rum-aged", amount: 2, unit: "oz" }]);
  });

  test.each([
    ["l=rum-aged:2oz&l=rum:twoz", "line “rum:twoz”"],
    ["l=rum-aged:2oz&l=rum:2parsec", "line “rum:2parsec”"],
    ["l=rum-aged:2oz&m=juggled", "method “juggled”"],
    ["t=box:9..5,..,..", "target “box:9..5,..,..”"],
    ["t=ratio:..", "target “ratio:..”"],
    ["t=plane:0,0,0,1", "target “plane:0,0,0,1”"],
    ["l=a:1oz&d=energy@iceTempC=cold", "dilution “energy@iceTempC=cold”"],
    ["l=a:1oz&d=regression*1.1", "dilution “regression*1.1”"],
    ["o=rum-aged:v120", "own figure “rum-aged:v120”"],
    ["w=dash:-1", "measure “dash:-1”"],
    ["k=own:0", "ladder “own:0”"],
    ["u=pints", "unit “pints”"],
    ["mp=1.5", "chance “1.5”"],
    ["c=rum-aged:share:120", "character rule “rum-aged:share:120”"],
  ])("says which part of %s it could not read, and keeps the rest", (text, named) => {
    const { view, problems } = decodeView(`#v=1&r=round-2&${text}`);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(named);
    expect(view.round).toBe("round-2");
  });

  test("another version is refused with a sentence, not misread", () => {
    const { view, problems } = decodeView("#v=2&l=rum-aged:2oz");
    expect(view).toEqual({});
    expect(problems[0]).toContain("version");
  });

  test("an address that is no view is left alone", () => {
    expect(decodeView("#spec")).toEqual({ view: {}, bench: null, problems: [] });
    expect(decodeView("")).toEqual({ view: {}, bench: null, problems: [] });
  });

  test("a flood is refused", () => {
    expect(decodeView(`#v=1&n=${"x".repeat(70_000)}`).problems[0]).toContain("too long");
  });
});
