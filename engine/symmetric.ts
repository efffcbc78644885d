import { addTo, type Row } from "./linalg.ts";

/**
 * Symmetric matrices by their lower triangle, and Cholesky factors that know what they solve. Kept here and not left
 * to the library because they run tens of thousands of times in a search or a posterior.
 */

/** start − Σ a_k b_k, over as many as `b` has. */
function lessProducts(start: number, a: Row, b: Row): number {
  let left = start;
  for (let k = 0; k < b.length; k++) left -= a[k]! * b[k]!;
  return left;
}

/** A symmetric matrix that is being summed up: entries below and on the diagonal, row by row. */
export class SymmetricSum {
  readonly rows: number[][];

  /** @param diagonal what stands on it to begin with */
  constructor(order: number, diagonal = 0) {
    this.rows = Array.from({ length: order }, (_, i) => {
      const row = new Array<number>(i + 1).fill(0);
      row[i] = diagonal;
      return row;
    });
  }

  /** Add x at row i and column j ≤ i. */
  addAt(i: number, j: number, x: number): void {
    this.rows[i]![j]! += x;
  }

  /** Add s · v vᵀ, its first entry at `from` on the diagonal. */
  addSquare(s: number, v: Row, from = 0): void {
    let i = from;
    for (const x of v) {
      const row = this.rows[i++]!;
      for (let j = from; j < i; j++) row[j]! += s * x * v[j - from]!;
    }
  }

  /** Add s · M, of which only what is on and left of the diagonal is read, its first entry at `from`. */
  addMatrix(s: number, m: readonly Row[], from = 0): void {
    let i = from;
    for (const part of m) {
      const row = this.rows[i++]!;
      for (let j = from; j < i; j++) row[j]! += s * part[j - from]!;
    }
  }

  /** s · this + d · identity. */
  scaled(s: number, d: number): SymmetricSum {
    const made = new SymmetricSum(this.rows.length, d);
    made.addMatrix(s, this.rows);
    return made;
  }

  /** The factor, or null when this is not positive definite to rounding. */
  factor(): Factor | null {
    const rows: FactorRow[] = [];
    for (const own of this.rows) {
      const before: number[] = [];
      for (const other of rows) {
        before.push(lessProducts(own[before.length]!, before, other.before) / other.pivot);
      }
      const onDiagonal = own[before.length]!;
      const square = lessProducts(onDiagonal, before, before);
      if (!(square > 1e-12 * onDiagonal)) return null;
      rows.push({ before, pivot: Math.sqrt(square) });
    }
    return new Factor(rows);
  }
}

/** A row of a lower triangle: what is left of the diagonal, and what is on it. */
interface FactorRow {
  before: Row;
  pivot: number;
}

/** Lower-triangular L of a symmetric matrix L Lᵀ. */
export class Factor {
  /** Half the logarithm of the matrix's determinant. */
  readonly halfLogDeterminant: number;
  readonly #rows: readonly FactorRow[];

  constructor(rows: readonly FactorRow[]) {
    this.#rows = rows;
    this.halfLogDeterminant = rows.reduce((sum, { pivot }) => sum + Math.log(pivot), 0);
  }

  /** (L Lᵀ)⁻¹ b. */
  solve(b: Row): number[] {
    return this.solveUpper(this.solveLower(b));
  }

  /** L⁻¹ b. */
  solveLower(b: Row): number[] {
    const x: number[] = [];
    for (const { before, pivot } of this.#rows) x.push(lessProducts(b[x.length]!, before, x) / pivot);
    return x;
  }

  /** L⁻ᵀ b. */
  solveUpper(b: Row): number[] {
    const x = [...b];
    for (let i = x.length - 1; i >= 0; i--) {
      const { before, pivot } = this.#rows[i]!;
      const found = x[i]! / pivot;
      x[i] = found;
      addTo(x, -found, before);
    }
    return x;
  }

  /** Lᵀ v, whose length squared is vᵀ L Lᵀ v. */
  timesUpper(v: Row): number[] {
    const product: number[] = [];
    for (const { before, pivot } of this.#rows) {
      const x = v[product.length]!;
      addTo(product, x, before);
      product.push(pivot * x);
    }
    return product;
  }
}
