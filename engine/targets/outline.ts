import { AXIS_SCALE, type AxisIndex, perAxis, toScaled, unitAxis } from "../axes.ts";
import { fail } from "../errors.ts";
import { MEMBERSHIP_TOLERANCE, MIN_INTERIOR_RADIUS, OUTLINE_TOLERANCE } from "../tolerances.ts";
import { supportOfBody } from "./body.ts";
import type { CompiledTarget } from "./compile-target.ts";
import { type Constraint, curved, deepest, flat, minimise } from "./convex-program.ts";
import { type Quadric, restrictQuadric } from "./restrict-quadric.ts";

/** A corner of an outline: (value on axisI, value on axisJ), axis units. */
export type PlanePoint = readonly [number, number];

/** A side of a half-plane normal·p ≤ offset, with a unit normal, axis-scale units. */
interface Line {
  normal: PlanePoint;
  offset: number;
}

/** Outlines stop growing at this many corners. */
const MOST_CORNERS = 240;

/**
 * The shadow of a target on two axes: every (axisI, axisJ) that some value of the third axis completes to an
 * inside point. Corners run counter-clockwise, all on the true edge; flat targets are exact, curved ones to
 * OUTLINE_TOLERANCE (axis-scale units). Open targets end at the physical range.
 */
export function projectTarget(target: CompiledTarget, axisI: AxisIndex, axisJ: AxisIndex): PlanePoint[] {
  const inAxisUnits = unscaled(axisI, axisJ);
  const corners = traceOutline((x, y) => {
    const direction = perAxis((k) => (k === axisI ? x : k === axisJ ? y : 0));
    const u = supportOfBody(target.scaled, direction);
    return [u[axisI], u[axisJ]];
  });
  return corners.map(inAxisUnits);
}

/**
 * The cut of a target by the plane where the third axis is `atThirdValue` (its unit): a polygon as in
 * `projectTarget`, empty when the plane misses the region (or only touches a curved one).
 */
export function sliceTarget(
  target: CompiledTarget,
  axisI: AxisIndex,
  axisJ: AxisIndex,
  atThirdValue: number,
): PlanePoint[] {
  const inAxisUnits = unscaled(axisI, axisJ);
  if (!Number.isFinite(atThirdValue))
    fail("/atThirdValue", "expected a finite number", "give a plain number");
  const third = (3 - axisI - axisJ) as AxisIndex;
  const at = atThirdValue / AXIS_SCALE[third];
  const { planes, ellipsoids } = target.scaled;

  const lines: Line[] = [];
  for (const plane of planes) {
    const [x, y] = [plane.normal[axisI], plane.normal[axisJ]];
    const length = Math.hypot(x, y);
    const offset = plane.offset - plane.normal[third] * at;
    if (length > 1e-12) lines.push({ normal: [x / length, y / length], offset: offset / length });
    else if (offset < 0) return [];
  }
  const constraints: Constraint[] = lines.map((line) => flat(line.normal, line.offset));
  const ellipses: { mean: PlanePoint; shape: readonly [number, number, number] }[] = [];
  const crossings: PlanePoint[] = [];
  for (const e of ellipsoids) {
    const part = restrictQuadric(e, unitAxis(third, at), [unitAxis(axisI), unitAxis(axisJ)]);
    if (part === null) return [];
    const [[a, b], [, c]] = part.gauge as [PlanePoint, PlanePoint];
    const mean = part.mean as PlanePoint;
    const determinant = a * c - b * b;
    ellipses.push({ mean, shape: [c / determinant, -b / determinant, a / determinant] });
    for (const line of lines) crossings.push(...crossingsOf(line, part));
    const largest = (a + c + Math.hypot(a - c, 2 * b)) / 2;
    constraints.push(curved(mean, part.gauge, 1 / Math.sqrt(largest)));
  }
  const corners = cornersOf(lines);
  if (ellipsoids.length === 0) return corners.map(inAxisUnits);
  const centre = toScaled(target.centre);
  const { point, worst } = deepest(constraints, [centre[axisI], centre[axisJ]]);
  if (!(worst < -MIN_INTERIOR_RADIUS)) return [];
  const inside = (p: readonly number[]) => constraints.every((c) => c.value(p) <= MEMBERSHIP_TOLERANCE);
  // Where two edges meet, unless both are ellipses.
  const meetings = ellipses.length === 1 ? [...corners, ...crossings].filter(inside) : [];
  const outline = traceOutline((x, y) => {
    // The furthest point of the flat part or of one ellipse, if the rest allow it, is the answer.
    const best = furthestOf(corners, x, y);
    if (best && inside(best)) return best;
    for (const { mean, shape } of ellipses) {
      const moved = [shape[0] * x + shape[1] * y, shape[1] * x + shape[2] * y] as const;
      const reach = Math.sqrt(x * moved[0] + y * moved[1]);
      const p: PlanePoint = [mean[0] + moved[0] / reach, mean[1] + moved[1] / reach];
      if (inside(p)) return p;
    }
    // Otherwise two edges meet in the answer.
    const meeting = furthestOf(meetings, x, y);
    if (meeting) return meeting;
    const found = minimise({ pull: 0, towards: [0, 0], linear: [-x, -y] }, constraints, point);
    return found.point as [number, number];
  });
  return outline.map(inAxisUnits);
}

/** The point furthest in a direction; null of none. */
function furthestOf(points: readonly PlanePoint[], x: number, y: number): PlanePoint | null {
  let best: PlanePoint | null = null;
  for (const p of points) if (!best || x * p[0] + y * p[1] > x * best[0] + y * best[1]) best = p;
  return best;
}

/** Where a line (unit normal) crosses an ellipse: two points, or none. */
function crossingsOf({ normal: [nx, ny], offset }: Line, ellipse: Quadric): PlanePoint[] {
  const [x, y] = [nx * offset, ny * offset];
  const chord = restrictQuadric(ellipse, [x, y], [[-ny, nx]]);
  if (!chord) return [];
  const half = 1 / Math.sqrt(chord.gauge[0]![0]!);
  return [-half, half].map((h) => {
    const t = chord.mean[0]! + h;
    return [x - ny * t, y + nx * t];
  });
}

/** From axis-scale units to those of two axes, which must differ. */
function unscaled(axisI: AxisIndex, axisJ: AxisIndex): (p: PlanePoint) => PlanePoint {
  if (axisI === axisJ) fail("/axisJ", "the two axes are the same", "name two different axes");
  return ([x, y]) => [x * AXIS_SCALE[axisI], y * AXIS_SCALE[axisJ]];
}

/** A polygon from half-planes that bound it: start from a square and cut (Sutherland and Hodgman, 1974). */
function cornersOf(lines: readonly Line[]): PlanePoint[] {
  const far = 1e4;
  let polygon: PlanePoint[] = [
    [-far, -far],
    [far, -far],
    [far, far],
    [-far, far],
  ];
  for (const { normal, offset } of lines) {
    const side = (p: PlanePoint) => normal[0] * p[0] + normal[1] * p[1] - offset;
    const kept: PlanePoint[] = [];
    for (const [p, next] of edgesOf(polygon)) {
      const [here, there] = [side(p), side(next)];
      if (here <= 0) kept.push(p);
      if (here < 0 !== there < 0 && here !== 0 && there !== 0) {
        const t = here / (here - there);
        kept.push([p[0] + t * (next[0] - p[0]), p[1] + t * (next[1] - p[1])]);
      }
    }
    polygon = kept;
  }
  return polygon;
}

/**
 * Outline of a convex region from its furthest points: start with eight directions, then look outward across
 * every edge and add the corner found there, until no edge misses more than OUTLINE_TOLERANCE.
 */
function traceOutline(furthest: (x: number, y: number) => PlanePoint): PlanePoint[] {
  const corners: PlanePoint[] = [];
  for (let k = 0; k < 8; k++) {
    const angle = (k * Math.PI) / 4;
    const p = furthest(Math.cos(angle), Math.sin(angle));
    if (corners.every((corner) => gap(corner, p) > 1e-9)) corners.push(p);
  }
  let count = corners.length;
  const between = (a: PlanePoint, b: PlanePoint): PlanePoint[] => {
    const length = gap(a, b);
    if (length <= 1e-9 || count >= MOST_CORNERS) return [];
    const [x, y] = [(b[1] - a[1]) / length, (a[0] - b[0]) / length];
    const p = furthest(x, y);
    const beyond = x * (p[0] - a[0]) + y * (p[1] - a[1]);
    if (beyond <= OUTLINE_TOLERANCE || gap(p, a) <= 1e-9 || gap(p, b) <= 1e-9) return [];
    count += 1;
    return [...between(a, p), p, ...between(p, b)];
  };
  return edgesOf(corners).flatMap(([a, b]) => [a, ...between(a, b)]);
}

/** Each corner with the next, round to the first again. */
function edgesOf(corners: readonly PlanePoint[]): [PlanePoint, PlanePoint][] {
  return corners.map((p, i) => [p, corners[(i + 1) % corners.length]!]);
}

function gap(a: PlanePoint, b: PlanePoint): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}
