/**
 * Drinks whose every ingredient has one strength: the mix's strength then says nothing, and what depends on
 * it (the water from ice) must still be enclosed. Two such drinks were once answered with a false proof.
 */
import { describe, expect, test } from "vitest";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import { type SolveRequest, solve } from "../../../engine/solve/solve.ts";
import type { DilutionChoice, Ingredient, Method, Pantry, TargetSpec, Vec3 } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { bruteForce } from "./checker.ts";
import { seeded } from "./linear-instance.ts";
import { ingredient } from "./random-request.ts";

const BAR: Pantry = new Map(loadReferenceData().pantry.map((i) => [i.id, i]));

/** The box of these half widths around a drink. */
function boxAround([s, a, e]: Vec3, sugar: number, abv: number): TargetSpec {
  return {
    kind: "box",
    sugarGPer100Ml: [Math.max(0, s - sugar), s + sugar],
    abvPercent: [e - abv, e + abv],
    ...(a > 0 && { acidGPer100Ml: [a - 0.1, a + 0.1] as const }),
  };
}

/** A request for what the spec with these amounts would be. */
function requestFor(spec: SolveRequest["spec"], amounts: readonly number[], sugar: number, abv: number) {
  const lines = spec.lines.map((l, i) => ({ ...l, amount: amounts[i]! }));
  const { model, volumesMl } = prepareSpec({ ...spec, lines }, BAR);
  const target = boxAround(model.finish(volumesMl).point, sugar, abv);
  return { spec, pantry: BAR, target, ladder: LADDERS["us-jigger"] };
}

describe("the two drinks that were answered wrongly", () => {
  test("gin 2 oz, 40 % triple sec ½ oz, built by heat: the triple sec alone does it at 2¼ oz", () => {
    const request = requestFor(
      {
        name: "Built, one strength",
        method: "built",
        dilution: { model: "energy" },
        lines: [
          { ingredient: "gin", amount: 2, unit: "oz" },
          { ingredient: "triple-sec-40", amount: 0.5, unit: "oz" },
        ],
      },
      [2, 2.25],
      0.25,
      0.5,
    );
    const { status, proposals } = solve(request);
    expect(status).toBe("optimal");
    expect(proposals[0]!.moves.map((m) => m.ingredient)).toEqual(["triple-sec-40"]);
  });

  test("vodka ¼ oz, 40 % triple sec 1½ oz, stirred by heat: vodka alone, 1¼ oz, works", () => {
    const request = requestFor(
      {
        name: "Stirred, one strength",
        method: "stirred",
        dilution: { model: "energy" },
        lines: [
          { ingredient: "vodka", amount: 0.25, unit: "oz" },
          { ingredient: "triple-sec-40", amount: 1.5, unit: "oz" },
        ],
      },
      [1.25, 0],
      0.2,
      0.3,
    );
    expect(solve(request).status).toBe("optimal");
  });
});

/** Four ingredients of one strength, of random sugar and acid. */
function shelfOf(strength: number, random: () => number): Ingredient[] {
  return ["a", "b", "c", "d"].map((id, i) =>
    ingredient(id, "liqueur", strength, i === 0 ? 0 : 60 * random(), i === 3 ? 3 * random() : 0),
  );
}

function randomDilution(random: () => number): DilutionChoice | undefined {
  if (random() < 0.25) return undefined;
  // Little ice and much, dry and wet, cold and not: all of it may melt, or none.
  return {
    model: "energy",
    conditions: {
      iceMassG: 15 + 250 * random(),
      iceTempC: -18 * random(),
      adherentWaterShare: 0.2 * random(),
      shelfTempC: -15 + 40 * random(),
      vesselMassG: 400 * random(),
    },
  };
}

test("four of one strength, every kind of ice: as good as trying every pour", () => {
  const kinds = new Map<string, number>();
  for (let seed = 0; seed < 400; seed += 1) {
    const random = seeded(9_000 + seed);
    const strength = seed % 5 === 0 ? 0 : 15 + 45 * random();
    const shelf = shelfOf(strength, random);
    const pantry: Pantry = new Map(shelf.map((i) => [i.id, i]));
    const method: Method = (["shaken", "stirred", "built"] as const)[seed % 3]!;
    const lines = shelf.slice(0, 3).map(({ id }) => ({
      ingredient: id,
      amount: 7.5 * Math.floor(1 + 7 * random()),
      unit: "ml" as const,
    }));
    const spec = { name: "one strength", method, lines, dilution: randomDilution(random) };
    const { model, volumesMl } = prepareSpec(spec, pantry);
    const moved = volumesMl.map((ml) => Math.max(0, ml + 7.5 * Math.round(6 * (random() - 0.5))));
    if (!moved.some((ml) => ml > 0)) continue;
    const request: SolveRequest = {
      spec,
      pantry,
      target: boxAround(model.finish(moved).point, 0.1 + 0.5 * random(), 0.1 + 0.8 * random()),
      ladder: { id: "own", name: "test", stepMl: 7.5, displayUnit: "ml" },
      additions: ["d"],
      bounds: shelf.map(({ id }, i) => ({ ingredient: id, minMl: 0, maxMl: (volumesMl[i] ?? 0) + 30 })),
    };
    const result = solve(request);
    const { fewest } = bruteForce(request);
    const at = `seed ${seed}`;
    kinds.set(result.status, (kinds.get(result.status) ?? 0) + 1);
    if (fewest === null) expect(result.status, at).toBe("infeasible");
    else if (fewest.touched === 0) expect(result.status, at).toBe("already_inside");
    else {
      expect(result.status, at).toBe("optimal");
      expect(result.certificate.proved, at).toBe(true);
      expect(result.proposals[0]!.touched, at).toBe(fewest.touched);
      expect(result.proposals[0]!.volumeChangedMl, at).toBeCloseTo(fewest.volume, 6);
    }
  }
  for (const kind of ["optimal", "already_inside"]) expect(kinds.get(kind) ?? 0, kind).toBeGreaterThan(20);
}, 240_000);
