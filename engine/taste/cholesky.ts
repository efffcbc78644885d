/**
 * Cholesky factor and triangular solves on flat row-major arrays of order n; only the lower triangle is read.
 * Kept beside the sampler and not left to the library because it runs tens of thousands of times a posterior.
 */

/** Lower-triangular L with L Lᵀ = a, or null when a is not positive definite to rounding. */
export function cholesky(a: Float64Array, n: number): Float64Array | null {
  const l = Float64Array.from(a);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let s = l[i * n + j]!;
      for (let k = 0; k < j; k++) s -= l[i * n + k]! * l[j * n + k]!;
      if (j < i) l[i * n + j] = s / l[j * n + j]!;
      else if (s > 1e-12 * a[i * n + i]!) l[i * n + i] = Math.sqrt(s);
      else return null;
    }
  }
  return l;
}

/** Overwrite x with L⁻¹ x. */
export function solveLower(l: Float64Array, x: Float64Array): void {
  const n = x.length;
  for (let i = 0; i < n; i++) {
    let s = x[i]!;
    for (let k = 0; k < i; k++) s -= l[i * n + k]! * x[k]!;
    x[i] = s / l[i * n + i]!;
  }
}

/** Overwrite x with L⁻ᵀ x. */
export function solveUpper(l: Float64Array, x: Float64Array): void {
  const n = x.length;
  for (let i = n - 1; i >= 0; i--) {
    const s = x[i]! / l[i * n + i]!;
    x[i] = s;
    for (let k = 0; k < i; k++) x[k]! -= l[i * n + k]! * s;
  }
}

/** Σ log L_ii: half the logarithm of the determinant of L Lᵀ. */
export function halfLogDeterminant(l: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += Math.log(l[i * n + i]!);
  return sum;
}
