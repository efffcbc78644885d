import { describe, expect, test } from "vitest";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { scaledDistance, toVec } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { place } from "../../../engine/place/place.ts";
import { type SolveRequest, solve } from "../../../engine/solve/solve.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Proposal, TargetSpec } from "../../../engine/types.ts";
import { seeded } from "./linear-instance.ts";
import { PANTRY, randomRequest, SHELF } from "./random-request.ts";

/** Thin and dull: too little acid, a little weak. */
const DULL: SolveRequest = {
  spec: {
    name: "dull",
    method: "shaken",
    lines: [
      { ingredient: "spirit", amount: 1.5, unit: "oz" },
      { ingredient: "fruit", amount: 1.5, unit: "oz" },
      { ingredient: "syrup", amount: 0.5, unit: "oz" },
    ],
  },
  pantry: PANTRY,
  target: {
    kind: "box",
    name: "sour range",
    sugarGPer100Ml: [6, 10],
    acidGPer100Ml: [0.6, 0.9],
    abvPercent: [9, 18],
  },
  ladder: LADDERS["us-jigger"],
  additions: ["sour", "sharp"],
};

const pointers = (request: SolveRequest): string[] => {
  try {
    solve(request);
  } catch (error) {
    if (!(error instanceof EngineError)) throw error;
    for (const issue of error.issues) expect(issue.remedy.length).toBeGreaterThan(5);
    return error.issues.map((i) => i.pointer);
  }
  return [];
};

describe("bad input names its field", () => {
  test.each<[string, Partial<SolveRequest>, string]>([
    [
      "unknown line",
      { spec: { ...DULL.spec, lines: [{ ingredient: "x", amount: 1, unit: "oz" }] } },
      "/spec/lines/0/ingredient",
    ],
    [
      "not a number",
      { spec: { ...DULL.spec, lines: [{ ingredient: "spirit", amount: Number.NaN, unit: "oz" }] } },
      "/spec/lines/0/amount",
    ],
    ["no lines", { spec: { ...DULL.spec, lines: [] } }, "/spec/lines"],
    ["unknown addition", { additions: ["sour", "nope"] }, "/additions/1"],
    ["lock on nothing", { locks: ["amber"] }, "/locks/0"],
    ["bound on nothing", { bounds: [{ ingredient: "amber", maxMl: 3 }] }, "/bounds/0/ingredient"],
    ["bounds crossed", { bounds: [{ ingredient: "sour", minMl: 9, maxMl: 3 }] }, "/bounds/0/minMl"],
    ["bound not finite", { bounds: [{ ingredient: "sour", maxMl: Number.NaN }] }, "/bounds/0/maxMl"],
    ["bound below the present", { bounds: [{ ingredient: "spirit", maxMl: 20 }] }, "/bounds/0/maxMl"],
    ["bound above the present", { bounds: [{ ingredient: "spirit", minMl: 60 }] }, "/bounds/0/minMl"],
    ["glass", { maxFinishedMl: 0 }, "/maxFinishedMl"],
    ["drift", { driftBudget: Number.POSITIVE_INFINITY }, "/driftBudget"],
    ["touched", { maxTouched: 1.5 }, "/maxTouched"],
    ["count", { count: 0 }, "/count"],
    ["time", { timeBudgetMs: -1 }, "/timeBudgetMs"],
    ["measure", { measure: "luck" as never }, "/measure"],
    [
      "character of nothing",
      { character: [{ ingredient: "amber", minSharePercent: 3 }] },
      "/character/0/ingredient",
    ],
    ["empty rule", { character: [{ ingredient: "spirit" }] }, "/character/0"],
    [
      "share",
      { character: [{ ingredient: "spirit", minSharePercent: 101 }] },
      "/character/0/minSharePercent",
    ],
    [
      "order",
      { character: [{ ingredient: "spirit", atLeastAsMuchAs: "amber" }] },
      "/character/0/atLeastAsMuchAs",
    ],
    ["price missing", { measure: "cost", prices: new Map([["spirit", 20]]) }, "/prices/fruit"],
    ["price", { prices: new Map([["spirit", Number.NaN]]) }, "/prices/spirit"],
    [
      "first round",
      { firstRound: { ...DULL.spec, lines: [{ ingredient: "x", amount: 1, unit: "oz" }] } },
      "/firstRound/lines/0/ingredient",
    ],
    ["target", { target: { kind: "box", sugarGPer100Ml: [Number.NaN, 3] } }, "/target/sugarGPer100Ml/0"],
    ["ladder", { ladder: { ...DULL.ladder, stepMl: 0 } }, "/ladder/stepMl"],
  ])("%s", (_name, change, pointer) => {
    expect(pointers({ ...DULL, ...change })).toContain(pointer);
  });

  test("all bad fields at once", () => {
    const found = pointers({ ...DULL, locks: ["amber"], maxTouched: -1, additions: ["nope"] });
    expect(found).toEqual(["/additions/0", "/locks/0", "/maxTouched"]);
  });
});

describe("limits of the request hold", () => {
  const first = (request: SolveRequest) => {
    const result = solve(request);
    expect(result.status).toBe("optimal");
    return result.proposals[0]!;
  };

  test("common practice, no published source: a little sour juice lifts a dull, sweet drink into range", () => {
    const p = first(DULL);
    expect(p.moves).toHaveLength(1);
    expect(p.moves[0]!.kind).toBe("add");
    expect(["sour", "sharp"]).toContain(p.moves[0]!.ingredient);
    expect(p.why).toMatch(/lifts acid from 0\.\d+ to 0\.\d+ g\/100 mL/);
    expect(p.name).toMatch(/^Let in/);
  });

  test("locks and bounds", () => {
    const result = solve({ ...DULL, locks: ["sour"], bounds: [{ ingredient: "sharp", maxMl: 3 }] });
    for (const p of result.proposals) {
      for (const m of p.moves) {
        expect(m.ingredient).not.toBe("sour");
        if (m.ingredient === "sharp") expect(m.toMl).toBeLessThanOrEqual(3);
      }
    }
  });

  test("a least amount of an addition: all or none", () => {
    const p = first({ ...DULL, additions: ["sour"], bounds: [{ ingredient: "sour", minMl: 25 }] });
    const sour = p.moves.find((m) => m.ingredient === "sour");
    expect(sour === undefined || sour.toMl >= 25).toBe(true);
  });

  test("the glass", () => {
    const free = first(DULL);
    const tight = first({ ...DULL, maxFinishedMl: free.finishedVolumeMl - 1 });
    expect(tight.finishedVolumeMl).toBeLessThanOrEqual(free.finishedVolumeMl - 1 + 1e-6);
    const more = tight.touched - free.touched || tight.volumeChangedMl - free.volumeChangedMl;
    expect(more).toBeGreaterThan(0);
  });

  test("a glass too small for a drink that is in range: not 'already inside'", () => {
    const inRange = first(DULL);
    const glass = 0.8 * inRange.finishedVolumeMl;
    const result = solve({ ...DULL, spec: inRange.spec, additions: [], maxFinishedMl: glass });
    expect(result.membershipBefore.inside).toBe(true);
    expect(result.status).toBe("optimal");
    expect(result.proposals[0]!.finishedVolumeMl).toBeLessThanOrEqual(glass + 1e-6);
  });

  test("character: share of the glass and order", () => {
    const stronger: SolveRequest = {
      ...DULL,
      target: { ...DULL.target, abvPercent: [13, 18] } as TargetSpec,
    };
    const fruitIn = (p: Proposal) => {
      const { lines } = place(p.spec, PANTRY);
      return lines.find((l) => l.ingredient === "fruit")?.shareOfFinishedPercent ?? 0;
    };
    const loose = first(stronger);
    const share = fruitIn(loose) + 1;
    const kept = solve({ ...stronger, character: [{ ingredient: "fruit", minSharePercent: share }] });
    expect(kept.status).toBe("optimal");
    for (const p of kept.proposals) expect(fruitIn(p)).toBeGreaterThanOrEqual(share - 1e-6);

    const amount = (p: Proposal, id: string) => {
      const { lines } = place(p.spec, PANTRY);
      return lines.find((l) => l.ingredient === id)?.volumeMl ?? 0;
    };
    const order = solve({
      ...stronger,
      additions: ["sour", "strong"],
      character: [{ ingredient: "fruit", atLeastAsMuchAs: "spirit" }],
    });
    expect(order.status).toBe("optimal");
    for (const p of order.proposals) {
      expect(amount(p, "fruit")).toBeGreaterThanOrEqual(amount(p, "spirit") - 1e-6);
    }
    expect(amount(loose, "fruit")).toBeLessThan(amount(loose, "spirit"));
  });

  test("drift budget, and a ball that misses the target is infeasible, not an error", () => {
    const from = toVec(place(DULL.spec, PANTRY).point);
    const gap = scaledDistance(compileTarget(DULL.target).nearest(from), from);
    const kept = solve({ ...DULL, driftBudget: gap + 0.3 });
    expect(kept.status).toBe("optimal");
    for (const p of kept.proposals) expect(p.driftFromFirst!).toBeLessThanOrEqual(gap + 0.3 + 1e-9);
    const missed = solve({ ...DULL, driftBudget: 0.5 * gap });
    expect(missed.status).toBe("infeasible");
    expect(missed.certificate.proved).toBe(true);
    expect(scaledDistance(toVec(missed.infeasible!.nearest.point), from)).toBeLessThanOrEqual(
      0.5 * gap + 1e-4,
    );
  });

  test("measures: each answer is no worse than the others by its own measure", () => {
    const prices = new Map(SHELF.map((i, k) => [i.id, 10 + 7 * k]));
    const request: SolveRequest = {
      ...DULL,
      prices,
      target: { ...DULL.target, abvPercent: [16, 20] } as TargetSpec,
    };
    const best = Object.fromEntries(
      (["fewest-then-volume", "volume", "relative", "drift", "cost"] as const).map((measure) => [
        measure,
        first({ ...request, measure }),
      ]),
    );
    const total = 3.5 * 29.5735295625;
    const value = {
      "fewest-then-volume": (p: (typeof best)[string]) => p.touched,
      volume: (p: (typeof best)[string]) => p.volumeChangedMl,
      relative: (p: (typeof best)[string]) =>
        p.moves.reduce((s, m) => s + Math.abs(m.deltaMl) / (m.fromMl > 0 ? m.fromMl : total), 0),
      drift: (p: (typeof best)[string]) => Math.ceil(p.driftFromFirst! / 0.25 - 1e-6),
      cost: (p: (typeof best)[string]) =>
        p.moves.reduce((s, m) => s + (Math.abs(m.deltaMl) * prices.get(m.ingredient)!) / 1000, 0),
    };
    for (const [measure, of] of Object.entries(value)) {
      for (const other of Object.values(best)) {
        expect(of(best[measure]!), `${measure} against ${other.id}`).toBeLessThanOrEqual(of(other) + 1e-6);
      }
    }
  });

  test("a measured glass stays a measured glass: the same water per mL poured", () => {
    const request: SolveRequest = {
      ...DULL,
      spec: { ...DULL.spec, dilution: { model: "measured", waterMl: 45 } },
    };
    const p = first(request);
    const after = place(p.spec, PANTRY);
    expect(after.dilution.used).toBe("measured");
    expect(after.dilution.ratio).toBeCloseTo(45 / (3.5 * 29.5735295625), 9);
  });
});

describe("outcomes are values", () => {
  test("already inside", () => {
    const inside = solve(DULL).proposals[0]!.spec;
    const result = solve({ ...DULL, spec: inside });
    expect(result.status).toBe("already_inside");
    expect(result.proposals).toEqual([]);
    expect(result.explanation).toMatch(/^Inside sour range/);
  });

  test("infeasible: the nearest reachable drink is nearer than any of a thousand others", () => {
    const target: TargetSpec = {
      kind: "box",
      name: "far",
      sugarGPer100Ml: [6, 8],
      acidGPer100Ml: [2.5, 3],
      abvPercent: [25, 30],
    };
    const result = solve({ ...DULL, target });
    expect(result.status).toBe("infeasible");
    expect(result.certificate.proved).toBe(true);
    const { nearest, continuousFeasible, text } = result.infeasible!;
    expect(continuousFeasible).toBe(false);
    expect(text).toContain("far");
    const ids = nearest.amountsMl.map((a) => a.ingredient);
    expect(ids).toEqual(["spirit", "fruit", "syrup", "sour", "sharp"]);
    const compiled = compileTarget(target);
    const random = seeded(8);
    const most = [148.7, 148.7, 89.5, 60, 60];
    for (let k = 0; k < 1000; k += 1) {
      const lines = ids.map((id, i) => {
        const around = nearest.amountsMl[i]!.ml + (random() - 0.5) * 10;
        const ml = k % 2 ? most[i]! * random() : Math.min(most[i]!, Math.max(0, around));
        return { ingredient: id, amount: ml, unit: "ml" as const };
      });
      if (lines.every((l) => l.amount === 0)) continue;
      const other = compiled.membership(
        toVec(place({ ...DULL.spec, lines }, PANTRY, { doubts: false }).point),
      );
      expect(other.signedDistance).toBeGreaterThanOrEqual(nearest.membership.signedDistance - 1e-3);
    }
  });

  test("between the rungs: in-between amounts would do, the ladder does not", () => {
    const { point } = place(DULL.spec, PANTRY);
    const target: TargetSpec = {
      kind: "box",
      sugarGPer100Ml: [point.sugarGPer100Ml * 0.9 - 0.001, point.sugarGPer100Ml * 0.9 + 0.001],
      acidGPer100Ml: [point.acidGPer100Ml * 1.02 - 0.0001, point.acidGPer100Ml * 1.02 + 0.0001],
    };
    const result = solve({
      ...DULL,
      target,
      additions: [],
      ladder: { id: "own", name: "coarse", stepMl: 15, displayUnit: "ml" },
    });
    expect(result.status).toBe("infeasible");
    expect(result.infeasible!.continuousFeasible).toBe(true);
    expect(result.infeasible!.text).toMatch(/ladder/);
    expect(result.continuous).not.toBeNull();
  });

  test("nothing may change", () => {
    const result = solve({ ...DULL, additions: [], locks: ["spirit", "fruit", "syrup"] });
    expect(result.status).toBe("infeasible");
    expect(solve({ ...DULL, maxTouched: 0 }).status).toBe("infeasible");
  });

  test("limits are honest: best so far, a bound, and a gap that holds the truth", () => {
    let reached = 0;
    for (let s = 0; s < 40; s += 1) {
      const request = randomRequest(800_000 + s, { lines: 4, additions: 3, stepMl: 1 });
      for (const measure of ["fewest-then-volume", "volume"] as const) {
        const exact = solve({ ...request, measure });
        const cut = solve({ ...request, measure, nodeLimit: 3 });
        if (cut.status === "limit_reached") {
          reached += 1;
          expect(cut.limit).toBe("nodes");
          expect(cut.certificate.proved).toBe(false);
          expect(cut.proposals.length).toBeGreaterThan(0);
          const { bound, gap } = cut.certificate;
          const [best] = exact.proposals;
          if (measure === "volume") {
            expect(bound!.volumeMl).toBeLessThanOrEqual(best!.volumeChangedMl + 1e-6);
            expect(cut.proposals[0]!.volumeChangedMl - gap).toBeLessThanOrEqual(best!.volumeChangedMl + 1e-6);
          } else {
            expect(bound!.touched).toBeLessThanOrEqual(best!.touched);
            if (bound!.touched === best!.touched)
              expect(bound!.volumeMl).toBeLessThanOrEqual(best!.volumeChangedMl + 1e-6);
          }
        } else if (cut.status === "no_solution_found") {
          expect(cut.proposals).toEqual([]);
          expect(cut.limit).toBe("nodes");
        } else expect(cut.status).toBe(exact.status);
      }
    }
    expect(reached).toBeGreaterThan(10);
  });

  test("the clock that is passed in is obeyed", () => {
    // Twelve ingredients on half-millilitre steps, least volume: many thousand nodes to prove.
    const request: SolveRequest = {
      ...randomRequest(555_010, { lines: 6, additions: 6, stepMl: 0.5 }),
      bounds: undefined,
      measure: "volume",
    };
    let t = 0;
    const result = solve({ ...request, now: () => (t += 1), timeBudgetMs: 400 });
    expect(result.status).toBe("limit_reached");
    expect(result.limit).toBe("time");
    expect(result.certificate.nodes).toBeLessThan(5_000);
    expect(result.certificate.gap).toBeGreaterThan(0);
    expect(result.explanation).toMatch(/time ran out/);
  });
});

describe("hooks for other layers", () => {
  test("a further test of each drink: the least of those that pass, by trying all", () => {
    let checked = 0;
    for (let s = 0; s < 60; s += 1) {
      const request = randomRequest(1_000_000 + s, { lines: 3, additions: 0, stepMl: 5, target: "box" });
      const target = compileTarget(request.target);
      const deep = (p: readonly [number, number, number]) => target.membership(p).signedDistance < -0.1;
      const strict: SolveRequest = { ...request, extraAccept: (_x, finished) => deep(finished.point) };
      // A drink 0.1 steps inside is 0.1 steps inside every face.
      const hinted: SolveRequest = {
        ...strict,
        shrink: (n) => 0.1 * Math.hypot(2 * n[0], 0.2 * n[1], 3 * n[2]),
      };
      const [a, b, plain] = [solve(strict), solve(hinted), solve(request)];
      expect(b.status).toBe(a.status);
      expect(b.proposals[0]?.volumeChangedMl).toEqual(a.proposals[0]?.volumeChangedMl);
      for (const p of a.proposals) {
        expect(deep(toVec(p.after))).toBe(true);
        checked += 1;
      }
      if (a.proposals[0] && plain.proposals[0]) {
        expect(a.proposals[0].touched).toBeGreaterThanOrEqual(plain.proposals[0].touched);
      }
    }
    expect(checked).toBeGreaterThan(10);
  });
});
