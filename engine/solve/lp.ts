import { product, Table } from "../vectors.ts";
import { emptySum, type RowSet, type RowSum } from "./rows.ts";

/** A relaxed value must beat a threshold by this share of the magnitudes summed, or nothing is concluded. */
export const ROUNDING_SHARE = 1e-12;
/** Rows are scaled to mL of their strongest ingredient: 1e-9 mL is rounding, not a pour. */
const PRIMAL_TOLERANCE = 1e-9;
const PIVOT_TOLERANCE = 1e-9;
const MAX_PIVOTS = 400;

/** What the simplex claims; callers rely only on the multipliers and on `bound`, which is recomputed. */
export type LpOutcome = "optimal" | "infeasible" | "stalled";

/**
 * The least weighted change: minimise Σ wᵢ|Δᵢ| subject to rows a·Δ ≤ b and loᵢ ≤ Δᵢ ≤ hiᵢ, optionally with
 * Σ (share of the range used) ≤ k, by a dense bounded-variable dual simplex (Lemke 1954; Maros,
 * "Computational Techniques of the Simplex Method", 2003, ch. 10). Changing nothing costs nothing and
 * weights are not negative, so the slack basis is dual feasible and there is no phase one.
 *
 * The tableau is never trusted: `bound` is recomputed from the multipliers λ ≥ 0 by weak duality,
 * Σᵢ min over [loᵢ, hiᵢ] of (wᵢ|Δ| + (λA)ᵢΔ) − λb, and an infeasible verdict counts only if the same
 * sum with w = 0 is above zero (Farkas). Both hold for any λ ≥ 0, however inexact the pivots were.
 */
export class LeastChangeLp {
  /** Solution by ingredient (mL); meaningful after "optimal". */
  readonly delta: Float64Array;
  /** λ by row, and beyond the last of them without meaning: of the bound after "optimal", of the refutation after "infeasible". */
  multipliers = new Float64Array(0);
  /** Sound lower bound on the weighted change (−∞ when unknown). */
  bound = 0;

  /** Lines 0 to m − 1 give the basic variables, line m the measure: by the n others, then the value itself. */
  private table = new Table(0);
  private m = 0;
  private n = 0;
  /** Variables of lines and of columns: 2i is the rise of ingredient i, 2i + 1 its fall, 2·width + r what row r leaves. */
  private basic = new Int32Array(0);
  private readonly outside: Int32Array;
  /** Whether a column's variable stands at the upper end of its range. */
  private readonly isAtUpper: Uint8Array;
  /** Range of each variable. */
  private range = new Float64Array(0);
  private readonly sum: RowSum;
  private readonly gains: number[] = [];

  constructor(private readonly width: number) {
    this.delta = new Float64Array(width);
    this.outside = new Int32Array(2 * width);
    this.isAtUpper = new Uint8Array(2 * width);
    this.sum = emptySum(width);
  }

  private reserve(rows: number): void {
    const { width } = this;
    this.table = new Table((rows + 1) * (2 * width + 1));
    this.basic = new Int32Array(rows);
    this.range = new Float64Array(2 * width + rows).fill(Number.POSITIVE_INFINITY, 2 * width);
    this.multipliers = new Float64Array(rows);
  }

  /**
   * @param free ingredients that may change (indices into the rows' columns); the others stay at Δ = 0
   * @param weight cost per mL by ingredient, ≥ 0
   * @param touched upper limit on the number of free ingredients changed; ≥ free.length means no limit
   */
  solve(
    rows: RowSet,
    free: readonly number[],
    lo: ArrayLike<number>,
    hi: ArrayLike<number>,
    weight: ArrayLike<number>,
    touched: number = free.length,
  ): LpOutcome {
    const isLimited = touched < free.length;
    this.m = rows.list.length + (isLimited ? 1 : 0);
    if (this.m > this.basic.length) this.reserve(2 * this.m);
    const forced = this.setOut(free, lo, hi);
    this.load(rows, weight, isLimited ? touched - forced : null, forced > 0);
    const outcome = this.iterate();
    this.bound = this.weakBound(rows, free, lo, hi, weight, touched, outcome === "infeasible" ? 0 : 1);
    if (outcome === "infeasible") {
      if (this.bound > 0) return "infeasible";
      this.bound = Number.NEGATIVE_INFINITY;
      return "stalled";
    }
    for (let j = 0; j < this.n; j += 1) {
      const v = this.outside[j]!;
      if (this.isAtUpper[j]) this.change(v, this.range[v]!);
    }
    for (let i = 0; i < this.m; i += 1) this.change(this.basic[i]!, this.table.get(i, this.n));
    return outcome;
  }

  /**
   * Start every change at its cheapest end. Columns: the part of it above, and, when it may go both ways, the part
   * below. Returns how many cannot be left alone.
   */
  private setOut(free: readonly number[], lo: ArrayLike<number>, hi: ArrayLike<number>): number {
    const { delta, outside, range } = this;
    delta.fill(0);
    this.isAtUpper.fill(0);
    let forced = 0;
    let n = 0;
    for (const i of free) {
      const l = lo[i]!;
      const h = hi[i]!;
      if (isForced(l, h)) forced += 1;
      const start = l > 0 ? l : Math.min(h, 0);
      delta[i] = start;
      range[2 * i] = h - start;
      range[2 * i + 1] = start - l;
      if (h > start) outside[n++] = 2 * i;
      if (l < start) outside[n++] = 2 * i + 1;
    }
    this.n = n;
    return forced;
  }

  /** Write the table: the rows, the limit on how many more may be touched if there is one, and the measure. */
  private load(rows: RowSet, weight: ArrayLike<number>, mayTouch: number | null, isMoved: boolean): void {
    const { delta, outside, m, n } = this;
    const table = this.table.reshape(n + 1);
    let r = 0;
    for (const { a, b } of rows.list) {
      for (let j = 0; j < n; j += 1) {
        const v = outside[j]!;
        const c = a[v >> 1]!;
        table.set(r, j, v & 1 ? -c : c);
      }
      table.set(r, n, isMoved ? b - product(a, delta) : b);
      r += 1;
    }
    if (mayTouch !== null) table.set(r, n, mayTouch);
    for (let j = 0; j < n; j += 1) {
      const v = outside[j]!;
      // What cannot be left alone, and so does not start at 0, is counted as touched already.
      if (mayTouch !== null) table.set(r, j, delta[v >> 1] === 0 ? 1 / this.range[v]! : 0);
      table.set(m, j, weight[v >> 1]!);
    }
    table.set(m, n, 0);
    for (let i = 0; i < m; i += 1) this.basic[i] = 2 * this.width + i;
  }

  /** Change an ingredient, if that is what a variable is of. */
  private change(v: number, by: number): void {
    if (v < 2 * this.width) this.delta[v >> 1]! += v & 1 ? -by : by;
  }

  /** The row farthest outside its range; −1 when each is within. */
  private leavingRow(): number {
    const { table, range, basic, m, n } = this;
    let row = -1;
    let worst = PRIMAL_TOLERANCE;
    for (let i = 0; i < m; i += 1) {
      const value = table.get(i, n);
      const outside = Math.max(-value, value - range[basic[i]!]!);
      if (outside > worst) {
        worst = outside;
        row = i;
      }
    }
    return row;
  }

  /** The column that brings a row back at the least cost; −1 when none can. */
  private enteringColumn(row: number, above: boolean): number {
    const { isAtUpper, table, m, n } = this;
    let column = -1;
    let bestRatio = Number.POSITIVE_INFINITY;
    let bestSize = 0;
    for (let j = 0; j < n; j += 1) {
      const t = table.get(row, j);
      const toward = above !== (isAtUpper[j] === 1) ? t : -t;
      if (toward <= PIVOT_TOLERANCE) continue;
      const ratio = Math.abs(table.get(m, j)) / toward;
      if (ratio < bestRatio - 1e-14 || (ratio <= bestRatio && toward > bestSize)) {
        bestRatio = ratio;
        bestSize = toward;
        column = j;
      }
    }
    return column;
  }

  private iterate(): LpOutcome {
    const { table, range, basic, m, n } = this;
    for (let pivot = 0; pivot < MAX_PIVOTS; pivot += 1) {
      const r = this.leavingRow();
      if (r < 0) {
        this.readMultipliers(m, 1);
        return "optimal";
      }
      const most = range[basic[r]!]!;
      const above = table.get(r, n) > most;
      const e = this.enteringColumn(r, above);
      if (e < 0) {
        // The row that cannot be satisfied is a combination of the given rows: its slack coefficients.
        this.readMultipliers(r, above ? -1 : 1);
        const own = basic[r]! - 2 * this.width;
        if (own >= 0) this.multipliers[own] = 1;
        return "infeasible";
      }
      this.pivot(r, e, above ? most : 0);
      this.isAtUpper[e] = above ? 1 : 0;
    }
    this.readMultipliers(m, 1);
    return "stalled";
  }

  /** Exchange the variable of a row, which goes to `leaveAt`, for that of a column. */
  private pivot(r: number, e: number, leaveAt: number): void {
    const { table, outside, basic, m, n } = this;
    const entering = outside[e]!;
    const from = this.isAtUpper[e] ? this.range[entering]! : 0;
    const pivotValue = table.get(r, e);
    const step = (table.get(r, n) - leaveAt) / pivotValue;
    const inverse = 1 / pivotValue;
    table.scaleRow(r, inverse);
    table.set(r, e, inverse);
    table.set(r, n, step);
    for (let i = 0; i <= m; i += 1) {
      const factor = table.get(i, e);
      if (i === r || factor === 0) continue;
      table.addRow(i, -factor, r);
      table.set(i, e, -factor * inverse);
    }
    table.set(r, n, from + step);
    outside[e] = basic[r]!;
    basic[r] = entering;
  }

  /** The entries of slacks in a line are the rows' multipliers; small negatives are rounding and are cut off. */
  private readMultipliers(line: number, sign: 1 | -1): void {
    this.multipliers.fill(0);
    for (let j = 0; j < this.n; j += 1) {
      const r = this.outside[j]! - 2 * this.width;
      if (r >= 0) this.multipliers[r] = Math.max(0, sign * this.table.get(line, j));
    }
  }

  /** Weak duality with this λ; at most `touched` ingredients may take their gain. */
  private weakBound(
    rows: RowSet,
    free: readonly number[],
    lo: ArrayLike<number>,
    hi: ArrayLike<number>,
    weight: ArrayLike<number>,
    touched: number,
    costFactor: 0 | 1,
  ): number {
    const { gains } = this;
    const { coefficient, limit, magnitude: added } = rows.combine(this.multipliers, this.sum);
    let sum = 0 - limit;
    let magnitude = added;
    gains.length = 0;
    let forced = 0;
    for (const i of free) {
      const l = lo[i]!;
      const h = hi[i]!;
      const gain = leastOn(coefficient[i]!, costFactor * weight[i]!, l, h);
      magnitude += Math.abs(gain);
      if (isForced(l, h)) {
        sum += gain;
        forced += 1;
      } else if (gain < 0) gains.push(gain);
    }
    if (forced > touched) return Number.POSITIVE_INFINITY;
    if (gains.length > touched - forced) {
      gains.sort((x, y) => x - y);
      gains.length = touched - forced;
    }
    for (const gain of gains) sum += gain;
    return sum - ROUNDING_SHARE * magnitude;
  }
}

/** An ingredient that cannot be left alone. */
const isForced = (lo: number, hi: number) => lo > 0 || hi < 0;

/** min over lo ≤ Δ ≤ hi of w|Δ| + cΔ: convex and piecewise linear, so the least is at an end or at 0. */
export function leastOn(c: number, w: number, lo: number, hi: number): number {
  const atLo = w * Math.abs(lo) + c * lo;
  const atHi = w * Math.abs(hi) + c * hi;
  const least = Math.min(atLo, atHi);
  return lo <= 0 && hi >= 0 ? Math.min(0, least) : least;
}
