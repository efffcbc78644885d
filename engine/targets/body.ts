import { asVec3 } from "../axes.ts";
import { addScaled3, dot3, matVec3, norm3, scaled3, subtract3 } from "../linalg.ts";
import { MEMBERSHIP_TOLERANCE, VERTEX_TOLERANCE } from "../tolerances.ts";
import type { Vec3 } from "../types.ts";
import { type Constraint, curved, flat, minimise } from "./convex-program.ts";
import { type Ellipsoid, ellipsoidSupport, gaugeOf, nearestOnSurface } from "./ellipsoid.ts";

/** A flat face in axis-scale units with a unit normal, so normal·u − offset is a distance. */
export interface Plane {
  normal: Vec3;
  offset: number;
}

/** A bounded convex region in axis-scale units: the planes' common side and every ellipsoid. */
export interface Body {
  planes: readonly Plane[];
  ellipsoids: readonly Ellipsoid[];
  /** A strictly interior point; needed when there are ellipsoids. */
  interior: Vec3;
  /** Corners of the flat part alone. */
  vertices: readonly Vec3[];
}

/** Unit normals closer than this are of parallel planes. */
const SAME_NORMAL = 1e-12;

/** Add a plane where it stands; of two parallel ones only the tighter is kept. */
export function addTighter<P extends Plane>(planes: P[], plane: P): void {
  const at = planes.findIndex((other) => norm3(subtract3(other.normal, plane.normal)) < SAME_NORMAL);
  const twin = planes[at];
  if (!twin) planes.push(plane);
  else if (plane.offset < twin.offset) planes[at] = plane;
}

/** Signed distance to one plane: negative inside. */
export function planeDistance(plane: Plane, u: Vec3): number {
  return dot3(plane.normal, u) - plane.offset;
}

/**
 * First-order distance to an ellipsoid's surface, (gauge − 1)/|∇gauge|: exact to first order at the surface,
 * of the right sign everywhere, and outside (the gauge being convex) never more than the true distance.
 */
export function ellipsoidExcess(e: Ellipsoid, u: Vec3): number {
  const d = subtract3(u, e.mean);
  const slope = matVec3(e.gauge, d);
  const gauge = Math.sqrt(Math.max(dot3(d, slope), 0));
  return gauge > 0 ? ((gauge - 1) * gauge) / norm3(slope) : -e.semiAxes[0];
}

/** Whether u lies in the body to within `tolerance` (axis-scale units). */
export function bodyContains(body: Pick<Body, "planes" | "ellipsoids">, u: Vec3, tolerance: number): boolean {
  return (
    body.planes.every((plane) => planeDistance(plane, u) <= tolerance) &&
    body.ellipsoids.every((e) => ellipsoidExcess(e, u) <= tolerance)
  );
}

/** The body's constraints for the interior-point method. */
export function constraintsOf(body: Pick<Body, "planes" | "ellipsoids">): Constraint[] {
  return [
    ...body.planes.map((plane) => flat(plane.normal, plane.offset)),
    ...body.ellipsoids.map((e) => curved(e.mean, e.gauge, e.semiAxes[0])),
  ];
}

/** Every set of one, two or three planes. */
function* setsOf(planes: readonly Plane[]): Generator<readonly Plane[]> {
  for (const [i, a] of planes.entries()) {
    yield [a];
    for (const [j, b] of planes.entries()) {
      if (j <= i) continue;
      yield [a, b];
      for (const c of planes.slice(j + 1)) yield [a, b, c];
    }
  }
}

/** All corners of a polyhedron: every three planes that meet in a point satisfying the rest. */
export function verticesOf(planes: readonly Plane[]): Vec3[] {
  const found: Vec3[] = [];
  for (const set of setsOf(planes)) {
    const point = set.length === 3 ? meet(set, [0, 0, 0]) : null;
    if (!point || !planes.every((plane) => planeDistance(plane, point) <= VERTEX_TOLERANCE)) continue;
    if (found.every((v) => norm3(subtract3(v, point)) > VERTEX_TOLERANCE)) found.push(point);
  }
  return found;
}

/** The point of the planes' common flat nearest to u, or null when their normals are dependent. */
function meet(planes: readonly Plane[], u: Vec3): Vec3 | null {
  // Each direction is the plane's normal less its part along the planes before (Gram-Schmidt), so a move
  // along it leaves those planes satisfied.
  const directions: { plane: Plane; unit: Vec3; length: number }[] = [];
  for (const plane of planes) {
    let rest = plane.normal;
    for (const { unit } of directions) rest = addScaled3(rest, -dot3(rest, unit), unit);
    const length = norm3(rest);
    if (length < 1e-10) return null;
    directions.push({ plane, unit: scaled3(1 / length, rest), length });
  }
  let point = u;
  // One pass solves it; nearly parallel planes lose digits, which further passes win back.
  const passes = directions.some(({ length }) => length < 1e-3) ? 3 : 1;
  for (let pass = 0; pass < passes; pass++) {
    for (const { plane, unit, length } of directions) {
      point = addScaled3(point, -planeDistance(plane, point) / length, unit);
    }
  }
  return point;
}

/**
 * Nearest point of a polyhedron. The projection lies on the common flat of some set of at most three faces,
 * and every feasible candidate is at least as far, so the nearest feasible candidate is the answer.
 */
function projectOnPlanes(planes: readonly Plane[], u: Vec3): Vec3 | null {
  const feasible = (p: Vec3) => planes.every((plane) => planeDistance(plane, p) <= VERTEX_TOLERANCE);
  if (feasible(u)) return u;
  let best: Vec3 | null = null;
  let bestDistance = Infinity;
  for (const set of setsOf(planes)) {
    const p = meet(set, u);
    if (p === null) continue;
    const distance = norm3(subtract3(p, u));
    if (distance < bestDistance && feasible(p)) [best, bestDistance] = [p, distance];
  }
  return best;
}

/**
 * Exact nearest point of the body. Any easier projection (onto the flat part, onto one ellipsoid) that
 * happens to lie in the body is the answer, because the body is inside both; otherwise a convex program.
 */
export function projectOnBody(body: Body, u: Vec3): Vec3 {
  if (bodyContains(body, u, MEMBERSHIP_TOLERANCE)) return u;
  const onPlanes = projectOnPlanes(body.planes, u);
  if (onPlanes && body.ellipsoids.length === 0) return onPlanes;
  if (onPlanes && bodyContains(body, onPlanes, MEMBERSHIP_TOLERANCE)) return onPlanes;
  for (const e of body.ellipsoids) {
    if (gaugeOf(e, u) <= 1) continue;
    const p = nearestOnSurface(e, u);
    if (bodyContains(body, p, MEMBERSHIP_TOLERANCE)) return p;
  }
  const { point } = minimise({ pull: 1, towards: u, linear: [0, 0, 0] }, constraintsOf(body), body.interior);
  return asVec3(point);
}

/** The point of the body furthest along `direction`. */
export function supportOfBody(body: Body, direction: Vec3): Vec3 {
  let corner: Vec3 | null = null;
  for (const v of body.vertices) if (!corner || dot3(direction, v) > dot3(direction, corner)) corner = v;
  if (corner && bodyContains(body, corner, MEMBERSHIP_TOLERANCE)) return corner;
  for (const e of body.ellipsoids) {
    const p = ellipsoidSupport(e, direction);
    if (bodyContains(body, p, MEMBERSHIP_TOLERANCE)) return p;
  }
  const length = norm3(direction);
  const { point } = minimise(
    { pull: 0, towards: [0, 0, 0], linear: direction.map((x) => -x / length) },
    constraintsOf(body),
    body.interior,
  );
  return asVec3(point);
}

/** The nearest point of a region's edge. */
export interface Edge<P extends Plane> {
  distance: number;
  point: Vec3;
  /** Null on an ellipsoid. */
  plane: P | null;
}

/**
 * Distance from a point inside to the nearest edge, and that edge point. Only the parts given count:
 * the physical range is not an edge a drink can cross.
 */
export function nearestEdge<P extends Plane>(
  parts: { planes: readonly P[]; ellipsoids: readonly Ellipsoid[] },
  u: Vec3,
): Edge<P> {
  let best: Edge<P> = { distance: Infinity, point: u, plane: null };
  for (const plane of parts.planes) {
    const distance = Math.max(-planeDistance(plane, u), 0);
    if (distance < best.distance) best = { distance, point: addScaled3(u, distance, plane.normal), plane };
  }
  for (const e of parts.ellipsoids) {
    const point = nearestOnSurface(e, u);
    const distance = gaugeOf(e, u) >= 1 ? 0 : norm3(subtract3(point, u));
    if (distance < best.distance) best = { distance, point, plane: null };
  }
  return best;
}
