import { AXIS_SCALE } from "../axes.ts";
import { dot3, invert3, quadForm, subtract3 } from "../linalg.ts";
import { type Sensitivity, sensitivityOf } from "../place/sensitivity.ts";
import type { HalfSpace, Vec3 } from "../types.ts";
import type { Problem } from "./problem.ts";
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
}

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
  const offset = half.offset - (problem.request.shrink?.(half.normal) ?? 0);
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
 * The linear problem at a drink x = from + Δ: each row's tangent, in `extra` + n columns.
 * @returns the scale each row was divided by, so that multipliers can be turned back
 */
export function tangentRows(
  at: Linearised,
  delta: ArrayLike<number>,
  into: RowSet,
  slack?: (row: TrueRow) => number,
): number[] {
  into.clear();
  const n = delta.length;
  const line = new Float64Array(into.width);
  return at.rows.map((row, r) => {
    const gradient = at.gradients[r]!;
    let b = -at.values[r]!;
    let scale = 0;
    for (let i = 0; i < n; i += 1) {
      line[i] = gradient[i]!;
      b += gradient[i]! * delta[i]!;
      scale = Math.max(scale, Math.abs(gradient[i]!));
    }
    if (slack) {
      line[n] = -slack(row);
      scale = Math.max(scale, Math.abs(line[n]!));
    }
    if (scale < 1e-12) {
      // Kept as an empty row so that row numbers stay those of `at.rows`.
      into.add(
        row.name,
        line.fill(0).map((_, i) => (i === 0 ? 1 : 0)),
        Number.MAX_VALUE,
      );
      return 1;
    }
    into.add(row.name, line, b);
    return scale;
  });
}

/** A tangent plane of each curved region at the boundary point towards p, when p is on or outside it. */
export function addTangents(problem: Problem, rows: TrueRow[], p: Vec3, fromRegion = 0): void {
  problem.regions.forEach((region, r) => {
    if (r < fromRegion) return;
    for (const { id, mean, covariance, radius } of region.ellipsoids) {
      const inverse = invert3(covariance);
      if (!inverse) continue;
      const d = subtract3(p, mean);
      const gauge = Math.sqrt(quadForm(inverse, d));
      if (gauge < radius * (1 - 1e-9) || gauge === 0) continue;
      const normal = inverse.map(
        (row) => (row[0] * d[0] + row[1] * d[1] + row[2] * d[2]) / gauge,
      ) as unknown as Vec3;
      const offset = normal[0] * mean[0] + normal[1] * mean[1] + normal[2] * mean[2] + radius;
      rows.push(
        faceRow(problem, { id: `${id}:tangent`, normal, offset, label: `the edge of ${region.name}` }, r),
      );
    }
  });
}
