import { describe, expect, test } from "vitest";
import { toVec } from "../../../engine/axes.ts";
import { limitsOf, withLimits } from "../../../engine/explore/limits.ts";
import { repair } from "../../../engine/explore/repair.ts";
import { place } from "../../../engine/place/place.ts";
import { solve } from "../../../engine/solve/solve.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Spec, TargetSpec } from "../../../engine/types.ts";
import { demoRequest, demoRound, pantry } from "./demo-request.ts";

const box: TargetSpec = {
  kind: "box",
  name: "my box",
  sugarGPer100Ml: [5, 9],
  acidGPer100Ml: [0.75, 1.1],
  abvPercent: [12, 18],
};

describe("an infeasible request explained", () => {
  const request = demoRequest(demoRound(6), {
    target: box,
    locks: ["juice-lime", "rum-aged-43"],
    maxTouched: 2,
  });

  test("the example is infeasible, so that the rest means something", () => {
    expect(solve(request).status).toBe("infeasible");
  });

  test("the conflict cannot hold together, and lifting any one of it leaves the rest feasible", () => {
    const { conflict } = repair(request);
    const ids = conflict.map((limit) => limit.id);
    expect(ids.length).toBeGreaterThan(1);
    expect(solve(withLimits(request, new Set(ids))!).status).toBe("infeasible");
    for (const id of ids) {
      const without = withLimits(request, new Set(ids.filter((other) => other !== id)));
      expect(without === null || solve(without).status !== "infeasible", id).toBe(true);
    }
  });

  test("blames the lock on the only sour ingredient and the acid floor", () => {
    const { conflict } = repair(request);
    expect(conflict.map((limit) => limit.id)).toContain("lock:juice-lime");
    expect(conflict.some((limit) => limit.text.startsWith("acid at least"))).toBe(true);
  });

  test("every repair offered really lands inside, least change first", () => {
    const { repairs } = repair(request);
    const target = compileTarget(box);
    expect(repairs.map((r) => r.id)).toContain("lock:juice-lime");
    expect(repairs.some((r) => r.kind === "add")).toBe(true);
    for (const r of repairs) {
      expect(target.contains(toVec(place(r.proposal.spec, pantry).point)), r.text).toBe(true);
    }
    const order = repairs.map((r) => r.proposal.touched * 1000 + r.proposal.volumeChangedMl);
    expect(order).toEqual([...order].sort((a, b) => a - b));
  });
});

test("of two juices that do it alike, that of the fruit the drink has comes first", () => {
  const spec: Spec = {
    name: "Cordial alone (invented)",
    method: "shaken",
    lines: [
      { ingredient: "gin", amount: 2, unit: "oz" },
      { ingredient: "lime-cordial", amount: 2, unit: "oz" },
    ],
  };
  const juices = repair(demoRequest(spec)).repairs.filter(
    ({ kind, id }) => kind === "add" && /juice/.test(id),
  );
  expect(juices.map(({ id }) => id).slice(0, 2)).toEqual(["juice-lime", "juice-lemon"]);
  expect(juices[0]!.proposal.volumeChangedMl).toBe(juices[1]!.proposal.volumeChangedMl);
});

test("limits list every removable thing once and lifting all but the target leaves a plain request", () => {
  const spec: Spec = demoRound(6);
  const request = demoRequest(spec, {
    target: { kind: "intersection", parts: [box, { kind: "ratio", min: 6, max: 12 }] },
    locks: ["maple"],
    bounds: [{ ingredient: "juice-lime", maxMl: 30 }],
    maxFinishedMl: 150,
    driftBudget: 2,
    minProbability: 0.8,
    character: [{ ingredient: "juice-pineapple", minSharePercent: 10 }],
    maxTouched: 3,
  });
  const limits = limitsOf(request);
  expect(new Set(limits.map((l) => l.id)).size).toBe(limits.length);
  const count = (kind: string) => limits.filter((l) => l.kind === kind).length;
  expect(
    ["target", "lock", "bound", "glass", "drift", "chance", "character", "max-touched"].map(count),
  ).toEqual([8, 1, 1, 1, 1, 1, 1, 1]);
  const plain = withLimits(request, new Set(limits.filter((l) => l.kind === "target").map((l) => l.id)))!;
  expect(plain).toMatchObject({ locks: [], bounds: [], character: [] });
  expect([plain.maxTouched, plain.maxFinishedMl, plain.driftBudget, plain.minProbability]).toEqual(
    Array(4).fill(undefined),
  );
  expect(withLimits(request, new Set())).toBeNull();
});
