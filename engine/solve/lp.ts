import type { RowSet } from "./rows.ts";

/** A relaxed value must beat a threshold by this share of the magnitudes summed, or nothing is concluded. */
const ROUNDING_SHARE = 1e-12;
/** Rows are scaled to mL of their strongest ingredient: 1e-9 mL is rounding, not a pour. */
const PRIMAL_TOLERANCE = 1e-9;
const PIVOT_TOLERANCE = 1e-9;
const MAX_PIVOTS = 400;

/** What the simplex claims; callers rely only on `refutes` and `bound`, which are recomputed. */
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
  /** λ by row: of the bound after "optimal", of the refutation after "infeasible". */
  multipliers: Float64Array;
  /** Sound lower bound on the weighted change (−∞ when unknown). */
  bound = 0;
  pivots = 0;

  private tableau: Float64Array;
  private readonly columnVar: Int32Array;
  private readonly columnSign: Float64Array;
  private readonly columnRange: Float64Array;
  private readonly columnAtUpper: Uint8Array;
  private readonly reducedCost: Float64Array;
  private basicVar: Int32Array;
  private basicSign: Float64Array;
  private basicRange: Float64Array;
  private basicValue: Float64Array;
  private readonly width: number;

  constructor(width: number, rowCapacity = 32) {
    this.width = width;
    const columns = 2 * width + 1;
    this.delta = new Float64Array(width);
    this.columnVar = new Int32Array(columns);
    this.columnSign = new Float64Array(columns);
    this.columnRange = new Float64Array(columns);
    this.columnAtUpper = new Uint8Array(columns);
    this.reducedCost = new Float64Array(columns);
    this.multipliers = new Float64Array(rowCapacity);
    this.tableau = new Float64Array(0);
    this.basicVar = new Int32Array(0);
    this.basicSign = new Float64Array(0);
    this.basicRange = new Float64Array(0);
    this.basicValue = new Float64Array(0);
    this.reserve(rowCapacity);
  }

  private reserve(rows: number): void {
    this.tableau = new Float64Array(rows * 2 * this.width);
    this.basicVar = new Int32Array(rows);
    this.basicSign = new Float64Array(rows);
    this.basicRange = new Float64Array(rows);
    this.basicValue = new Float64Array(rows);
    this.multipliers = new Float64Array(rows);
  }

  /**
   * @param free ingredients that may change (indices into the rows' columns); the others stay at Δ = 0
   * @param weight cost per mL by ingredient, ≥ 0
   * @param touched upper limit on the number of free ingredients changed; ≥ free.length means no limit
   */
  solve(
    rows: RowSet,
    free: ArrayLike<number>,
    lo: ArrayLike<number>,
    hi: ArrayLike<number>,
    weight: ArrayLike<number>,
    touched: number = free.length,
  ): LpOutcome {
    const limited = touched < free.length;
    const m = rows.count + (limited ? 1 : 0);
    if (m > this.basicVar.length) this.reserve(m * 2);
    const { columnVar, columnSign, columnRange, columnAtUpper, reducedCost, basicValue, delta } = this;
    delta.fill(0);

    // Columns: the part of a change above its cheapest end, and, when it may go both ways, the part below.
    let n = 0;
    let forced = 0;
    for (let f = 0; f < free.length; f += 1) {
      const i = free[f]!;
      const l = lo[i]!;
      const h = hi[i]!;
      if (l > 0 || h < 0) forced += 1;
      const start = l > 0 ? l : Math.min(h, 0);
      delta[i] = start;
      if (h > start) {
        columnVar[n] = i;
        columnSign[n] = 1;
        columnRange[n] = h - start;
        reducedCost[n] = weight[i]!;
        columnAtUpper[n] = 0;
        n += 1;
      }
      if (l < start) {
        columnVar[n] = i;
        columnSign[n] = -1;
        columnRange[n] = start - l;
        reducedCost[n] = weight[i]!;
        columnAtUpper[n] = 0;
        n += 1;
      }
    }
    const tableau = this.tableau;
    const { a, b, width } = rows;
    for (let r = 0; r < rows.count; r += 1) {
      let value = b[r]!;
      for (let f = 0; f < free.length; f += 1) value -= a[r * width + free[f]!]! * delta[free[f]!]!;
      basicValue[r] = value;
      this.basicVar[r] = -1 - r;
      this.basicSign[r] = 1;
      this.basicRange[r] = Number.POSITIVE_INFINITY;
      for (let j = 0; j < n; j += 1) tableau[r * n + j] = a[r * width + columnVar[j]!]! * columnSign[j]!;
    }
    if (limited) {
      const r = rows.count;
      basicValue[r] = touched - forced;
      this.basicVar[r] = -1 - r;
      this.basicSign[r] = 1;
      this.basicRange[r] = Number.POSITIVE_INFINITY;
      for (let j = 0; j < n; j += 1) {
        const i = columnVar[j]!;
        tableau[r * n + j] = lo[i]! > 0 || hi[i]! < 0 ? 0 : 1 / columnRange[j]!;
      }
    }

    const outcome = this.iterate(m, n, rows.count);
    this.bound = this.weakBound(rows, free, lo, hi, weight, touched, outcome === "infeasible" ? 0 : 1);
    if (outcome === "infeasible") {
      if (this.bound > 0) return "infeasible";
      this.bound = Number.NEGATIVE_INFINITY;
      return "stalled";
    }
    for (let j = 0; j < n; j += 1) {
      if (columnVar[j]! >= 0 && columnAtUpper[j]) {
        delta[columnVar[j]!] = delta[columnVar[j]!]! + columnSign[j]! * columnRange[j]!;
      }
    }
    for (let r = 0; r < m; r += 1) {
      const v = this.basicVar[r]!;
      if (v >= 0) delta[v] = delta[v]! + this.basicSign[r]! * basicValue[r]!;
    }
    return outcome;
  }

  /** The row farthest outside its range; −1 when each is within. */
  private leavingRow(m: number): number {
    const { basicValue, basicRange } = this;
    let row = -1;
    let worst = PRIMAL_TOLERANCE;
    for (let i = 0; i < m; i += 1) {
      const value = basicValue[i]!;
      const outside = Math.max(-value, value - basicRange[i]!);
      if (outside > worst) {
        worst = outside;
        row = i;
      }
    }
    return row;
  }

  /** The column that brings a row back at the least cost; −1 when none can. */
  private enteringColumn(row: number, n: number, above: boolean): number {
    const { columnAtUpper, reducedCost, tableau } = this;
    let column = -1;
    let bestRatio = Number.POSITIVE_INFINITY;
    let bestSize = 0;
    for (let j = 0; j < n; j += 1) {
      const t = tableau[row * n + j]!;
      const toward = above !== (columnAtUpper[j] === 1) ? t : -t;
      if (toward <= PIVOT_TOLERANCE) continue;
      const ratio = Math.abs(reducedCost[j]!) / toward;
      if (ratio < bestRatio - 1e-14 || (ratio <= bestRatio && toward > bestSize)) {
        bestRatio = ratio;
        bestSize = toward;
        column = j;
      }
    }
    return column;
  }

  private iterate(m: number, n: number, rowCount: number): LpOutcome {
    const { columnVar, columnSign, columnRange, columnAtUpper, reducedCost, tableau } = this;
    const { basicVar, basicSign, basicRange, basicValue } = this;
    for (let pivot = 0; pivot < MAX_PIVOTS; pivot += 1) {
      const r = this.leavingRow(m);
      if (r < 0) {
        this.readDuals(n, rowCount);
        return "optimal";
      }
      const above = basicValue[r]! > basicRange[r]!;
      const e = this.enteringColumn(r, n, above);
      if (e < 0) {
        this.readFarkas(r, n, rowCount, above ? -1 : 1);
        return "infeasible";
      }
      this.pivots += 1;
      const leaveAt = above ? basicRange[r]! : 0;
      const pivotValue = tableau[r * n + e]!;
      const step = (basicValue[r]! - leaveAt) / pivotValue;
      const entering = (columnAtUpper[e] ? columnRange[e]! : 0) + step;
      for (let i = 0; i < m; i += 1) {
        if (i !== r) basicValue[i] = basicValue[i]! - tableau[i * n + e]! * step;
      }
      basicValue[r] = entering;
      const inverse = 1 / pivotValue;
      const rowAt = r * n;
      for (let j = 0; j < n; j += 1) tableau[rowAt + j] = tableau[rowAt + j]! * inverse;
      tableau[rowAt + e] = inverse;
      for (let i = 0; i < m; i += 1) {
        if (i === r) continue;
        const at = i * n;
        const factor = tableau[at + e]!;
        if (factor === 0) continue;
        for (let j = 0; j < n; j += 1) tableau[at + j] = tableau[at + j]! - factor * tableau[rowAt + j]!;
        tableau[at + e] = -factor * inverse;
      }
      const cost = reducedCost[e]!;
      if (cost !== 0) {
        for (let j = 0; j < n; j += 1) reducedCost[j] = reducedCost[j]! - cost * tableau[rowAt + j]!;
      }
      reducedCost[e] = -cost * inverse;
      const enteringVar = columnVar[e]!;
      const enteringSign = columnSign[e]!;
      const enteringRange = columnRange[e]!;
      columnVar[e] = basicVar[r]!;
      columnSign[e] = basicSign[r]!;
      columnRange[e] = basicRange[r]!;
      columnAtUpper[e] = above ? 1 : 0;
      basicVar[r] = enteringVar;
      basicSign[r] = enteringSign;
      basicRange[r] = enteringRange;
    }
    this.readDuals(n, rowCount);
    return "stalled";
  }

  /** Slack reduced costs are the row multipliers; small negatives are rounding and are cut off. */
  private readDuals(n: number, rowCount: number): void {
    this.multipliers.fill(0);
    for (let j = 0; j < n; j += 1) {
      const r = -1 - this.columnVar[j]!;
      if (r >= 0 && r < rowCount) this.multipliers[r] = Math.max(0, this.reducedCost[j]!);
    }
  }

  /** The tableau row that cannot be satisfied is a combination of the given rows: its slack coefficients. */
  private readFarkas(row: number, n: number, rowCount: number, sign: number): void {
    this.multipliers.fill(0);
    const own = -1 - this.basicVar[row]!;
    if (own >= 0 && own < rowCount) this.multipliers[own] = 1;
    for (let j = 0; j < n; j += 1) {
      const r = -1 - this.columnVar[j]!;
      if (r >= 0 && r < rowCount) this.multipliers[r] = Math.max(0, sign * this.tableau[row * n + j]!);
    }
  }

  private readonly gains: number[] = [];

  /** Weak duality with this λ; at most `touched` ingredients may take their gain. */
  private weakBound(
    rows: RowSet,
    free: ArrayLike<number>,
    lo: ArrayLike<number>,
    hi: ArrayLike<number>,
    weight: ArrayLike<number>,
    touched: number,
    costFactor: 0 | 1,
  ): number {
    const { multipliers, gains } = this;
    const { a, b, width } = rows;
    let sum = 0;
    let magnitude = 0;
    for (let r = 0; r < rows.count; r += 1) {
      const term = multipliers[r]! * b[r]!;
      sum -= term;
      magnitude += Math.abs(term);
    }
    gains.length = 0;
    let forced = 0;
    for (let f = 0; f < free.length; f += 1) {
      const i = free[f]!;
      let c = 0;
      for (let r = 0; r < rows.count; r += 1) c += multipliers[r]! * a[r * width + i]!;
      const gain = leastOn(c, costFactor * weight[i]!, lo[i]!, hi[i]!);
      magnitude += Math.abs(gain);
      if (lo[i]! > 0 || hi[i]! < 0) {
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

/** min over lo ≤ Δ ≤ hi of w|Δ| + cΔ: convex and piecewise linear, so the least is at an end or at 0. */
export function leastOn(c: number, w: number, lo: number, hi: number): number {
  const atLo = w * Math.abs(lo) + c * lo;
  const atHi = w * Math.abs(hi) + c * hi;
  const least = Math.min(atLo, atHi);
  return lo <= 0 && hi >= 0 ? Math.min(0, least) : least;
}
