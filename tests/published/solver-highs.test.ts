/**
 * The exact search against HiGHS 1.x (Huangfu & Hall, "Parallelizing the dual revised simplex method",
 * Math. Prog. Comp. 10, 2018; WebAssembly build from the npm registry) on random drinks whose dilution is
 * fixed and whose volumes add up, so that both solve the same linear problem.
 */
import highsLoader from "highs";
import { beforeAll, describe, expect, test } from "vitest";
import { LadderSearch } from "../../engine/solve/levels.ts";
import { LeastChangeLp } from "../../engine/solve/lp.ts";
import { RowSet } from "../../engine/solve/rows.ts";
import { toLpText } from "../engine/solve/highs-model.ts";
import {
  inside,
  type LinearInstance,
  linearInstance,
  rowsOf,
  seeded,
  toSearchProblem,
} from "../engine/solve/linear-instance.ts";

type Highs = Awaited<ReturnType<typeof highsLoader>>;
let highs: Highs;
beforeAll(async () => {
  highs = await highsLoader();
});

/** HiGHS's answer as pours, checked by plain arithmetic; null when it says infeasible. */
function byHighs(instance: LinearInstance): { touched: number; volume: number } | null {
  const { text } = toLpText(instance);
  const result = highs.solve(text, { mip_rel_gap: 0, mip_abs_gap: 1e-6, output_flag: false });
  if (result.Status === "Infeasible") return null;
  if (result.Status !== "Optimal") throw new Error(`HiGHS: ${result.Status}`);
  const columns = result.Columns as Record<string, { Primal: number }>;
  const steps = instance.fromMl.map((_, i) =>
    Math.round(columns[`p${i}`]!.Primal - columns[`q${i}`]!.Primal),
  );
  const x = instance.fromMl.map((from, i) => from + steps[i]! * instance.stepMl);
  if (!inside(rowsOf(instance), x)) throw new Error("HiGHS's rounded answer is outside");
  return {
    touched: steps.filter((s) => s !== 0).length,
    volume: steps.reduce((sum, s) => sum + Math.abs(s) * instance.stepMl, 0),
  };
}

function ours(instance: LinearInstance): { touched: number; volume: number } | null {
  const problem = toSearchProblem(instance);
  if (problem.accept(new Float64Array(problem.size))) return { touched: 0, volume: 0 };
  const search = new LadderSearch(problem);
  const { answer } = search.fewest();
  expect(search.effort.limit).toBeNull();
  return answer && { touched: answer.touched, volume: answer.cost };
}

describe("exact search against HiGHS on the equal linear problem", () => {
  test.each([
    [4, 40],
    [6, 40],
    [8, 30],
    [10, 30],
    [12, 30],
  ])("%i integer ingredients, %i random drinks: the same answer", (n, count) => {
    let feasible = 0;
    for (let s = 0; s < count; s += 1) {
      const instance = linearInstance(n, seeded(50_000 + 1000 * n + s));
      const theirs = byHighs(instance);
      const mine = ours(instance);
      expect(mine === null, `seed ${s}`).toBe(theirs === null);
      if (mine === null || theirs === null) continue;
      feasible += 1;
      expect(mine.touched, `seed ${s}`).toBe(theirs.touched);
      expect(mine.volume, `seed ${s}`).toBeCloseTo(theirs.volume, 6);
    }
    expect(feasible).toBeGreaterThan(count / 3);
    expect(feasible).toBeLessThanOrEqual(count);
  });

  test("a limit on touched ingredients and fine steps: the same answer", () => {
    let limited = 0;
    for (let s = 0; s < 25; s += 1) {
      const instance = { ...linearInstance(8, seeded(90_000 + s), 0.5), maxTouched: 2 };
      const theirs = byHighs(instance);
      const mine = ours(instance);
      expect(mine, `seed ${s}`).toEqual(
        theirs && { touched: theirs.touched, volume: expect.closeTo(theirs.volume, 6) },
      );
      if (mine === null) limited += 1;
    }
    expect(limited).toBeGreaterThan(0);
  });
});

test("the simplex against HiGHS on the continuous problem, and its bound is the optimum", () => {
  let feasible = 0;
  for (let s = 0; s < 80; s += 1) {
    const n = 3 + (s % 10);
    const instance = linearInstance(n, seeded(130_000 + s));
    const { text } = toLpText(instance, false);
    const result = highs.solve(text, { output_flag: false });
    const rows = new RowSet(n);
    for (const [r, row] of rowsOf(instance).entries()) {
      const b = -row.reduce((sum, a, i) => sum + a * instance.fromMl[i]!, 0);
      rows.add(`r${r}`, Float64Array.from(row), b);
    }
    rows.add(
      "poured",
      new Float64Array(n).fill(-1),
      instance.fromMl.reduce((a, b) => a + b, 0) - instance.stepMl,
    );
    const lp = new LeastChangeLp(n);
    const lo = instance.fromMl.map((from) => -from);
    const hi = instance.fromMl.map((from, i) => instance.maxSteps[i]! * instance.stepMl - from);
    const outcome = lp.solve(rows, [...instance.fromMl.keys()], lo, hi, new Float64Array(n).fill(1));
    expect(outcome, `seed ${s}`).toBe(result.Status === "Optimal" ? "optimal" : "infeasible");
    if (outcome !== "optimal") continue;
    feasible += 1;
    expect(lp.bound, `seed ${s}`).toBeCloseTo(result.ObjectiveValue, 5);
    const cost = lp.delta.reduce((sum, d) => sum + Math.abs(d), 0);
    expect(cost, `seed ${s}`).toBeCloseTo(result.ObjectiveValue, 5);
  }
  expect(feasible).toBeGreaterThan(25);
});
