import { addTimes, largestOf, setTimes } from "../vectors.ts";

/** a·Δ ≤ b over the changes Δ (mL). */
export interface Row {
  id: string;
  a: Float64Array;
  b: number;
}

/** Rows added up with multipliers, and the size of what was added to the limit. */
export type RowSum = ReturnType<typeof emptySum>;

/**
 * A growing set of linear rows over the changes of `width` ingredients. Each is scaled so that its largest
 * coefficient is 1: left sides and `b` are then in "mL of the ingredient that matters most", of order one for
 * the simplex.
 */
export class RowSet {
  /** In the order they were added. */
  readonly list: Row[] = [];
  private readonly spare: Row[] = [];

  constructor(readonly width: number) {}

  /** Forget every row; the memory stays. */
  clear(): void {
    for (let row = this.list.pop(); row; row = this.list.pop()) this.spare.push(row);
  }

  /**
   * Append the row coefficient·Δ ≤ b. A row without coefficients becomes 0·Δ ≤ ±1: it holds always, or
   * refutes everything by itself.
   */
  add(id: string, coefficient: Float64Array, b: number): void {
    const row = this.spare.pop() ?? { id, a: new Float64Array(this.width), b };
    this.list.push(row);
    const largest = largestOf(coefficient);
    const isEmpty = largest < 1e-12;
    row.id = id;
    setTimes(row.a, isEmpty ? 0 : 1 / largest, coefficient);
    row.b = isEmpty ? (b >= 0 ? 1 : -1) : b / largest;
  }

  /** Add the rows up with multipliers λ ≥ 0, one a row, into `sum`. */
  combine(multipliers: Float64Array, sum: RowSum = emptySum(this.width)): RowSum {
    sum.coefficient.fill(0);
    sum.limit = 0;
    sum.magnitude = 0;
    let r = 0;
    for (const { a, b } of this.list) {
      const multiplier = multipliers[r++] ?? 0;
      if (multiplier === 0) continue;
      sum.limit += multiplier * b;
      sum.magnitude += Math.abs(multiplier * b);
      addTimes(sum.coefficient, multiplier, a);
    }
    return sum;
  }
}

/** A sum of no rows. */
export const emptySum = (width: number) => ({
  coefficient: new Float64Array(width),
  limit: 0,
  magnitude: 0,
});
