/**
 * Small linear algebra; the only importer of ml-matrix. Decompositions are the library's; the closed forms
 * kept here are 3×3 products used in inner loops. Rank is decided by singular values only: the library's QR
 * calls a rank-2 matrix full rank, and its `solve` then returns an arbitrary vector without an error.
 */
import {
  CholeskyDecomposition,
  EigenvalueDecomposition,
  Matrix,
  SingularValueDecomposition,
} from "ml-matrix";
import { requireFinite } from "./errors.ts";
import { RANK_TOLERANCE } from "./tolerances.ts";
import type { Mat3, Vec3 } from "./types.ts";

/** Inner product a·b. */
export function dot3(a: Vec3, b: Vec3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** a + s·b. */
export function addScaled3(a: Vec3, s: number, b: Vec3): Vec3 {
  return [a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2]];
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

/** Matrix product. */
export function matMul3(a: Mat3, b: Mat3): Mat3 {
  const [c0, c1, c2] = transpose3(b);
  const row = (r: Vec3): Vec3 => [dot3(r, c0), dot3(r, c1), dot3(r, c2)];
  return [row(a[0]), row(a[1]), row(a[2])];
}

/** Transpose. */
export function transpose3(m: Mat3): Mat3 {
  return [
    [m[0][0], m[1][0], m[2][0]],
    [m[0][1], m[1][1], m[2][1]],
    [m[0][2], m[1][2], m[2][2]],
  ];
}

/** a + s·b, element by element. */
export function addScaledMat3(a: Mat3, s: number, b: Mat3): Mat3 {
  return [addScaled3(a[0], s, b[0]), addScaled3(a[1], s, b[1]), addScaled3(a[2], s, b[2])];
}

/** v vᵀ. */
export function outer3(v: Vec3): Mat3 {
  const row = (s: number): Vec3 => [s * v[0], s * v[1], s * v[2]];
  return [row(v[0]), row(v[1]), row(v[2])];
}

/** diag(d) · M · diag(d): a quadratic form or covariance seen in rescaled axes. */
export function rescale3(m: Mat3, d: Vec3): Mat3 {
  const row = (r: Vec3, s: number): Vec3 => [r[0] * s * d[0], r[1] * s * d[1], r[2] * s * d[2]];
  return [row(m[0], d[0]), row(m[1], d[1]), row(m[2], d[2])];
}

/** vᵀ M v. */
export function quadForm(m: Mat3, v: Vec3): number {
  return dot3(v, matVec3(m, v));
}

function toMatrix(rows: readonly (readonly number[])[]): Matrix {
  for (const [i, row] of rows.entries()) {
    for (const [j, x] of row.entries()) requireFinite(x, `/${i}/${j}`);
  }
  return new Matrix(rows.map((row) => [...row]));
}

/**
 * Rank and condition number (largest / smallest singular value, Infinity when singular), by SVD.
 * Rank counts singular values above RANK_TOLERANCE times the largest.
 */
export function rankAndCondition(rows: readonly (readonly number[])[]): { rank: number; condition: number } {
  const values = new SingularValueDecomposition(toMatrix(rows), {
    computeLeftSingularVectors: false,
    computeRightSingularVectors: false,
    autoTranspose: true,
  }).diagonal;
  const largest = Math.max(...values);
  const rank = values.filter((s) => s > RANK_TOLERANCE * largest).length;
  const full = rank === values.length && largest > 0;
  return { rank: largest > 0 ? rank : 0, condition: full ? largest / Math.min(...values) : Infinity };
}

/**
 * Solve the square system A x = b. Returns null when A is singular to RANK_TOLERANCE (an absent answer,
 * never an arbitrary one). Errors: EngineError on a non-finite entry.
 */
export function solveLinear(a: readonly (readonly number[])[], b: readonly number[]): number[] | null {
  for (const [i, x] of b.entries()) requireFinite(x, `/b/${i}`);
  const svd = new SingularValueDecomposition(toMatrix(a));
  const [largest, smallest] = [Math.max(...svd.diagonal), Math.min(...svd.diagonal)];
  if (!(smallest > RANK_TOLERANCE * largest)) return null;
  return svd.solve(Matrix.columnVector([...b])).to1DArray();
}

/** Inverse of a symmetric or general 3×3 matrix, or null when it is singular to RANK_TOLERANCE. */
export function invert3(m: Mat3): Mat3 | null {
  const svd = new SingularValueDecomposition(toMatrix(m));
  const [largest, smallest] = [Math.max(...svd.diagonal), Math.min(...svd.diagonal)];
  if (!(smallest > RANK_TOLERANCE * largest)) return null;
  return svd.inverse().to2DArray() as unknown as Mat3;
}

/** Lower-triangular L with L Lᵀ = m, or null when m is not positive definite. Reads the lower triangle. */
export function cholesky3(m: Mat3): Mat3 | null {
  const [a, b, c] = [m[0], m[1], m[2]];
  const symmetric: Mat3 = [
    [a[0], b[0], c[0]],
    [b[0], b[1], c[1]],
    [c[0], c[1], c[2]],
  ];
  const decomposition = new CholeskyDecomposition(toMatrix(symmetric));
  if (!decomposition.isPositiveDefinite()) return null;
  return decomposition.lowerTriangularMatrix.to2DArray() as unknown as Mat3;
}

/**
 * Eigenvalues, ascending, and the matching orthonormal eigenvectors of a symmetric 3×3 matrix
 * (`vectors[k]` belongs to `values[k]`).
 */
export function eigenSymmetric3(m: Mat3): { values: Vec3; vectors: Mat3 } {
  const decomposition = new EigenvalueDecomposition(toMatrix(m), { assumeSymmetric: true });
  const columns = decomposition.eigenvectorMatrix.transpose().to2DArray() as unknown as Mat3;
  const order = [0, 1, 2].sort(
    (i, j) => decomposition.realEigenvalues[i]! - decomposition.realEigenvalues[j]!,
  );
  return {
    values: order.map((k) => decomposition.realEigenvalues[k]!) as unknown as Vec3,
    vectors: order.map((k) => columns[k]!) as unknown as Mat3,
  };
}

/** Symmetric square root pieces: columns √λ·v of a positive semi-definite matrix, so that Σ cᵢcᵢᵀ = m. */
export function squareRootColumns3(m: Mat3): Mat3 {
  const { values, vectors } = eigenSymmetric3(m);
  const column = (k: 0 | 1 | 2): Vec3 => {
    const s = Math.sqrt(Math.max(values[k], 0));
    return [s * vectors[k][0], s * vectors[k][1], s * vectors[k][2]];
  };
  return [column(0), column(1), column(2)];
}

/**
 * Solve A x = b for a small symmetric positive definite A (row-major rows, order up to 4) by LDLᵀ.
 * Kept here and not left to the library because it runs tens of thousands of times a second in the
 * interior-point loops. A pivot lost to rounding is replaced by a huge one, which freezes that direction:
 * the caller's line search and residual test see the shorter step.
 */
export function solvePositiveDefinite(a: readonly (readonly number[])[], b: readonly number[]): number[] {
  const n = b.length;
  const l: number[][] = [];
  const d: number[] = [];
  const x = [...b];
  for (let i = 0; i < n; i++) {
    const row: number[] = [];
    for (let j = 0; j < i; j++) {
      let s = a[i]![j]!;
      for (let k = 0; k < j; k++) s -= row[k]! * l[j]![k]! * d[k]!;
      row.push(s / d[j]!);
    }
    let pivot = a[i]![i]!;
    for (let k = 0; k < i; k++) pivot -= row[k]! * row[k]! * d[k]!;
    d.push(pivot > 1e-14 * Math.abs(a[i]![i]!) ? pivot : Number.MAX_VALUE);
    l.push(row);
    for (let k = 0; k < i; k++) x[i]! -= row[k]! * x[k]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    x[i]! /= d[i]!;
    for (let k = i + 1; k < n; k++) x[i]! -= l[k]![i]! * x[k]!;
  }
  return x;
}
