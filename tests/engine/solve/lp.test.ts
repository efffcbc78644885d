/** The simplex by itself, on problems small enough to solve by hand. */
import { describe, expect, test } from "vitest";
import { LeastChangeLp, leastOn } from "../../../engine/solve/lp.ts";
import { RowSet } from "../../../engine/solve/rows.ts";
import { seeded } from "./linear-instance.ts";

/** Rows a·Δ ≤ b. */
function rowsOf(width: number, rows: readonly (readonly [readonly number[], number])[]): RowSet {
  const set = new RowSet(width);
  rows.forEach(([a, b], r) => {
    set.add(`row ${r}`, Float64Array.from(a), b);
  });
  return set;
}

/** Σ value·a and Σ value·b of a multiplier over rows, as a checker would add them. */
function combined(rows: RowSet, multipliers: Float64Array): { c: number[]; limit: number } {
  const c = new Array<number>(rows.width).fill(0);
  let limit = 0;
  for (const [r, { a, b }] of rows.list.entries()) {
    limit += multipliers[r]! * b;
    for (let i = 0; i < rows.width; i += 1) c[i]! += multipliers[r]! * a[i]!;
  }
  return { c, limit };
}

describe("the least weighted change", () => {
  test("no row asks for anything: no change", () => {
    const lp = new LeastChangeLp(2);
    expect(lp.solve(rowsOf(2, [[[1, 1], 5]]), [0, 1], [-9, -9], [9, 9], [1, 1])).toBe("optimal");
    expect([...lp.delta]).toEqual([0, 0]);
    expect(lp.bound).toBe(0);
  });

  test("one row: the ingredient that does most per cost moves, alone", () => {
    const lp = new LeastChangeLp(2);
    // Δ₀ + 3Δ₁ ≥ 6.
    const rows = rowsOf(2, [[[-1, -3], -6]]);
    lp.solve(rows, [0, 1], [-9, -9], [9, 9], [1, 1]);
    expect([...lp.delta]).toEqual([0, 2]);
    expect(lp.bound).toBeCloseTo(2, 9);
    lp.solve(rows, [0, 1], [-9, -9], [9, 9], [1, 4]);
    expect([...lp.delta]).toEqual([6, 0]);
    expect(lp.bound).toBeCloseTo(6, 9);
  });

  test("a range that runs out hands the rest to the next ingredient; a reduction is as good as a rise", () => {
    const lp = new LeastChangeLp(2);
    lp.solve(rowsOf(2, [[[-1, 3], -6]]), [0, 1], [-9, -1], [9, 9], [1, 1]);
    expect([...lp.delta]).toEqual([3, -1]);
    expect(lp.bound).toBeCloseTo(4, 9);
  });

  test("two rows meet in a corner", () => {
    const lp = new LeastChangeLp(2);
    // Δ₀ + Δ₁ ≥ 4 and Δ₀ − Δ₁ ≥ 2: Δ = (3, 1).
    const rows = rowsOf(2, [
      [[-1, -1], -4],
      [[-1, 1], -2],
    ]);
    lp.solve(rows, [0, 1], [-9, -9], [9, 9], [1, 2]);
    expect(lp.delta[0]).toBeCloseTo(4, 9);
    expect(lp.delta[1]).toBeCloseTo(0, 9);
    lp.solve(rows, [0, 1], [-9, -9], [3, 9], [1, 2]);
    expect(lp.delta[0]).toBeCloseTo(3, 9);
    expect(lp.delta[1]).toBeCloseTo(1, 9);
    expect(lp.bound).toBeCloseTo(5, 9);
  });

  test("ingredients that are not free stay, and a box that excludes 0 is paid for", () => {
    const lp = new LeastChangeLp(2);
    expect(lp.solve(rowsOf(2, [[[-1, -3], -6]]), [0], [-9, -9], [9, 9], [1, 1])).toBe("optimal");
    expect([...lp.delta]).toEqual([6, 0]);
    lp.solve(rowsOf(2, [[[1, 1], 50]]), [0, 1], [2, -9], [9, -3], [1, 1]);
    expect([...lp.delta]).toEqual([2, -3]);
    expect(lp.bound).toBeCloseTo(5, 9);
  });
});

describe("what cannot be", () => {
  test("rows that exclude each other: the multipliers say so by addition alone", () => {
    const lp = new LeastChangeLp(2);
    const rows = rowsOf(2, [
      [[1, 2], -3],
      [[-1, -2], 2],
    ]);
    expect(lp.solve(rows, [0, 1], [-9, -9], [9, 9], [1, 1])).toBe("infeasible");
    const { c, limit } = combined(rows, lp.multipliers);
    const least = c.reduce((sum, ci) => sum + leastOn(ci, 0, -9, 9), 0);
    expect(least).toBeGreaterThan(limit);
  });

  test("ranges that fall short", () => {
    const lp = new LeastChangeLp(1);
    expect(lp.solve(rowsOf(1, [[[-1], -10]]), [0], [0], [9], [1])).toBe("infeasible");
    expect(lp.solve(rowsOf(1, [[[-1], -9]]), [0], [0], [9], [1])).toBe("optimal");
  });

  test("a row without coefficients refutes everything by itself, or nothing", () => {
    const lp = new LeastChangeLp(1);
    expect(lp.solve(rowsOf(1, [[[0], -1]]), [0], [0], [9], [1])).toBe("infeasible");
    expect(lp.solve(rowsOf(1, [[[0], 1]]), [0], [0], [9], [1])).toBe("optimal");
  });

  test("at most one of three: each could give 5, 12 are asked", () => {
    const lp = new LeastChangeLp(3);
    const rows = rowsOf(3, [[[-1, -1, -1], -12]]);
    const box = [
      [0, 0, 0],
      [5, 5, 5],
    ] as const;
    expect(lp.solve(rows, [0, 1, 2], ...box, [1, 1, 1], 3)).toBe("optimal");
    expect(lp.solve(rows, [0, 1, 2], ...box, [1, 1, 1], 2)).toBe("infeasible");
    expect(lp.solve(rows, [0, 1], ...box, [1, 1, 1])).toBe("infeasible");
  });
});

test("the bound never exceeds the cost of any point that meets the rows, and is the optimum's", () => {
  const random = seeded(77);
  let checked = 0;
  for (let k = 0; k < 400; k += 1) {
    const n = 2 + Math.floor(3 * random());
    const point = Array.from({ length: n }, () => 10 * (random() - 0.5));
    const rows = rowsOf(
      n,
      Array.from({ length: 4 }, () => {
        const a = point.map(() => random() - 0.5);
        return [a, a.reduce((sum, x, i) => sum + x * point[i]!, 0) + random()] as const;
      }),
    );
    const weight = point.map(() => 0.2 + random());
    const free = [...point.keys()];
    const lp = new LeastChangeLp(n);
    const ends = [new Array<number>(n).fill(-5), new Array<number>(n).fill(5)] as const;
    expect(lp.solve(rows, free, ...ends, weight)).toBe("optimal");
    const cost = (d: ArrayLike<number>) => weight.reduce((sum, w, i) => sum + w * Math.abs(d[i]!), 0);
    expect(lp.bound).toBeLessThanOrEqual(cost(point) + 1e-9);
    expect(lp.bound).toBeCloseTo(cost(lp.delta), 7);
    if (lp.bound > 0.01) checked += 1;
  }
  expect(checked).toBeGreaterThan(100);
});

test("the least of w|Δ| + cΔ on an interval is at an end or at 0", () => {
  expect(leastOn(-3, 1, -2, 5)).toBe(-10);
  expect(leastOn(3, 1, -2, 5)).toBe(-4);
  expect(leastOn(0.5, 1, -2, 5)).toBe(0);
  expect(leastOn(0.5, 1, 2, 5)).toBe(3);
});
