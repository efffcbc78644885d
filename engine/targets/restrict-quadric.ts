import { addScaled, dot, type Row, solvePositiveDefinite } from "../linalg.ts";

/** {z : (z − mean)ᵀ gauge (z − mean) ≤ 1} in two to four dimensions. */
export interface Quadric {
  mean: Row;
  gauge: readonly Row[];
}

/**
 * The part of a quadric on the flat z = origin + Σ tₖ·columns[k], as a quadric in t (complete the square).
 * Null when the flat misses it or only touches it. The columns must be linearly independent.
 */
export function restrictQuadric(
  { mean, gauge }: Quadric,
  origin: Row,
  columns: readonly Row[],
): Quadric | null {
  const offset = addScaled(origin, -1, mean);
  const times = (v: Row) => gauge.map((row) => dot(row, v));
  const moved = columns.map(times);
  const matrix = moved.map((m) => columns.map((c) => dot(m, c)));
  const linear = moved.map((m) => dot(m, offset));
  const middle = solvePositiveDefinite(matrix, linear).map((x) => -x);
  const left = 1 - dot(offset, times(offset)) - dot(middle, linear);
  if (!(left > 0)) return null;
  return { mean: middle, gauge: matrix.map((row) => row.map((x) => x / left)) };
}
