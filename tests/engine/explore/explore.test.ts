import { describe, expect, test } from "vitest";
import { rungsBetween } from "../../../engine/amounts/ladder.ts";
import { toVec } from "../../../engine/axes.ts";
import { chanceInside, solveWithChance } from "../../../engine/explore/chance.ts";
import { explore } from "../../../engine/explore/explore.ts";
import { place } from "../../../engine/place/place.ts";
import { solve } from "../../../engine/solve/solve.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Spec, TargetSpec } from "../../../engine/types.ts";
import { demoRequest, demoRound, pantry, sour } from "./demo-request.ts";

const target = compileTarget(sour);
const chanceOf = (spec: Spec) => chanceInside({ pantry }, spec, target).chance;

describe("the least change with at least a chosen chance", () => {
  /** A plain sour a little short of acid: three amounts to move. */
  const dull: Spec = {
    name: "Dull sour (invented)",
    method: "shaken",
    lines: [
      { ingredient: "rum-aged", amount: 2, unit: "oz" },
      { ingredient: "juice-lime", amount: 0.375, unit: "oz" },
      { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
    ],
  };

  test("is what trying every pair of pours finds", () => {
    const request = demoRequest(dull, { minProbability: 0.9, maxTouched: 2, count: 1 });
    const solved = solveWithChance(request);
    expect(solved.certificate.proved).toBe(true);
    const best = solved.proposals[0]!;
    expect(best.touched).toBeLessThanOrEqual(2);

    // By brute force over the ladder: fewest touched, then least volume.
    const oz = 29.5735295625;
    const rungs = dull.lines.map((line) =>
      rungsBetween(0, line.amount * oz + 25, request.ladder, pantry.get(line.ingredient)),
    );
    const touchedLeast = { touched: 9, volume: Number.POSITIVE_INFINITY };
    const consider = (spec: Spec, touched: number, volume: number) => {
      const better =
        touched < touchedLeast.touched ||
        (touched === touchedLeast.touched && volume < touchedLeast.volume - 1e-9);
      if (!better || !target.contains(toVec(place(spec, pantry, { doubts: false }).point))) return;
      if (chanceOf(spec) >= 0.9) Object.assign(touchedLeast, { touched, volume });
    };
    const withMl = (spec: Spec, i: number, ml: number): Spec => ({
      ...spec,
      lines: spec.lines.map((l, k) => (k === i ? { ...l, amount: ml / oz } : l)),
    });
    for (const [i, mine] of rungs.entries()) {
      for (const ml of mine) {
        const change = Math.abs(ml - dull.lines[i]!.amount * oz);
        consider(withMl(dull, i, ml), 1, change);
      }
    }
    for (const [i, mine] of rungs.entries()) {
      if (touchedLeast.touched === 1) break;
      for (const j of rungs.keys()) {
        if (j <= i) continue;
        for (const a of mine) {
          for (const b of rungs[j]!) {
            const change =
              Math.abs(a - dull.lines[i]!.amount * oz) + Math.abs(b - dull.lines[j]!.amount * oz);
            if (change < touchedLeast.volume) consider(withMl(withMl(dull, i, a), j, b), 2, change);
          }
        }
      }
    }
    expect(best.touched).toBe(touchedLeast.touched);
    expect(best.volumeChangedMl).toBeCloseTo(touchedLeast.volume, 6);
  });

  test("asks for more change than being just inside, and every proposal has the chance", () => {
    const plain = solve(demoRequest(demoRound(6)));
    const sure = solveWithChance(demoRequest(demoRound(6), { minProbability: 0.95 }));
    const cost = (s: typeof plain) => s.proposals[0]!.touched * 1e6 + s.proposals[0]!.volumeChangedMl;
    expect(cost(sure)).toBeGreaterThan(cost(plain));
    for (const p of sure.proposals) expect(chanceOf(p.spec)).toBeGreaterThanOrEqual(0.95);
    expect(chanceOf(plain.proposals[0]!.spec)).toBeLessThan(0.95);
  });

  test("counts what tops the glass by eye, and does not move it only to have it measured", () => {
    const soda = {
      ingredient: "soda-water",
      amount: 1.75,
      unit: "oz",
      stage: "top",
      amountSdPercent: 52,
    } as const;
    const topped: Spec = { ...dull, method: "built", lines: [...dull.lines, soda] };
    const middle = toVec(
      place({ ...topped, lines: [...dull.lines, { ...soda, amount: 2.5 }] }, pantry).point,
    );
    const around: TargetSpec = {
      kind: "box",
      sugarGPer100Ml: [middle[0] - 1.5, middle[0] + 1],
      acidGPer100Ml: [middle[1] - 0.2, middle[1] + 0.2],
      abvPercent: [middle[2] - 2.5, middle[2] + 1.2],
    };
    const request = demoRequest(topped, { target: around, minProbability: 0.7, count: 1 });
    const [first] = solveWithChance(request).proposals;
    const line = first!.spec.lines.at(-1)!;
    expect(first!.probabilityInside).toBeGreaterThanOrEqual(0.7);
    // In mL its doubt is what it was.
    expect(line.amount).not.toBe(soda.amount);
    expect(line.amountSdPercent! * line.amount).toBeCloseTo(soda.amountSdPercent * soda.amount, 6);
  });

  test("the margin that speeds the search loses no answer", () => {
    let compared = 0;
    for (const [round, minProbability] of [
      [6, 0.7],
      [6, 0.9],
      [3, 0.8],
    ] as const) {
      const request = demoRequest(demoRound(round), { minProbability, count: 1 });
      const quick = solveWithChance(request);
      // Without the margin the search is long: it may take what it needs.
      const slow = solve({
        ...request,
        nodeLimit: 200_000,
        extraAccept: (() => {
          const accept = (spec: Spec) => chanceOf(spec) >= minProbability;
          return (volumes: readonly number[]) =>
            accept({
              ...request.spec,
              lines: request.spec.lines.map((l, i) => ({
                ...l,
                amount: volumes[i]! / 29.5735295625,
                unit: "oz" as const,
              })),
            });
        })(),
      });
      expect(quick.status).toBe(slow.status);
      if (slow.status === "infeasible") continue;
      compared += 1;
      expect(quick.proposals[0]!.touched).toBe(slow.proposals[0]!.touched);
      // Units may differ (a bar spoon carries its own doubt), so the volume may be a rung off at most.
      expect(Math.abs(quick.proposals[0]!.volumeChangedMl - slow.proposals[0]!.volumeChangedMl)).toBeLessThan(
        3.7,
      );
    }
    expect(compared).toBeGreaterThan(0);
  });

  test.each([0, 1, -0.2, Number.NaN])("refuses a chance of %s", (minProbability) => {
    expect(() => solveWithChance(demoRequest(dull, { minProbability }))).toThrow(/\/minProbability/);
  });
});

describe("looking around the answer", () => {
  const found = explore(demoRequest(demoRound(6), { firstRound: demoRound(1) }));

  test("the first proposal is the certified least change", () => {
    expect(found.solved.certificate.proved).toBe(true);
    expect(found.proposals[0]!.id).toBe(found.solved.proposals[0]!.id);
  });

  test("what comes first holds in four glasses of five, and the others are of another kind", () => {
    expect(found.proposals[0]!.probabilityInside).toBeGreaterThanOrEqual(0.8 - 1e-9);
    expect(found.proposals.length).toBeLessThanOrEqual(4);
    const kinds = found.proposals
      .filter((p) => p.id !== found.edge)
      .map((p) =>
        p.moves
          .map((m) => m.ingredient)
          .sort()
          .join(),
      );
    expect(new Set(kinds).size).toBe(kinds.length);
  });

  test("every proposal is inside the target that was asked for, with its true chance", () => {
    for (const p of found.proposals) {
      expect(target.contains(toVec(place(p.spec, pantry).point)), p.name).toBe(true);
      expect(p.probabilityInside).toBeCloseTo(chanceOf(p.spec), 9);
    }
  });

  test("says how likely the drink as it stands is to be inside", () => {
    expect(found.chanceNow).toBeCloseTo(chanceOf(demoRound(6)), 9);
    expect(found.repair).toBeNull();
  });

  test("an infeasible request comes with its conflict and repairs", () => {
    const box: TargetSpec = { kind: "box", name: "sharp", acidGPer100Ml: [0.75, 1.1], abvPercent: [12, 18] };
    const stuck = explore(
      demoRequest(demoRound(6), { target: box, locks: ["juice-lime", "rum-aged-43"], maxTouched: 2 }),
    );
    expect(stuck.solved.status).toBe("infeasible");
    expect(stuck.proposals).toEqual([]);
    expect(stuck.repair!.conflict.map((l) => l.id)).toContain("lock:juice-lime");
  });

  test("a spent time budget still gives the first answer, and says so", () => {
    let clock = 0;
    const hurried = explore(demoRequest(demoRound(6), { timeBudgetMs: 50, now: () => (clock += 10) }));
    expect(["optimal", "limit_reached", "no_solution_found"]).toContain(hurried.solved.status);
    expect(hurried.proposals.length).toBeLessThanOrEqual(found.proposals.length);
  });

  test("advises measuring when that beats pouring", () => {
    // A tight acid band around the drink: pouring is at the middle already, so only less doubt helps.
    const spec: Spec = {
      name: "Pineapple sour (invented)",
      method: "shaken",
      lines: [
        { ingredient: "rum-aged", amount: 1.5, unit: "oz" },
        { ingredient: "juice-lemon", amount: 0.75, unit: "oz" },
        { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
      ],
    };
    const { acidGPer100Ml } = place(spec, pantry).point;
    const band: TargetSpec = {
      kind: "box",
      name: "narrow",
      acidGPer100Ml: [acidGPer100Ml - 0.06, acidGPer100Ml + 0.06],
    };
    const { advice } = explore(demoRequest(spec, { target: band }));
    expect(advice[0]?.text).toMatch(/^Titrate your fresh lemon juice: it is \d+ % of the doubt/);
    expect(advice[0]!.chanceMeasured).toBeGreaterThan(advice[0]!.chancePoured);
  });
});
