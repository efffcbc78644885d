import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { frontier } from "../../../engine/explore/frontier.ts";
import type { Move, Proposal } from "../../../engine/types.ts";

const point = { sugarGPer100Ml: 8, acidGPer100Ml: 0.8, abvPercent: 15 };

function proposal(id: string, moved: string[], values: Partial<Proposal>): Proposal {
  const moves = moved.map(
    (ingredient): Move => ({
      kind: "pour",
      ingredient,
      fromMl: 10,
      toMl: 20,
      deltaMl: 10,
      fromAmount: 10,
      toAmount: 20,
      unit: "ml",
      text: "",
    }),
  );
  return {
    id,
    name: id,
    moves,
    spec: { name: "", method: "shaken", lines: [] },
    before: point,
    after: point,
    afterSd: point,
    touched: moved.length,
    volumeChangedMl: 10,
    probabilityInside: 0.5,
    centreDistance: 1,
    driftFromFirst: null,
    costChange: null,
    finishedVolumeMl: 150,
    why: "",
    path: [],
    bestAt: [],
    ...values,
  };
}

describe("the frontier", () => {
  test("drops what is beaten on every count", () => {
    const kept = frontier([
      proposal("good", ["lime"], { volumeChangedMl: 5 }),
      proposal("worse", ["syrup"], { volumeChangedMl: 9, centreDistance: 1.5, probabilityInside: 0.4 }),
    ]);
    expect(kept.map((p) => p.id)).toEqual(["good"]);
  });

  test("keeps rivals that are each better at something, and says at what", () => {
    const kept = frontier([
      proposal("small", ["lime"], { volumeChangedMl: 5, probabilityInside: 0.5 }),
      proposal("sure", ["lime", "syrup"], {
        volumeChangedMl: 15,
        probabilityInside: 0.95,
        centreDistance: 0.2,
      }),
    ]);
    expect(kept.map((p) => [p.id, p.bestAt])).toEqual([
      ["small", ["fewest touched", "least volume"]],
      ["sure", ["closest to the middle", "surest"]],
    ]);
  });

  test("reduces duplicates in spirit to the first", () => {
    const kept = frontier([
      proposal("a quarter", ["lime"], { volumeChangedMl: 7, probabilityInside: 0.6 }),
      proposal("an eighth more", ["lime"], {
        volumeChangedMl: 9,
        probabilityInside: 0.68,
        centreDistance: 0.8,
      }),
    ]);
    expect(kept.map((p) => p.id)).toEqual(["a quarter"]);
  });

  test("three that beat each other in a ring by less than a step do not all vanish", () => {
    const ring = [
      [10, 0.51, 0.489],
      [10.055, 0.5, 0.495],
      [10.025, 0.522, 0.5],
    ].map(([volumeChangedMl, centreDistance, probabilityInside], i) =>
      proposal(String(i), [["lime", "syrup", "rum"][i]!], {
        volumeChangedMl,
        centreDistance,
        probabilityInside,
      }),
    );
    expect(frontier(ring).length).toBeGreaterThan(0);
  });

  test("a lone proposal is not called best at anything", () => {
    expect(frontier([proposal("only", ["lime"], {})])[0]!.bestAt).toEqual([]);
  });

  const arbitrary = fc.array(
    fc.record({
      moved: fc.uniqueArray(fc.constantFrom("lime", "syrup", "rum", "pineapple"), { minLength: 1 }),
      volumeChangedMl: fc.integer({ min: 1, max: 60 }),
      probabilityInside: fc.integer({ min: 0, max: 100 }).map((n) => n / 100),
      centreDistance: fc.integer({ min: 0, max: 40 }).map((n) => n / 10),
    }),
    { maxLength: 10 },
  );

  test("never keeps a dominated proposal, and only drops one that is beaten or repeated", () => {
    fc.assert(
      fc.property(arbitrary, (values) => {
        const all = values.map(({ moved, ...rest }, i) => proposal(String(i), moved, rest));
        const kept = frontier(all);
        const better = (a: Proposal, b: Proposal) =>
          a.touched <= b.touched &&
          a.volumeChangedMl <= b.volumeChangedMl &&
          a.centreDistance <= b.centreDistance &&
          a.probabilityInside! >= b.probabilityInside! &&
          (a.touched < b.touched || a.volumeChangedMl < b.volumeChangedMl - 0.05);
        for (const p of kept) expect(all.some((o) => better(o, p))).toBe(false);
        if (all.length > 0) expect(kept.length).toBeGreaterThan(0);
        for (const p of all.filter((o) => !kept.some((k) => k.id === o.id))) {
          const beaten = all.some(
            (o) =>
              o.touched <= p.touched &&
              o.volumeChangedMl <= p.volumeChangedMl + 0.05 + 1e-9 &&
              o.centreDistance <= p.centreDistance + 0.02 + 1e-9 &&
              // Chances and grain are hundredths: 0.07 − 0.01 is a little more than 0.06 in binary.
              o.probabilityInside! >= p.probabilityInside! - 0.01 - 1e-9 &&
              o !== p,
          );
          const set = [...new Set(p.moves.map((m) => m.ingredient))].sort().join();
          const repeated = kept.some(
            (k) =>
              k.moves
                .map((m) => m.ingredient)
                .sort()
                .join() === set,
          );
          expect(beaten || repeated).toBe(true);
        }
      }),
      { numRuns: 500 },
    );
  });
});
