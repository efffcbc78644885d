/**
 * Small linear algebra; the only importer of ml-matrix. Decompositions are the library's; the closed forms
 * kept here are 3×3 products used in inner loops. Rank is decided by singular values only: the library's QR
 * calls a rank-2 matrix full rank, and its `solve` then returns an arbitrary vector without an error.
 */

import { EigenvalueDecomposition, Matrix, SingularValueDecomposition } from "ml-matrix";
import { type AxisIndex, perAxis } from "./axes.ts";
import { requireFinite } from "./errors.ts";
import { RANK_TOLERANCE } from "./tolerances.ts";
import type { Mat3, Vec3 } from "./types.ts";

/** A 3×3 matrix from its entries. */
export function mat3(entry: (i: AxisIndex, j: AxisIndex) => number): Mat3 {
  return [
    [entry(0, 0), entry(0, 1), entry(0, 2)],
    [entry(1, 0), entry(1, 1), entry(1, 2)],
    [entry(2, 0), entry(2, 1), entry(2, 2)],
  ];
}

/** Inner product a·b. */
export function dot3(a: Vec3, b: Vec3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** a + s·b. */
export function addScaled3(a: Vec3, s: number, b: Vec3): Vec3 {
  return [a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2]];
}

/** s·a. */
export function scaled3(s: number, a: Vec3): Vec3 {
  return [s * a[0], s * a[1], s * a[2]];
}

/** a − b. */
export function subtract3(a: Vec3, b: Vec3): Vec3 {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

/** Euclidean length. */
export function norm3(a: Vec3): number {
  return Math.hypot(a[0], a[1], a[2]);
}

/** Matrix times vector. */
export function matVec3(m: Mat3, v: Vec3): Vec3 {
  return [dot3(m[0], v), dot3(m[1], v), dot3(m[2], v)];
}

/** a + s·b, element by element. */
export function addScaledMat3(a: Mat3, s: number, b: Mat3): Mat3 {
  return [addScaled3(a[0], s, b[0]), addScaled3(a[1], s, b[1]), addScaled3(a[2], s, b[2])];
}

/** v vᵀ. */
export function outer3(v: Vec3): Mat3 {
  return mat3((i, j) => v[i] * v[j]);
}

/** diag(d) · M · diag(d): a quadratic form or covariance seen in rescaled axes. */
export function rescale3(m: Mat3, d: Vec3): Mat3 {
  return mat3((i, j) => d[i] * m[i][j] * d[j]);
}

/** The middle of a matrix and its mirror: equal where it is symmetric but for rounding. */
export function symmetric3(m: Mat3): Mat3 {
  return mat3((i, j) => 0.5 * (m[i][j] + m[j][i]));
}

/** vᵀ M v. */
export function quadForm(m: Mat3, v: Vec3): number {
  return dot3(v, matVec3(m, v));
}

/** Singular values of a square matrix, or null when it is singular to RANK_TOLERANCE. */
function regular(rows: readonly Row[]): SingularValueDecomposition | null {
  const svd = new SingularValueDecomposition(toMatrix(rows));
  return Math.min(...svd.diagonal) > RANK_TOLERANCE * Math.max(...svd.diagonal) ? svd : null;
}

function toMatrix(rows: readonly Row[]): Matrix {
  for (const [i, row] of rows.entries()) {
    for (const [j, x] of row.entries()) requireFinite(x, `/${i}/${j}`);
  }
  return new Matrix(rows.map((row) => [...row]));
}

/**
 * Solve the square system A x = b. Returns null when A is singular to RANK_TOLERANCE (an absent answer,
 * never an arbitrary one). Errors: EngineError on a non-finite entry.
 */
export function solveLinear(a: readonly Row[], b: readonly number[]): number[] | null {
  for (const [i, x] of b.entries()) requireFinite(x, `/b/${i}`);
  const x = regular(a)?.solve(Matrix.columnVector([...b]));
  return x ? x.to1DArray() : null;
}

/** Inverse of a symmetric or general 3×3 matrix, or null when it is singular to RANK_TOLERANCE. */
export function invert3(m: Mat3): Mat3 | null {
  const inverse = regular(m)?.inverse();
  return inverse ? mat3((i, j) => inverse.get(i, j)) : null;
}

/** Far below the rounding of any sum with the largest entry, far above the denormal numbers. */
const NEGLIGIBLE = 1e-200;

/**
 * Eigenvalues, ascending, and the matching orthonormal eigenvectors of a symmetric 3×3 matrix
 * (`vectors[k]` belongs to `values[k]`).
 */
export function eigenSymmetric3(m: Mat3): { values: Vec3; vectors: Mat3 } {
  // Next to the largest entry these are nothing; left in, the library's iteration runs off its arrays.
  const nothing = Math.max(...m.flat().map(Math.abs)) * NEGLIGIBLE;
  const clean = mat3((i, j) => (Math.abs(m[i][j]) < nothing ? 0 : m[i][j]));
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(toMatrix(clean), {
    assumeSymmetric: true,
  });
  const value = (k: AxisIndex) => realEigenvalues[k]!;
  const order: [AxisIndex, AxisIndex, AxisIndex] = [0, 1, 2];
  order.sort((i, j) => value(i) - value(j));
  return {
    values: perAxis((k) => value(order[k])),
    vectors: mat3((k, i) => eigenvectorMatrix.get(i, order[k])),
  };
}

/** A row of a small matrix, or a small vector. */
export type Row = readonly number[];

/** a·b of two vectors of one length. */
export function dot(a: Row, b: Row): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** a + s·b. */
export function addScaled(a: Row, s: number, b: Row): number[] {
  return a.map((x, i) => x + s * b[i]!);
}

/** Add s·v to a vector where it stands, as far as the shorter of the two goes. */
export function addTo(sum: number[], s: number, v: Row): void {
  const n = Math.min(sum.length, v.length);
  for (let i = 0; i < n; i++) sum[i]! += s * v[i]!;
}

/**
 * Solve A x = b for a small symmetric positive definite A (row-major rows, order up to 4) by LDLᵀ.
 * Kept here and not left to the library because it runs tens of thousands of times a second in the
 * interior-point loops. A pivot lost to rounding is replaced by a huge one, which freezes that direction:
 * the caller's line search and residual test see the shorter step.
 */
export function solvePositiveDefinite(a: readonly Row[], b: Row): number[] {
  /** Rows of L below the diagonal, with the entries of D and of L⁻¹b. */
  const factor: { row: number[]; d: number; right: number }[] = [];
  for (const own of a) {
    const row: number[] = [];
    /** The row times D. */
    const weighted: number[] = [];
    const i = factor.length;
    let pivot = own[i]!;
    let right = b[i]!;
    for (const other of factor) {
      const s = own[row.length]! - dot(other.row, weighted);
      const l = s / other.d;
      pivot -= l * s;
      right -= l * other.right;
      row.push(l);
      weighted.push(s);
    }
    factor.push({ row, d: pivot > 1e-14 * Math.abs(own[i]!) ? pivot : Number.MAX_VALUE, right });
  }
  const x = factor.map(({ right, d }) => right / d);
  for (const { row } of factor.reverse()) addTo(x, -x[row.length]!, row);
  return x;
}
