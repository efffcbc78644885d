import { describe, expect, test } from "vitest";
import { rungsBetween } from "../../../engine/amounts/ladder.ts";
import { answer } from "../../../engine/ask/answer.ts";
import { type DoseStrip, doseStrip } from "../../../engine/ask/dose-strip.ts";
import { toVec } from "../../../engine/axes.ts";
import { HOLDS_CHANCE } from "../../../engine/explore/keeps.ts";
import { place } from "../../../engine/place/place.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, Spec, SpecLine, Vec3 } from "../../../engine/types.ts";
import { demoRequest, demoRound, pantry, sour } from "../explore/demo-request.ts";

// Held against placing each dose by itself, against counting seeded draws for the chances, and against trying
// every pair of amounts for the companion.

const target = compileTarget(sour);
const line = (ingredient: string, amount: number, unit: SpecLine["unit"] = "oz"): SpecLine => ({
  ingredient,
  amount,
  unit,
});
const drink = (...lines: SpecLine[]): Spec => ({ name: "Invented", method: "shaken", lines });
const dull = drink(line("rum-aged", 2), line("juice-lime", 0.25), line("syrup-simple-1-1", 0.75));
/** Too sweet for any dose of lemon: the syrup has to come down as well. */
const sweet = drink(line("rum-aged", 2), line("syrup-simple-1-1", 1.125));

const poured = (spec: Spec, mlOf: Readonly<Record<string, number>>): Spec => ({
  ...spec,
  lines: [
    ...spec.lines.filter((l) => !(l.ingredient in mlOf)),
    ...Object.entries(mlOf).flatMap(([id, ml]) => (ml > 0 ? [line(id, ml, "ml")] : [])),
  ],
});

/** Lower triangle L with L Lᵀ = C. */
function rootOf(c: Mat3): Mat3 {
  const a = Math.sqrt(c[0][0]);
  const b = c[1][0] / a;
  const d = c[2][0] / a;
  const e = Math.sqrt(Math.max(c[1][1] - b * b, 0));
  const f = e > 0 ? (c[2][1] - d * b) / e : 0;
  return [
    [a, 0, 0],
    [b, e, 0],
    [d, f, Math.sqrt(Math.max(c[2][2] - d * d - f * f, 0))],
  ];
}

/** Share of seeded draws of a placed drink that are inside. */
function counted(spec: Spec, draws: number): number {
  const { point, covariance } = place(spec, pantry);
  const root = rootOf(covariance);
  const { normal } = seededRandom(7);
  const at = toVec(point);
  let inside = 0;
  for (let i = 0; i < draws; i += 1) {
    const z: Vec3 = [normal(), normal(), normal()];
    const p = at.map((x, k) => x + root[k]!.reduce((s, r, j) => s + r * z[j]!, 0)) as unknown as Vec3;
    if (target.contains(p)) inside += 1;
  }
  return inside / draws;
}

const bestOf = (strip: DoseStrip) => strip.rungs.find((rung) => rung.ml === strip.bestMl)!;

describe("the dose strip", () => {
  const strip = doseStrip("juice-lemon", demoRequest(dull));

  test("has every rung of the ladder, each where placing it by itself puts it", () => {
    const rungs = rungsBetween(0, 90, demoRequest(dull).ladder, pantry.get("juice-lemon"));
    expect(strip.rungs.map((rung) => rung.ml)).toEqual(rungs);
    for (const rung of strip.rungs) {
      const at = toVec(place(poured(dull, { "juice-lemon": rung.ml }), pantry).point);
      for (const i of [0, 1, 2] as const) expect(toVec(rung.point)[i]).toBeCloseTo(at[i], 9);
      expect(rung.inside).toBe(target.contains(at));
      expect(rung.out.length === 0).toBe(rung.inside);
    }
  });

  test("its chances are those of counted draws", () => {
    for (const rung of strip.rungs.filter((_, i) => i % 4 === 0)) {
      const spec: Spec =
        rung.ml > 0 ? { ...dull, lines: [...dull.lines, line("juice-lemon", rung.amount, rung.unit)] } : dull;
      // Four thousand draws err by less than 0.8 in a hundred, one standard error.
      expect(Math.abs(rung.chance - counted(spec, 4000)), `${rung.ml} mL`).toBeLessThan(0.03);
    }
  });

  test("the best dose is the least change that holds", () => {
    const holding = strip.rungs.filter((rung) => rung.inside && rung.chance >= HOLDS_CHANCE);
    expect(holding.length).toBeGreaterThan(1);
    expect(strip.holds).toBe(true);
    expect(strip.bestMl).toBe(Math.min(...holding.map((rung) => rung.ml)));
    expect(strip.companion).toBeNull();
  });

  test("says where acid enters and leaves, and nothing less than a rung apart", () => {
    const [low, high] = target.boundingBox;
    const inRange = strip.rungs.filter(
      ({ point }) => point.acidGPer100Ml >= low[1] && point.acidGPer100Ml <= high[1],
    );
    const acid = strip.spans.filter((span) => span.measure === "acid");
    expect(acid).toEqual([{ measure: "acid", fromMl: inRange[0]!.ml, toMl: inRange.at(-1)!.ml }]);
  });

  test("keeps the request's bounds, and asks for the chance it asks for", () => {
    const bounded = doseStrip(
      "juice-lemon",
      demoRequest(dull, { bounds: [{ ingredient: "juice-lemon", maxMl: 12 }], minProbability: 0.95 }),
    );
    expect(Math.max(...bounded.rungs.map((rung) => rung.ml))).toBeLessThanOrEqual(12);
    expect(bounded.sure).toBe(0.95);
    expect(bounded.holds).toBe(bestOf(bounded).chance >= 0.95);
  });

  test("a fine scale is shown around what matters, the best dose among it", () => {
    const scale = { id: "scale", name: "0.5 g", stepMl: 0.5, stepG: 0.5, displayUnit: "g" } as const;
    const fine = doseStrip("juice-lemon", demoRequest(dull, { ladder: scale }));
    expect(fine.rungs.length).toBeLessThanOrEqual(64);
    expect(fine.rungs.some((rung) => rung.ml === fine.bestMl)).toBe(true);
    expect(fine.holds).toBe(true);
  });
});

describe("the companion", () => {
  const strip = doseStrip("juice-lemon", demoRequest(sweet));

  test("no dose of lemon alone suffices, and one other change finishes the job", () => {
    expect(strip.rungs.some((rung) => rung.inside && rung.chance >= HOLDS_CHANCE)).toBe(false);
    expect(strip.companion).toMatchObject({ holds: true });
    const { ingredient, doseMl, toMl, spec, chance } = strip.companion!;
    expect(counted(spec, 4000)).toBeGreaterThan(HOLDS_CHANCE - 0.03);
    expect(Math.abs(chance - counted(spec, 4000))).toBeLessThan(0.03);
    expect(spec.lines.map((l) => l.ingredient)).toContain(ingredient);
    const at = place(poured(sweet, { "juice-lemon": doseMl, [ingredient]: toMl }), pantry);
    expect(at.point.acidGPer100Ml).toBeCloseTo(strip.companion!.point.acidGPer100Ml, 9);
  });

  test("at that dose no smaller change of any other pour holds, by trying them all", () => {
    const { ingredient, fromMl, toMl, doseMl } = strip.companion!;
    const size = Math.abs(toMl - fromMl);
    for (const other of sweet.lines) {
      if (pantry.get(other.ingredient)?.role === "spirit") continue;
      const now = other.amount * 29.5735295625;
      const smaller = rungsBetween(
        0,
        2 * now,
        demoRequest(sweet).ladder,
        pantry.get(other.ingredient),
      ).filter((ml) => Math.abs(ml - now) < size - 1e-6);
      for (const ml of smaller) {
        const spec = poured(sweet, { "juice-lemon": doseMl, [other.ingredient]: ml });
        const inside = target.contains(toVec(place(spec, pantry).point));
        expect(inside && counted(spec, 2000) > HOLDS_CHANCE + 0.03, `${other.ingredient} ${ml}`).toBe(false);
      }
    }
    expect(ingredient).toBe("syrup-simple-1-1");
    // No main pour falls below two thirds of itself.
    expect(toMl).toBeGreaterThanOrEqual((2 / 3) * fromMl - 1e-6);
  });

  test("locks hold, accents are no levers, and where nothing helps it says so", () => {
    const locked = doseStrip("juice-lemon", demoRequest(sweet, { locks: ["syrup-simple-1-1", "rum-aged"] }));
    expect(locked.companion).toBeNull();
    const { text } = answer(
      { ask: "how-much", ingredient: "juice-lemon" },
      demoRequest(sweet, { locks: ["syrup-simple-1-1", "rum-aged"] }),
    );
    expect(text).toMatch(/No one change beside it finishes the job|is the surest/);
  });

  test("an ingredient that is not the one to change is told so", () => {
    const asked = doseStrip("syrup-simple-1-1", demoRequest(dull));
    expect(asked.companion).toMatchObject({ ingredient: "juice-lime", doseMl: asked.presentMl, holds: true });
    const { text } = answer({ ask: "how-much", ingredient: "syrup-simple-1-1" }, demoRequest(dull));
    expect(text).toMatch(/not the one to change: left as it is, with lime juice/);
  });
});

test("every sentence says the best dose, and none holds a pointer or an id", () => {
  const drinks = [dull, sweet, ...[1, 2, 3, 4, 5, 6].map(demoRound)];
  for (const spec of drinks) {
    for (const { ingredient } of spec.lines) {
      const { text, strip } = answer({ ask: "how-much", ingredient }, demoRequest(spec));
      expect(strip!.rungs.length).toBeGreaterThan(3);
      expect(text).toMatch(/holds|surest|nearest/);
      expect(text).not.toMatch(/\/(?:intent|spec)\b|juice-|syrup-|undefined|NaN/);
    }
  }
});
