import { describe, expect, test } from "vitest";
import { DEFAULT_UNIT_SETTINGS } from "../../../engine/amounts/units.ts";
import { alongWith, arriving, pouredAs } from "../../../engine/bench/along.ts";
import { pantryWithFigures } from "../../../engine/mix/own-figures.ts";
import { place } from "../../../engine/place/place.ts";
import { compilePreps } from "../../../engine/prep/compile.ts";
import { ownIngredient } from "../../../engine/prep/own-ingredient.ts";
import type { Prep } from "../../../engine/prep/types.ts";
import { alongShape } from "../../../engine/shapes/bench.ts";
import { check } from "../../../engine/shapes/check.ts";
import type { Ingredient, Spec } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

// Invented houses. The oracle is the sender's own placement: the same point must come out elsewhere, to the last digit.

const { pantry: books } = loadReferenceData();
const prep = (id: string, name: string, parts: Prep["parts"], more: Partial<Prep> = {}): Prep => ({
  id,
  name,
  role: "syrup",
  parts,
  storage: "fridge",
  madeOn: "2031-05-09",
  batch: "1",
  ...more,
});
const shrub = ownIngredient({
  id: "own-shrub",
  name: "Quince shrub",
  role: "sour-juice",
  brix: 31,
  acidGPer100Ml: 2,
});
const honey = prep(
  "honey-syrup-own",
  "Honey syrup",
  [
    { ingredient: "honey", amount: 300, unit: "g" },
    { ingredient: "water", amount: 100, unit: "g" },
  ],
  { measured: [{ kind: "refractometer", readingBrix: 58 }] },
);
const cordial = prep("cordial-own", "Quince cordial", [
  { ingredient: "own-shrub", amount: 300, unit: "ml" },
  { ingredient: "honey-syrup-own", amount: 200, unit: "g" },
]);
const SIZES = { ...DEFAULT_UNIT_SETTINGS, barspoonMl: 3.5 };
const SPEC: Spec = {
  name: "Quince sour",
  method: "shaken",
  lines: [
    { ingredient: "rum-aged", amount: 2, unit: "oz" },
    { ingredient: "juice-lime", amount: 0.75, unit: "oz" },
    { ingredient: "cordial-own", amount: 0.5, unit: "oz" },
    { ingredient: "syrup-simple-1-1", amount: 1, unit: "barspoon" },
  ],
};

/** A house with its own, its preps worked out, and what it measured. */
function house(own: Ingredient[], preps: Prep[], measured: Parameters<typeof pantryWithFigures>[1] = {}) {
  const base = pantryWithFigures([...books, ...own], measured);
  const { compiled, failed } = compilePreps(preps, base);
  expect([...failed]).toEqual([]);
  const made = [...compiled.values()].map(({ ingredient }) => ingredient);
  return { pantry: new Map([...base, ...made.map((i) => [i.id, i] as const)]), preps, unitSettings: SIZES };
}

const SENDER = house([shrub], [honey, cordial], {
  "juice-lime": { sugar: 1.4, acid: 5.1 },
  "rum-aged": { abv: 42.5 },
});
/** What they send, through a file. */
const sent = () => check(alongShape, JSON.parse(JSON.stringify(alongWith([SPEC], SENDER))));
const pointIn = (spec: Spec, pantry: ReadonlyMap<string, Ingredient>) => {
  const { point, covariance } = place(spec, pantry, { unitSettings: SIZES });
  return { point, covariance };
};

describe("what comes along with a bench", () => {
  test("is what its specs pour of the house's own, preps with what they are made of, and nothing else", () => {
    const more = house(
      [shrub, ownIngredient({ id: "own-idle", name: "Idle", role: "other" })],
      [honey, cordial],
    );
    const along = alongWith([SPEC], more);
    expect(along.ingredients.map(({ id }) => id).sort()).toEqual([
      "cordial-own",
      "honey-syrup-own",
      "own-shrub",
    ]);
    expect(along.preps.map(({ id }) => id).sort()).toEqual(["cordial-own", "honey-syrup-own"]);
    expect(along.unitSettings).toEqual(SIZES);
    const plain = { ...SPEC, lines: SPEC.lines.slice(0, 2) };
    expect(alongWith([plain], more)).toEqual({ ingredients: [], preps: [] });
  });

  test.each([
    ["a clean house", house([], [])],
    ["the same house", SENDER],
    [
      "one that measured the same juice and made its own of the same id",
      house([{ ...shrub, abvPercent: { value: 12, sd: 1, source: "user" } }], [{ ...honey, measured: [] }], {
        "juice-lime": { acid: 6.2 },
        "rum-aged": { abv: 40.5 },
      }),
    ],
  ])("comes to the same point and the same doubt in %s", (_name, there) => {
    const came = arriving(sent(), there.pantry);
    const after = new Map([...there.pantry, ...came.ingredients.map((i) => [i.id, i] as const)]);
    expect(pointIn(pouredAs(SPEC, came), after)).toEqual(pointIn(SPEC, SENDER.pantry));
    // Nothing that was there is another one now.
    for (const [id, ingredient] of there.pantry) expect(after.get(id)).toBe(ingredient);
    // A prep is worked out again there, from its record, as the ingredient that came.
    const preps = [...there.preps, ...came.preps];
    expect(new Set(preps.map(({ id }) => id)).size).toBe(preps.length);
    const { compiled, failed } = compilePreps(preps, after);
    expect([...failed]).toEqual([]);
    for (const { id } of came.preps) expect(compiled.get(id)!.ingredient.name).toBe(after.get(id)!.name);
  });

  test("twice is there once", () => {
    const there = house([], [], { "juice-lime": { acid: 6.2 } });
    const first = arriving(sent(), there.pantry);
    const after = new Map([...there.pantry, ...first.ingredients.map((i) => [i.id, i] as const)]);
    const second = arriving(sent(), after);
    expect(second.ingredients).toEqual([]);
    expect(second.preps).toEqual([]);
    expect(pouredAs(SPEC, second)).toEqual(pouredAs(SPEC, first));
  });

  test("a name that is taken is told apart", () => {
    const there = house([], [], { "juice-lime": { acid: 6.2 } });
    const came = arriving(sent(), there.pantry);
    const lime = came.ingredients.find(({ id }) => id === came.idOf("juice-lime"))!;
    expect(lime.id).not.toBe("juice-lime");
    expect(lime.name).toBe(`${there.pantry.get("juice-lime")!.name} (as sent)`);
  });
});
