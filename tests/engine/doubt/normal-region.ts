import type { NormalRegion } from "../../../engine/doubt/normal-probability.ts";
import { solvePositiveDefinite } from "../../../engine/linalg.ts";
import { normalCdf, normalDensity } from "../../../engine/stats.ts";
import { curved, deepest, flat, minimise } from "../../../engine/targets/convex-program.ts";
import { type Quadric, restrictQuadric } from "../../../engine/targets/restrict-quadric.ts";
import { NORMAL_REACH, VERTEX_TOLERANCE } from "../../../engine/tolerances.ts";
import { integrate } from "./quadrature.ts";

/** Absolute error asked of the nested quadrature; against known answers the error is below 1e-6. */
const PROBABILITY_TOLERANCE = 1e-4;

/**
 * Probability that a standard normal vector lies in a convex region of one to three dimensions, by nested
 * quadrature: the last coordinate exactly from Φ, the others by adaptive Gauss-Kronrod between the places
 * where the set of faces met along a line changes (the approach of A. Genz, Statistics and Computing 14, 2004,
 * for boxes, carried to any convex region). Returns the value and an estimate of its absolute error.
 */
export function normalIntegral(region: NormalRegion): { value: number; error: number } {
  return nested(region, PROBABILITY_TOLERANCE);
}

function nested(region: NormalRegion, tolerance: number): { value: number; error: number } {
  if (region.dimension === 1) return { value: chord(region, null), error: 0 };
  const breaks = breakpoints(region);
  if (breaks.length < 2) return { value: 0, error: 0 };
  if (region.dimension === 2) {
    return integrate((x) => normalDensity(x) * chord(region, x), breaks, tolerance);
  }
  let worst = 0;
  const outer = integrate(
    (x) => {
      const part = slice(region, x);
      if (part === null) return 0;
      const inner = nested(part, tolerance / 10);
      worst = Math.max(worst, inner.error);
      return normalDensity(x) * inner.value;
    },
    breaks,
    tolerance,
  );
  return { value: Math.min(Math.max(outer.value, 0), 1), error: outer.error + worst };
}

/**
 * Mass of the standard normal on the region's chord: the whole of a one-dimensional region (x null), or the
 * line at first coordinate x of a two-dimensional one. Taken in the lower tail, where small values keep their
 * digits.
 */
function chord({ planes, quadrics }: NormalRegion, x: number | null): number {
  const last = x === null ? 0 : 1;
  let low = -Infinity;
  let high = Infinity;
  for (const { normal, offset } of planes) {
    const left = x === null ? offset : offset - normal[0]! * x;
    const slope = normal[last]!;
    if (slope > 1e-12) high = Math.min(high, left / slope);
    else if (slope < -1e-12) low = Math.max(low, left / slope);
    else if (left < 0) return 0;
  }
  for (const { mean, gauge } of quadrics) {
    // g t² + 2 b t + c ≤ 0 in t, the distance along the line from the quadric's middle.
    const g = gauge[last]![last]!;
    const d = x === null ? 0 : x - mean[0]!;
    const b = x === null ? 0 : gauge[0]![1]! * d;
    const c = x === null ? -1 : gauge[0]![0]! * d * d - 1;
    const square = b * b - g * c;
    if (!(square > 0)) return 0;
    const root = Math.sqrt(square);
    low = Math.max(low, mean[last]! + (-b - root) / g);
    high = Math.min(high, mean[last]! + (-b + root) / g);
  }
  if (!(low < high)) return 0;
  return low > 0 ? normalCdf(-low) - normalCdf(-high) : normalCdf(high) - normalCdf(low);
}

/** The region where its first coordinate is x, one dimension lower; null when empty. */
function slice(region: NormalRegion, x: number): NormalRegion | null {
  const planes: { normal: readonly number[]; offset: number }[] = [];
  for (const { normal, offset } of region.planes) {
    const rest = normal.slice(1);
    const length = Math.hypot(...rest);
    const left = offset - normal[0]! * x;
    if (length < 1e-9) {
      if (left < 0) return null;
    } else planes.push({ normal: rest.map((c) => c / length), offset: left / length });
  }
  const quadrics: Quadric[] = [];
  const n = region.dimension;
  const origin = [x, ...new Array<number>(n - 1).fill(0)];
  for (const quadric of region.quadrics) {
    const part = restrictQuadric(quadric, origin, identity(n).slice(1));
    if (part === null) return null;
    quadrics.push(part);
  }
  return { dimension: n - 1, planes, quadrics };
}

function identity(n: number): number[][] {
  return Array.from({ length: n }, (_, i) => Array.from({ length: n }, (_, j) => (i === j ? 1 : 0)));
}

/**
 * First coordinates, ascending, between which the faces met by a line do not change: of corners, and of the
 * furthest points of every quadric on every flat where faces meet. The first and last bound the region.
 */
function breakpoints(region: NormalRegion): number[] {
  const { dimension: n, planes, quadrics } = region;
  const found: number[] = [];
  const consider = (z: readonly number[]) => {
    if (isInside(region, z)) found.push(withinReach(z[0]!));
  };
  const visit = (from: number, chosen: NormalRegion["planes"][number][]) => {
    const common = commonFlat(chosen, n);
    if (common === null) return;
    const { origin, columns } = common;
    if (columns.length === 0) {
      consider(origin);
      return;
    }
    for (const quadric of quadrics) {
      const part = restrictQuadric(quadric, origin, columns);
      if (part === null) continue;
      const along = columns.map((c) => c[0]!);
      const moved = solvePositiveDefinite(part.gauge, along);
      const reach = Math.sqrt(Math.max(inner(along, moved), 0));
      // On a flat across the first axis every point has the same first coordinate; the middle stands for them.
      for (const sign of reach < 1e-12 ? [0] : [-1, 1]) {
        const t = part.mean.map((m, k) => m + (sign === 0 ? 0 : (sign * moved[k]!) / reach));
        consider(origin.map((o, i) => o + columns.reduce((sum, c, k) => sum + c[i]! * t[k]!, 0)));
      }
    }
    for (let i = from; i < planes.length; i++) visit(i + 1, [...chosen, planes[i]!]);
  };
  visit(0, []);
  // Where two quadrics meet there is no closed form: the ends then come from a convex program.
  if (quadrics.length > 1) found.push(...convexRange(region).map(withinReach));
  // A region without quadrics may go on past all corners; one with them ends where they do.
  if (quadrics.length === 0) found.push(-NORMAL_REACH, NORMAL_REACH);
  found.sort((x, y) => x - y);
  const [low, high] = [found[0], found.at(-1)];
  if (low === undefined || high === undefined || high - low < 1e-12) return [];
  // The bell itself varies on the scale of 1: its top is a place to start from.
  if (low < 0 && high > 0) found.push(0);
  found.sort((x, y) => x - y);
  return found.filter((x, i) => i === 0 || x - found[i - 1]! > 1e-9);
}

const withinReach = (x: number) => Math.max(-NORMAL_REACH, Math.min(NORMAL_REACH, x));

function isInside({ planes, quadrics }: NormalRegion, z: readonly number[]): boolean {
  return (
    planes.every(({ normal, offset }) => inner(normal, z) - offset <= VERTEX_TOLERANCE) &&
    quadrics.every(({ mean, gauge }) => {
      const d = z.map((c, i) => c - mean[i]!);
      return gauge.reduce((sum, row, i) => sum + d[i]! * inner(row, d), 0) <= 1 + VERTEX_TOLERANCE;
    })
  );
}

/** Nearest point to the origin, and orthonormal directions, of the flat where the planes meet; null if none. */
function commonFlat(
  planes: readonly { normal: readonly number[]; offset: number }[],
  n: number,
): { origin: number[]; columns: number[][] } | null {
  if (planes.length > n) return null;
  const basis: number[][] = [];
  let origin = new Array<number>(n).fill(0);
  for (const { normal, offset } of planes) {
    const rest = orthogonal(normal, basis);
    const length = Math.hypot(...rest);
    if (length < 1e-8) return null;
    const unit = rest.map((c) => c / length);
    const step = (offset - inner(normal, origin)) / length;
    origin = origin.map((c, i) => c + step * unit[i]!);
    basis.push(unit);
  }
  const columns: number[][] = [];
  for (const axis of identity(n)) {
    if (columns.length === n - planes.length) break;
    const rest = orthogonal(axis, [...basis, ...columns]);
    const length = Math.hypot(...rest);
    if (length > 0.3) columns.push(rest.map((c) => c / length));
  }
  return { origin, columns };
}

function orthogonal(v: readonly number[], basis: readonly (readonly number[])[]): number[] {
  let rest = [...v];
  for (const b of basis) {
    const c = inner(rest, b);
    rest = rest.map((x, i) => x - c * b[i]!);
  }
  return rest;
}

function convexRange({ planes, quadrics, dimension: n }: NormalRegion): number[] {
  const constraints = [
    ...planes.map(({ normal, offset }) => flat(normal, offset)),
    ...quadrics.map(({ mean, gauge }) => {
      const trace = gauge.reduce((sum, row, i) => sum + row[i]!, 0);
      return curved(mean, gauge, 1 / Math.sqrt(trace));
    }),
  ];
  const { point, worst } = deepest(constraints, quadrics[0]!.mean);
  if (!(worst < -VERTEX_TOLERANCE)) return [];
  return [-1, 1].map((sign) => {
    const linear = [-sign, ...new Array<number>(n - 1).fill(0)];
    return minimise({ pull: 0, towards: new Array<number>(n).fill(0), linear }, constraints, point).point[0]!;
  });
}

function inner(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
