import { AXIS_SCALE } from "../axes.ts";
import { dot3 } from "../linalg.ts";
import { type Sensitivity, sensitivityOf } from "../place/sensitivity.ts";
import type { HalfSpace, Vec3 } from "../types.ts";
import { type Problem, shrinkOf, tangentPlane } from "./problem.ts";
import type { RowSet } from "./rows.ts";

/** A constraint of the true model as G(x) ≤ 0 with G = coefficient·x + volumeFactor·V(x) − limit. */
export interface TrueRow {
  name: string;
  label: string;
  coefficient: Float64Array;
  volumeFactor: number;
  limit: number;
  /** The half-space, for target faces and cuts. */
  half: HalfSpace | null;
  /** 0 the target, 1 and up the drift ball and such; null for plain rows. */
  region: number | null;
  /** The curved part this is a tangent of. */
  curve?: string;
}

/** A drink within this share of an ellipsoid's radius is on its surface. */
const ON_SURFACE = 1e-7;

/** The true value and gradient of every row at one drink, mL of G by mL of pour. */
export interface Linearised {
  rows: TrueRow[];
  values: number[];
  gradients: Float64Array[];
  sensitivity: Sensitivity;
}

/** Face row 100·n·u(x) − h·V(x) ≤ 0. Multiplying by V makes it nearly linear in the pours. */
export function faceRow(problem: Problem, half: HalfSpace, region: number): TrueRow {
  const coefficient = Float64Array.from(
    problem.model.coeffs,
    (c) => 100 * dot3(half.normal, [c.sugarG, c.acidCitricEqG, c.ethanolMl]),
  );
  const offset = half.offset - shrinkOf(problem.request, region, half.normal);
  return { name: half.id, label: half.label, coefficient, volumeFactor: -offset, limit: 0, half, region };
}

/** The rows that are exact: flat faces of every region, and the rules on the glass and the character. */
export function exactRows(problem: Problem): TrueRow[] {
  const faces = problem.regions.flatMap((region, r) =>
    region.halfSpaces.map((half) => faceRow(problem, half, r)),
  );
  const plain = problem.plain.map((p): TrueRow => ({ ...p, half: null, region: null }));
  return [...faces, ...plain];
}

/** Evaluate rows and their exact first derivatives at a drink. */
export function lineariseAt(problem: Problem, rows: TrueRow[], x: readonly number[]): Linearised {
  const sensitivity = sensitivityOf(problem.model, x);
  const volumeSlopes = x.map((_, i) => sensitivity.pour(i)[3]);
  const volume = sensitivity.finished.finishedVolumeMl;
  return {
    rows,
    sensitivity,
    values: rows.map((row) => {
      let value = row.volumeFactor * volume - row.limit;
      for (let i = 0; i < x.length; i += 1) value += row.coefficient[i]! * x[i]!;
      return value;
    }),
    gradients: rows.map((row) =>
      Float64Array.from(row.coefficient, (a, i) => a + row.volumeFactor * volumeSlopes[i]!),
    ),
  };
}

/** How far outside a row a drink is: axis-scale units for faces, shares of the glass for rules. */
export function violation(at: Linearised, r: number): number {
  const row = at.rows[r]!;
  const volume = at.sensitivity.finished.finishedVolumeMl;
  return at.values[r]! / (volume * rowScale(row));
}

/** Size of one axis-scale unit along a face's normal; 1 for other rows. */
export function rowScale(row: TrueRow): number {
  if (!row.half) return Math.max(1, Math.abs(row.volumeFactor));
  const [s, a, e] = row.half.normal;
  return Math.hypot(s * AXIS_SCALE[0], a * AXIS_SCALE[1], e * AXIS_SCALE[2]);
}

/**
 * The linear problem at a drink x = from + Δ: each row's tangent as a row in Δ, in order. With `slack`, one
 * more column t loosens each row by slack·t.
 */
export function tangentRows(
  at: Linearised,
  delta: ArrayLike<number>,
  into: RowSet,
  slack?: (row: TrueRow) => number,
): void {
  into.clear();
  const n = delta.length;
  const line = new Float64Array(into.width);
  at.rows.forEach((row, r) => {
    const gradient = at.gradients[r]!;
    let b = -at.values[r]!;
    for (let i = 0; i < n; i += 1) {
      line[i] = gradient[i]!;
      b += gradient[i]! * delta[i]!;
    }
    if (slack) line[n] = -slack(row);
    into.add(row.name, line, b);
  });
}

/** Add the tangent plane of each curved region that p is on or outside of (regions from `fromRegion` on). */
export function addTangents(problem: Problem, rows: TrueRow[], p: Vec3, fromRegion = 0): void {
  for (const curve of problem.curves) {
    if (curve.region < fromRegion) continue;
    const half = tangentPlane(curve, p, -ON_SURFACE);
    if (half) rows.push({ ...faceRow(problem, half, curve.region), curve: curve.id });
  }
}
