/** Far more free amounts than the solver is made for: it must stop where told, in bounded memory. */
import { describe, expect, test } from "vitest";
import { type SolveRequest, solve } from "../../../engine/solve/solve.ts";
import type { MeasureId, TargetSpec } from "../../../engine/types.ts";
import { PANTRY } from "./arbitrary-request.ts";
import { checkResult } from "./invariants.ts";

const IDS = [...PANTRY.values()].filter((i) => i.role !== "acid" && i.role !== "sugar").map((i) => i.id);
const small = (size: number): TargetSpec => ({
  kind: "ellipsoid",
  mean: [7, 0.8, 18],
  covariance: [
    [size, 0, 0],
    [0, size / 100, 0],
    [0, 0, size],
  ],
  radius: 1,
});
const crowd = (n: number, more: Partial<SolveRequest>): SolveRequest => ({
  spec: {
    name: "crowd",
    method: "shaken",
    lines: Array.from({ length: n }, (_, i) => ({
      ingredient: IDS[Math.floor((i * IDS.length) / n)]!,
      amount: 3 + (i % 5),
      unit: "ml",
    })),
  },
  pantry: PANTRY,
  prices: new Map(IDS.map((id, k) => [id, 5 + (k % 60)])),
  target: small(0.01),
  ladder: { id: "own", name: "fine", stepMl: 2.5, displayUnit: "ml" },
  ...more,
});

describe.each<MeasureId>(["fewest-then-volume", "volume", "relative", "drift", "cost"])(
  "%s, 44 free",
  (measure) => {
    test.each(["regression", "energy"] as const)("%s: after the time is up little more is done", (model) => {
      const request = crowd(44, { measure });
      request.spec.dilution = { model };
      // The clock strikes at the tenth look and gains a twentieth of the budget at each look from there: what is
      // done between looks, and in the half budget for finding any answer at all, is all that may come after.
      let looks = 0;
      const now = () => (++looks < 10 ? 0 : 1e6 + 5 * looks);
      const result = solve({ ...request, now, timeBudgetMs: 100 });
      expect(result.limit).toBe("time");
      expect(result.certificate.relaxations).toBeLessThan(900);
      checkResult(request, result);
    });
  },
);

test("24 free on a ladder of 0.1 mL up to 1.5 L: the limit holds, and so do the bounds", () => {
  for (const measure of ["volume", "relative"] as const) {
    const request = crowd(24, { measure, nodeLimit: 60 });
    request.ladder = { id: "own", name: "fine", stepMl: 0.1, displayUnit: "ml" };
    request.bounds = request.spec.lines.map((l) => ({ ingredient: l.ingredient, maxMl: 1500 }));
    checkResult(request, solve(request));
  }
});

test("sets of many ingredients do not fill the memory", () => {
  const before = process.memoryUsage().heapUsed;
  const request = crowd(44, { nodeLimit: 50, target: small(0.2) });
  request.spec.dilution = { model: "energy" };
  const result = solve(request);
  // C(44, 6) sets of 6 with their names were gigabytes; the survey's allowance is some tens of megabytes.
  expect(process.memoryUsage().heapUsed - before).toBeLessThan(500e6);
  expect(result.limit).toBe("nodes");
  expect(JSON.stringify(result).length).toBeLessThan(2e6);
  checkResult(request, result);
});

test("more ingredients than a bound can sort out still answer an easy question", () => {
  const request = crowd(30, { target: { kind: "box", sugarGPer100Ml: [5, 12], abvPercent: [10, 16] } });
  const result = solve(request);
  checkResult(request, result);
  expect(["already_inside", "optimal", "limit_reached"]).toContain(result.status);
});
