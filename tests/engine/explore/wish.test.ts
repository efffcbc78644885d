import { describe, expect, test } from "vitest";
import { LADDERS, rungsBetween } from "../../../engine/amounts/ladder.ts";
import { scaledDistance } from "../../../engine/axes.ts";
import { pourCurve } from "../../../engine/explore/pour-curve.ts";
import { pourForWish, WISH_RADIUS } from "../../../engine/explore/wish.ts";
import { place } from "../../../engine/place/place.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import type { SolveRequest } from "../../../engine/solve/request.ts";
import type { Spec, Vec3 } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const pantry = new Map(loadReferenceData().pantry.map((ingredient) => [ingredient.id, ingredient]));
const spec: Spec = {
  name: "Plain",
  method: "shaken",
  lines: [
    { ingredient: "rum-aged", amount: 2, unit: "oz" },
    { ingredient: "juice-lime", amount: 0.25, unit: "oz" },
    { ingredient: "syrup-simple-1-1", amount: 1, unit: "oz" },
  ],
};
const request: SolveRequest = {
  spec,
  pantry,
  ladder: LADDERS["us-jigger"],
  target: { kind: "ratio", min: 1, max: 20 },
};
const { model, volumesMl } = prepareSpec(spec, pantry);

describe("from a point to pours", () => {
  test("time that ran out is said to have, and the drink stays as it is", () => {
    const wish: Vec3 = [9, 0.8, 15];
    // A clock that is late whenever it is looked at.
    let ms = 0;
    const now = () => (ms += 1000);
    expect(pourForWish({ ...request, timeBudgetMs: 1, now }, wish)).toMatchObject({
      isOutOfTime: true,
      proposal: null,
      spec,
    });
    expect(pourForWish(request, wish).isOutOfTime).toBe(false);
  });

  test("a drink the ladder can pour is found again, within what counts as the same", () => {
    const wished: Spec = {
      ...spec,
      lines: [
        { ingredient: "rum-aged", amount: 2, unit: "oz" },
        { ingredient: "juice-lime", amount: 0.75, unit: "oz" },
        { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
      ],
    };
    const { point } = place(wished, pantry);
    const wish: Vec3 = [point.sugarGPer100Ml, point.acidGPer100Ml, point.abvPercent];
    const found = pourForWish(request, wish);
    expect(found.far).toBeLessThanOrEqual(WISH_RADIUS);
    expect(found.proposal).not.toBeNull();
    expect(scaledDistance(found.point, wish)).toBeCloseTo(found.far, 9);
  });

  test("locks hold", () => {
    const found = pourForWish({ ...request, locks: ["juice-lime"] }, [8, 0.8, 17]);
    expect(found.spec.lines[1]).toEqual(spec.lines[1]);
    expect(found.far).toBeGreaterThan(WISH_RADIUS);
  });

  test.each<[string, Vec3]>([
    ["too sour for its lime", [4, 2.2, 30]],
    ["stronger than its rum", [6, 0.3, 45]],
    ["sweet and strong at once", [25, 0.1, 24]],
  ])(
    "a wish out of reach (%s) ends on the ladder's nearest pours, as trying all of them shows",
    (_why, wish) => {
      const found = pourForWish(request, wish);
      // Every pour of the ladder up to what the solver allows: twice the amount and 60 mL, in quarter ounces.
      const rungs = volumesMl.map((ml, i) =>
        rungsBetween(0, 2 * ml + 60, LADDERS["us-jigger"], pantry.get(spec.lines[i]!.ingredient)),
      );
      let best = Number.POSITIVE_INFINITY;
      for (const a of rungs[0]!) {
        for (const b of rungs[1]!) {
          for (const c of rungs[2]!) {
            if (a + b + c > 0) best = Math.min(best, scaledDistance(model.finish([a, b, c]).point, wish));
          }
        }
      }
      expect(found.far).toBeGreaterThanOrEqual(best - 1e-9);
      // The nearest in-between drink's neighbours hold the nearest pour, or one that a taster could not tell from it.
      expect(found.far).toBeLessThanOrEqual(best + WISH_RADIUS);
    },
  );
});

test("a pour's curve passes where placing each amount puts the drink, and leaves out the empty glass", () => {
  const amounts = [0, 10, 25];
  const curve = pourCurve(spec, pantry, "juice-lime", amounts);
  amounts.forEach((ml, i) => {
    const lines = spec.lines.map((line) =>
      line.ingredient === "juice-lime" ? { ...line, amount: ml, unit: "ml" as const } : line,
    );
    const { point } = place({ ...spec, lines }, pantry);
    expect(curve[i]![1]).toBeCloseTo(point.acidGPer100Ml, 9);
  });
  const lone: Spec = { ...spec, lines: [{ ingredient: "rum-aged", amount: 2, unit: "oz" }] };
  expect(pourCurve(lone, pantry, "rum-aged", [0]).length).toBe(0);
});
