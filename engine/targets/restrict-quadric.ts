import { solvePositiveDefinite } from "../linalg.ts";

/** {z : (z − mean)ᵀ gauge (z − mean) ≤ 1} in two to four dimensions. */
export interface Quadric {
  mean: readonly number[];
  gauge: readonly (readonly number[])[];
}

/**
 * The part of a quadric on the flat z = origin + Σ tₖ·columns[k], as a quadric in t (complete the square).
 * Null when the flat misses it or only touches it. The columns must be linearly independent.
 */
export function restrictQuadric(
  { mean, gauge }: Quadric,
  origin: readonly number[],
  columns: readonly (readonly number[])[],
): Quadric | null {
  const offset = origin.map((x, i) => x - mean[i]!);
  const times = (v: readonly number[]) => gauge.map((row) => row.reduce((sum, g, i) => sum + g * v[i]!, 0));
  const moved = columns.map(times);
  const inner = (a: readonly number[], b: readonly number[]) => a.reduce((sum, x, i) => sum + x * b[i]!, 0);
  const matrix = moved.map((m) => columns.map((c) => inner(m, c)));
  const linear = moved.map((m) => inner(m, offset));
  const middle = solvePositiveDefinite(matrix, linear).map((x) => -x);
  const left = 1 - inner(offset, times(offset)) - inner(middle, linear);
  if (!(left > 0)) return null;
  return { mean: middle, gauge: matrix.map((row) => row.map((x) => x / left)) };
}
