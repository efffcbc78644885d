import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { scaledDistance, toVec } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { place } from "../../../engine/place/place.ts";
import { analyseTrail, MOST_EXACT_CHANGES } from "../../../engine/trail/analyse-trail.ts";
import { shapleyShares } from "../../../engine/trail/shapley.ts";
import type { Ingredient, Pantry, Role, Round, Spec, SpecLine, Vec3 } from "../../../engine/types.ts";

const exactly = (value: number) => ({ value, sd: 0, source: "test" });

/** Invented ingredients with round numbers. */
function ingredient(
  id: string,
  role: Role,
  {
    abv = 0,
    sugar = 0,
    acid = 0,
    syrup,
  }: { abv?: number; sugar?: number; acid?: number; syrup?: Ingredient["syrup"] },
): Ingredient {
  return {
    id,
    name: id.replaceAll("-", " "),
    role,
    aliases: [],
    abvPercent: exactly(abv),
    sugarsGPer100Ml: sugar > 0 ? { sucrose: exactly(sugar) } : {},
    acidsGPer100Ml: acid > 0 ? { citric: exactly(acid) } : {},
    ...(syrup ? { syrup } : {}),
  };
}

const PANTRY: Pantry = new Map(
  [
    ingredient("plain-rum", "spirit", { abv: 40 }),
    ingredient("other-rum", "spirit", { abv: 40 }),
    ingredient("strong-rum", "spirit", { abv: 60 }),
    ingredient("lime", "sour-juice", { sugar: 1.5, acid: 6 }),
    ingredient("lemon", "sour-juice", { sugar: 2, acid: 6 }),
    ingredient("lemon-again", "sour-juice", { sugar: 2, acid: 6 }),
    ingredient("thin-syrup", "syrup", { sugar: 62, syrup: { family: "cane", ratio: "1:1" } }),
    ingredient("rich-syrup", "syrup", { sugar: 87, syrup: { family: "cane", ratio: "2:1" } }),
    ingredient("honey", "syrup", { sugar: 80 }),
    ingredient("water", "lengthener", {}),
    ...Array.from({ length: 16 }, (_, i) =>
      ingredient(`juice-${i}`, "sweet-juice", { sugar: 4 + i, acid: 0.2 + 0.05 * i }),
    ),
  ].map((i) => [i.id, i]),
);

const ml = (name: string, amount: number): SpecLine => ({ ingredient: name, amount, unit: "ml" });
const spec = (...lines: SpecLine[]): Spec => ({ name: "test drink", method: "shaken", lines });
const BASE = spec(ml("plain-rum", 60), ml("lime", 20), ml("thin-syrup", 15));

function bench(...specs: Spec[]): Round[] {
  return specs.map((s, i) => ({
    id: `r${i + 1}`,
    number: i + 1,
    parent: i === 0 ? null : `r${i}`,
    label: `Round ${i + 1}`,
    spec: s,
  }));
}
const step = (from: Spec, to: Spec) => analyseTrail(bench(from, to), PANTRY).steps[0]!;
const at = (s: Spec) => toVec(place(s, PANTRY).point);

describe("shares of a step", () => {
  const amount = fc.integer({ min: 0, max: 40 }).map((x) => x / 2);
  const anySpec = fc
    .tuple(
      fc.integer({ min: 20, max: 80 }),
      amount,
      amount,
      amount,
      amount,
      fc.constantFrom("shaken", "stirred", "built"),
    )
    .map(
      ([rum, lime, lemon, thin, honey, method]): Spec => ({
        name: "random",
        method: method as Spec["method"],
        lines: [
          ml("plain-rum", rum),
          ml("lime", lime),
          ml("lemon", lemon),
          ml("thin-syrup", thin),
          ml("honey", honey),
        ],
      }),
    );
  test("sum to the step's vector, which is the difference of the two placements", () => {
    fc.assert(
      fc.property(anySpec, anySpec, (a, b) => {
        const { vector, changes, lengthScaled } = step(a, b);
        const [from, to] = [at(a), at(b)];
        for (const k of [0, 1, 2] as const) {
          expect(vector[k]).toBeCloseTo(to[k] - from[k], 9);
          expect(changes.reduce((sum, c) => sum + c.share[k], 0)).toBeCloseTo(vector[k], 9);
        }
        expect(lengthScaled).toBeCloseTo(scaledDistance(from, to), 9);
      }),
      { numRuns: 150, seed: 5 },
    );
  });
  test("of two changes are the average over the two orders of making them", () => {
    const more = spec(ml("plain-rum", 60), ml("lime", 30), ml("thin-syrup", 25));
    const onlyLime = at(spec(ml("plain-rum", 60), ml("lime", 30), ml("thin-syrup", 15)));
    const onlySyrup = at(spec(ml("plain-rum", 60), ml("lime", 20), ml("thin-syrup", 25)));
    const [start, end] = [at(BASE), at(more)];
    const lime = step(BASE, more).changes.find((c) => c.ingredient === "lime")!;
    for (const k of [0, 1, 2] as const) {
      expect(lime.share[k]).toBeCloseTo(0.5 * (onlyLime[k] - start[k]) + 0.5 * (end[k] - onlySyrup[k]), 9);
    }
  });
  test("two changes that do the same get the same; one that does nothing gets nothing", () => {
    const game = (mask: number): Vec3 => {
      const both = Math.min(2, (mask & 1) + ((mask >> 1) & 1));
      return [both * both, 3 * both, 0];
    };
    const shares = shapleyShares(3, game)!;
    expect(shares[0]).toEqual(shares[1]);
    expect(shares[2]).toEqual([0, 0, 0]);
    // In a drink: one rum for another of the same strength moves nothing, whatever else changes.
    const swapped = step(BASE, spec(ml("other-rum", 60), ml("lime", 30), ml("thin-syrup", 15)));
    const rum = swapped.changes.find((c) => c.ingredient === "other-rum")!;
    expect(Math.hypot(...rum.share)).toBeLessThan(1e-9);
    // And two juices of one make, added alike, share alike.
    const both = spec(...BASE.lines, ml("lemon", 10), ml("lemon-again", 10));
    const twins = step(BASE, both).changes;
    expect(twins.map((c) => c.ingredient)).toEqual(["lemon", "lemon-again"]);
    twins[0]!.share.forEach((x, k) => {
      expect(x).toBeCloseTo(twins[1]!.share[k]!, 12);
    });
  });
  test("reversing a step negates every share", () => {
    const other = {
      ...spec(ml("plain-rum", 50), ml("lime", 25), ml("honey", 20)),
      method: "stirred" as const,
    };
    const there = step(BASE, other).changes;
    const back = step(other, BASE).changes;
    const total = (changes: typeof there) =>
      changes.flatMap((c) => c.share.map(Math.abs)).reduce((a, b) => a + b, 0);
    expect(total(there)).toBeCloseTo(total(back), 9);
    const method = (changes: typeof there) => changes.find((c) => c.kind === "method")!.share;
    method(there).forEach((x, k) => {
      expect(x).toBeCloseTo(-method(back)[k]!, 9);
    });
  });
});

describe("what counts as one change", () => {
  const kinds = (to: Spec, from: Spec = BASE) => step(from, to).changes.map((c) => [c.kind, c.ingredient]);
  test("an amount, an addition, a drop", () => {
    expect(kinds(spec(ml("plain-rum", 60), ml("lime", 25), ml("water", 10)))).toEqual([
      ["pour", "lime"],
      ["drop", "thin-syrup"],
      ["add", "water"],
    ]);
  });
  test("one of a role out and another in at about the amount is a swap; at thrice the amount it is two changes", () => {
    expect(kinds(spec(ml("strong-rum", 45), ml("lime", 20), ml("thin-syrup", 15)))).toEqual([
      ["swap", "strong-rum"],
    ]);
    expect(kinds(spec(ml("plain-rum", 60), ml("lime", 20), ml("honey", 45)))).toEqual([
      ["drop", "thin-syrup"],
      ["add", "honey"],
    ]);
  });
  test("a syrup for the same syrup at another strength is a syrup change, for another syrup a swap", () => {
    expect(kinds(spec(ml("plain-rum", 60), ml("lime", 20), ml("rich-syrup", 12)))).toEqual([
      ["syrup", "rich-syrup"],
    ]);
    expect(kinds(spec(ml("plain-rum", 60), ml("lime", 20), ml("honey", 12)))).toEqual([["swap", "honey"]]);
  });
  test("everything times the same is one change that moves nothing", () => {
    const { changes, lengthScaled, text } = step(
      BASE,
      spec(ml("plain-rum", 90), ml("lime", 30), ml("thin-syrup", 22.5)),
    );
    expect(changes.map((c) => c.kind)).toEqual(["scale"]);
    expect(lengthScaled).toBeLessThan(1e-9);
    expect(text).toBe("Round 1 → 2: everything × 1.5. It moves next to nothing on this map.");
  });
  test("the method, and a measured glass, are one change each", () => {
    expect(kinds({ ...BASE, method: "stirred" })).toEqual([["method", "method"]]);
    expect(kinds({ ...BASE, dilution: { model: "measured", waterMl: 30 } })).toEqual([
      ["method", "dilution"],
    ]);
  });
  test("the same amount in another unit, another line order or split over two lines is no change", () => {
    const same = spec(
      ml("lime", 20),
      { ingredient: "plain-rum", amount: 6, unit: "cl" },
      ml("thin-syrup", 10),
      ml("thin-syrup", 5),
    );
    const { changes, vector, text } = step(BASE, same);
    expect(changes).toEqual([]);
    expect(Math.hypot(...vector)).toBeLessThan(1e-9);
    expect(text).toBe("Round 1 → 2: nothing changed.");
  });
  test("a whole new drink is one change, as its drops alone would leave an empty glass", () => {
    const stirred: Spec = { ...spec(ml("honey", 20), ml("lime", 20)), method: "stirred" };
    const { changes, vector } = step(spec(ml("plain-rum", 60)), stirred);
    expect(changes.map((c) => c.ingredient)).toEqual(["several"]);
    changes[0]!.share.forEach((x, k) => {
      expect(x).toBeCloseTo(vector[k]!, 12);
    });
  });
  test("a measured drink carries its own water ratio into the mixtures in between", () => {
    const measured: Spec = { ...BASE, dilution: { model: "measured", waterMl: 40 } };
    const later: Spec = {
      ...spec(ml("plain-rum", 60), ml("lime", 30), ml("thin-syrup", 15)),
      dilution: { model: "measured", waterMl: (40 * 105) / 95 },
    };
    expect(kinds(later, measured)).toEqual([["pour", "lime"]]);
  });
  test("beyond the limit the smallest are pooled, said so, and the shares still sum", () => {
    const many = Array.from({ length: 16 }, (_, i) => ml(`juice-${i}`, i < 6 ? 1 : 10 + i));
    const { changes, vector, text } = step(BASE, spec(...BASE.lines, ...many));
    expect(changes).toHaveLength(MOST_EXACT_CHANGES);
    expect(changes.at(-1)!.text).toMatch(/^the 5 smallest changes together: juice \d added, 1 mL/);
    expect(text).toContain("smallest changes together");
    for (const k of [0, 1, 2] as const) {
      expect(changes.reduce((sum, c) => sum + c.share[k], 0)).toBeCloseTo(vector[k], 9);
    }
  });
  test("forty changes do not overflow anything", () => {
    const from = spec(ml("plain-rum", 60), ...Array.from({ length: 16 }, (_, i) => ml(`juice-${i}`, 5)));
    const to = spec(
      ml("plain-rum", 61),
      ...Array.from({ length: 16 }, (_, i) => ml(`juice-${i}`, 5 + i + 1)),
      ml("water", 3),
      ml("lime", 3),
      ml("lemon", 3),
      ml("honey", 3),
    );
    const { changes, vector } = step(from, to);
    expect(changes.reduce((sum, c) => sum + c.share[0], 0)).toBeCloseTo(vector[0], 9);
  });
});

describe("a bench", () => {
  const sour = spec(ml("plain-rum", 60), ml("lime", 30), ml("thin-syrup", 15));
  const rounds: Round[] = [
    ...bench(BASE, sour),
    {
      id: "r3",
      number: 3,
      parent: "r1",
      label: "fork",
      spec: spec(ml("plain-rum", 60), ml("lemon", 20), ml("thin-syrup", 20)),
      abandoned: true,
    },
  ];
  test("forks: each round's step starts at its own parent; drift is from the first", () => {
    const trail = analyseTrail(rounds, PANTRY);
    expect(trail.steps.map((s) => [s.from, s.to])).toEqual([
      ["r1", "r2"],
      ["r1", "r3"],
    ]);
    expect(trail.rounds[0]!.drift).toBe(0);
    expect(trail.rounds[2]!.drift).toBeCloseTo(scaledDistance(at(BASE), at(rounds[2]!.spec)), 12);
    expect(trail.rounds.map((r) => r.placement.point)).toEqual(
      rounds.map((r) => place(r.spec, PANTRY).point),
    );
  });
  test("children may be listed before their parents", () => {
    const trail = analyseTrail([...rounds].reverse(), PANTRY);
    expect(trail.rounds.find((r) => r.id === "r1")!.drift).toBe(0);
    expect(trail.steps).toHaveLength(2);
  });
  test("the text of a step says what was done and what it moved", () => {
    const [first, second] = analyseTrail(rounds, PANTRY).steps;
    expect(first!.text).toMatch(
      /^Round 1 → 2: lime 20 mL → 30 mL\. Acid 0\.\d\d up, ABV \d\.\d % down, sugar 0\.\d down\.$/,
    );
    expect(second!.text).toMatch(
      /^Round 1 → 3: .*lemon \(20 mL\) for lime \(20 mL\).*Sugar \d\.\d up \(thin syrup \+\d\.\d\)/,
    );
  });
  test("no rounds, no trail; one round, no steps", () => {
    expect(analyseTrail([], PANTRY)).toEqual({ rounds: [], steps: [] });
    expect(analyseTrail(bench(BASE), PANTRY).steps).toEqual([]);
  });
  const pointers = (broken: Round[]) => {
    try {
      analyseTrail(broken, PANTRY);
    } catch (error) {
      if (error instanceof EngineError) return error.issues.map((i) => i.pointer);
      throw error;
    }
    return [];
  };
  test("an unknown parent, a repeated id, a loop and an unreadable spec are errors by pointer", () => {
    expect(pointers([rounds[0]!, { ...rounds[1]!, parent: "r9" }])).toEqual(["/rounds/1/parent"]);
    expect(pointers([rounds[0]!, { ...rounds[1]!, id: "r1", parent: null }])).toEqual(["/rounds/1/id"]);
    expect(pointers([{ ...rounds[0]!, parent: "r2" }, rounds[1]!])).toEqual([
      "/rounds/0/parent",
      "/rounds/1/parent",
    ]);
    expect(pointers([rounds[0]!, { ...rounds[1]!, spec: spec(ml("moon-dust", 3)) }])).toEqual([
      "/rounds/1/spec/lines/0/ingredient",
    ]);
  });
});
