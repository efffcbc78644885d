import {
  AXES,
  AXIS_INDICES,
  AXIS_SCALE,
  type AxisIndex,
  asVec3,
  fromScaled,
  perAxis,
  toPoint,
  toScaled,
  unitAxis,
} from "../axes.ts";
import { fail } from "../errors.ts";
import { addScaled3, dot3, norm3, scaled3, subtract3 } from "../linalg.ts";
import { once } from "../once.ts";
import { MEMBERSHIP_TOLERANCE, MIN_INTERIOR_RADIUS, VERTEX_TOLERANCE, WORDS_SHARE } from "../tolerances.ts";
import type { FaceViolation, HalfSpace, Membership, TargetSpec, Vec3 } from "../types.ts";
import { joinWords } from "../wording.ts";
import {
  addTighter,
  type Body,
  bodyContains,
  constraintsOf,
  type Edge,
  ellipsoidExcess,
  nearestEdge,
  type Plane,
  planeDistance,
  projectOnBody,
  supportOfBody,
  verticesOf,
} from "./body.ts";
import { analyticCentre, deepest } from "./convex-program.ts";
import { gaugeOf, nearestOnSurface } from "./ellipsoid.ts";
import type { CurvedFace, FlatFace, Parts } from "./parts.ts";
import { PHYSICAL_RANGE, SERVED_RANGE } from "./physical-range.ts";
import { readParts } from "./read-parts.ts";
import { formatAxisGap, formatGap } from "./words.ts";

/**
 * A target ready for questions. Vectors are in axis units (sugar, acid, ABV) unless a name says "scaled",
 * which means divided by AXIS_SCALE. The region is convex and is not empty within the physical range.
 */
export interface CompiledTarget {
  spec: TargetSpec;
  name: string;
  /** Inside, with `tolerance` (axis-scale units, default MEMBERSHIP_TOLERANCE) counted as inside. */
  contains(p: Vec3, tolerance?: number): boolean;
  membership(p: Vec3): Membership;
  /** The flat faces, exactly. The region is these and the ellipsoids. */
  halfSpaces: HalfSpace[];
  /** The curved parts: (p − mean)ᵀ covariance⁻¹ (p − mean) ≤ radius². */
  ellipsoids: CurvedFace["given"][];
  isPolyhedral: boolean;
  /** A middle: the mean of a lone ellipsoid, the midpoint of a box, else the analytic centre. Inside. */
  centre: Vec3;
  /** Axis-scale distance to the middle, leaving out directions the target says nothing about. */
  centreDistance(p: Vec3): number;
  /** Corners of the smallest box around the region, cut to the physical range where it is open. */
  boundingBox: [Vec3, Vec3];
  /** Nearest point of the region by axis-scale distance (p itself when inside). */
  nearest(p: Vec3): Vec3;
  /** The region's furthest point along a direction given in axis units. */
  support(direction: Vec3): Vec3;
  /**
   * Axis-scale margin to the edge: negative inside (minus the distance), positive outside, where it never
   * exceeds the true distance. Cheap enough for sampling; `membership` gives the true distance.
   */
  margin(p: Vec3): number;
  /** The region in axis-scale units, for drawing and probability. */
  scaled: Body & { ownPlanes: readonly Plane[] };
}

/** Acid below this, g/100 mL, gives no ratio worth telling. */
const NO_ACID = 1e-9;

/** Each target compiled once: many solves of one answer ask for the same. A spec is not changed in place. */
const compiled = new WeakMap<TargetSpec, CompiledTarget>();

/**
 * Compile a target. Errors: EngineError for malformed fields (all at once, by JSON pointer below `pointer`)
 * and for an empty target, naming the smallest set of parts that cannot hold together.
 */
export function compileTarget(spec: TargetSpec, pointer = ""): CompiledTarget {
  const known = compiled.get(spec);
  if (known) return known;
  const target = compileAnew(spec, pointer);
  compiled.set(spec, target);
  return target;
}

function compileAnew(spec: TargetSpec, pointer: string): CompiledTarget {
  const parts = readParts(spec, pointer);
  const name = spec.name?.trim() || joinWords([...new Set(parts.names)]) || "the target";
  const body = buildBody(parts);
  if (body === null) return failEmpty(parts, name, pointer);

  const support = (direction: Vec3) => fromScaled(supportOfBody(body, fromScaled(direction)));
  const boundingBox = once((): [Vec3, Vec3] => [
    perAxis((k) => support(unitAxis(k, -1))[k]),
    perAxis((k) => support(unitAxis(k))[k]),
  ]);
  const centre = once(() => findCentre(parts, body, boundingBox()));
  const basis = constrainedDirections(parts);
  const nearest = (p: Vec3): Vec3 => {
    const u = toScaled(p);
    const found = projectOnBody(body, u);
    return found === u ? p : fromScaled(found);
  };

  return {
    spec,
    name,
    contains: (p, tolerance = MEMBERSHIP_TOLERANCE) => bodyContains(parts, toScaled(p), tolerance),
    membership: lastKept((p) => membership(p, parts, name, nearest)),
    halfSpaces: parts.planes.map((face) => face.half),
    ellipsoids: parts.ellipsoids.map((face) => face.given),
    isPolyhedral: parts.ellipsoids.length === 0,
    get centre() {
      return centre();
    },
    centreDistance: (p) => {
      const d = toScaled(subtract3(p, centre()));
      return Math.hypot(...basis.map((direction) => dot3(direction, d)));
    },
    get boundingBox() {
      return boundingBox();
    },
    nearest,
    support,
    margin: (p) => {
      const u = toScaled(p);
      let worst = -Infinity;
      for (const plane of parts.planes) worst = Math.max(worst, planeDistance(plane, u));
      for (const e of parts.ellipsoids) {
        const distance = norm3(subtract3(nearestOnSurface(e, u), u));
        worst = Math.max(worst, gaugeOf(e, u) > 1 ? distance : -distance);
      }
      return worst;
    },
    scaled: { ...body, ownPlanes: parts.planes },
  };
}

/** The faces of an axis-aligned box in axis-scale units, each at one end of one axis. */
function rangePlanes([low, high]: readonly [Vec3, Vec3]) {
  return AXIS_INDICES.flatMap((axis) => [
    { axis, end: 0 as const, normal: unitAxis(axis, -1), offset: -low[axis] / AXIS_SCALE[axis] },
    { axis, end: 1 as const, normal: unitAxis(axis), offset: high[axis] / AXIS_SCALE[axis] },
  ]);
}

/** Add planes, keeping the tighter of two parallel ones. */
function withPlanes(planes: readonly Plane[], extra: readonly Plane[]): Plane[] {
  const all = [...planes];
  for (const plane of extra) addTighter(all, plane);
  return all;
}

/** The region within the physical range, or null when it is empty (or has no room, when curved). */
function buildBody(parts: Omit<Parts, "names">, extra: readonly Plane[] = []): Body | null {
  const { ellipsoids } = parts;
  const planes = withPlanes(withPlanes(parts.planes, extra), rangePlanes(PHYSICAL_RANGE));
  const vertices = verticesOf(planes);
  if (vertices.length === 0) return null;
  // Ratio bands that exclude each other still meet where there is neither sugar nor acid; that is no ratio.
  const hasRatio = parts.planes.some((face) => face.limit?.of === "ratio");
  if (hasRatio && vertices.every((v) => v[1] <= VERTEX_TOLERANCE)) return null;
  const [curve] = ellipsoids;
  if (!curve) return { planes, ellipsoids, vertices, interior: average(vertices) };
  const constraints = constraintsOf({ planes, ellipsoids });
  const { point, worst } = deepest(constraints, curve.mean);
  if (!(worst < -MIN_INTERIOR_RADIUS)) return null;
  return { planes, ellipsoids, vertices, interior: asVec3(point) };
}

/** Mean of points. Not that of stats.ts, which brings a library that a solver by itself does without. */
function average(points: readonly Vec3[]): Vec3 {
  let sum: Vec3 = [0, 0, 0];
  for (const p of points) sum = addScaled3(sum, 1 / points.length, p);
  return sum;
}

/** Throw for an empty target, naming the parts of an irreducible conflict found by dropping one at a time. */
function failEmpty(parts: Parts, name: string, pointer: string): never {
  const pick = (keep: readonly number[]) => ({
    planes: parts.planes.filter((face) => keep.includes(face.part)),
    ellipsoids: parts.ellipsoids.filter((face) => keep.includes(face.part)),
  });
  const faces = [...parts.planes, ...parts.ellipsoids];
  let conflict = [...parts.names.keys()].filter((i) => faces.some((face) => face.part === i));
  for (const i of conflict) {
    const without = conflict.filter((k) => k !== i);
    if (without.length > 0 && buildBody(pick(without)) === null) conflict = without;
  }
  const named = [...new Set(parts.names.filter((_, i) => conflict.includes(i)))];
  const names = joinWords(named) || "the target";
  if (named.length === 1) {
    const why =
      "it is thinner than any pour can hit, or asks for less than no sugar, acid or alcohol, or more than all";
    fail(pointer, `${names} has no room for a drink: ${why}`, "check its numbers and units");
  }
  const detail = `no drink is in all of ${name}: ${names} have no room in common`;
  return fail(pointer, detail, "loosen or remove one of them");
}

/** The ellipsoid that is all of the target. */
function loneEllipsoid({ planes, ellipsoids: [first, ...more] }: Parts): CurvedFace | null {
  return first && more.length === 0 && planes.length === 0 ? first : null;
}

/** See CompiledTarget.centre. */
function findCentre(parts: Parts, body: Body, box: readonly [Vec3, Vec3]): Vec3 {
  const lone = loneEllipsoid(parts);
  if (lone && bodyContains(body, lone.mean, 0)) return fromScaled(lone.mean);
  // Where the target itself sets no limit, the served range stands in, so that the middle is a drink.
  const served = rangePlanes(SERVED_RANGE).filter(({ axis, end }) => {
    const short = Math.abs(box[end][axis] - PHYSICAL_RANGE[end][axis]);
    return short < MEMBERSHIP_TOLERANCE * AXIS_SCALE[axis];
  });
  const standIn = buildBody(parts, served);
  const planes = standIn ? withPlanes(parts.planes, served) : body.planes;
  const constraints = constraintsOf({ planes, ellipsoids: parts.ellipsoids });
  const start = (standIn ?? body).interior;
  if (!constraints.every((c) => c.value(start) < -MIN_INTERIOR_RADIUS)) return fromScaled(start);
  return fromScaled(asVec3(analyticCentre(constraints, start)));
}

/** Orthonormal directions (scaled) in which some face of the target acts. */
function constrainedDirections(parts: Parts): Vec3[] {
  if (parts.ellipsoids.length > 0) return AXIS_INDICES.map((k) => unitAxis(k));
  const basis: Vec3[] = [];
  for (const { normal } of parts.planes) {
    let rest = normal;
    for (const b of basis) rest = addScaled3(rest, -dot3(rest, b), b);
    const length = norm3(rest);
    if (length > 1e-9) basis.push(scaled3(1 / length, rest));
  }
  return basis;
}

/** Of the same point asked in a row (the verdict, then the arms, then the map) the first answer. */
function lastKept(of: (p: Vec3) => Membership): (p: Vec3) => Membership {
  let last: { p: Vec3; found: Membership } | null = null;
  return (p) => {
    if (!last?.p.every((x, k) => x === p[k])) last = { p: [...p], found: of(p) };
    return last.found;
  };
}

function membership(p: Vec3, parts: Parts, name: string, nearestTo: (p: Vec3) => Vec3): Membership {
  for (const k of AXIS_INDICES) {
    if (!Number.isFinite(p[k]))
      fail(`/${AXES[k].key}`, `expected a finite number, got ${p[k]}`, "place the drink first");
  }
  const u = toScaled(p);
  const lone = loneEllipsoid(parts);
  const mahalanobis = lone ? gaugeOf(lone, u) * lone.given.radius : null;
  if (bodyContains(parts, u, MEMBERSHIP_TOLERANCE)) {
    const edge = nearestEdge(parts, u);
    return {
      inside: true,
      signedDistance: 0 - edge.distance,
      violations: [],
      nearest: toPoint(p),
      mahalanobis,
      text: insideText(name, p, u, edge),
    };
  }
  const nearest = nearestTo(p);
  const found = [
    ...parts.planes.flatMap((face) => flatPull(face, p, u)),
    ...parts.ellipsoids.flatMap((face) => curvedPulls(face, u)),
  ];
  return {
    inside: false,
    signedDistance: norm3(toScaled(subtract3(nearest, p))),
    violations: found.map(({ violation }) => violation),
    nearest: toPoint(nearest),
    mahalanobis,
    text: `Outside ${name}: ${spoken(found).join(", ")}.`,
  };
}

/**
 * What pulls a point out, and whether it is out of the face's own span there: the way to the nearest point of a leaning
 * ellipsoid also moves axes on which nothing is.
 */
interface Pull {
  violation: FaceViolation;
  isOut: boolean;
}

/**
 * The texts of the violations; of several on one axis and side only the largest is spoken, and those on which nothing
 * is out only when no other is there.
 */
function spoken(pulls: readonly Pull[]): string[] {
  const out = pulls.filter(({ isOut }) => isOut);
  const violations = (out.length > 0 ? out : pulls).map(({ violation }) => violation);
  // A drink without acid lacks some whether its ratio or its acid is asked.
  const lacksAcid = ({ measure, side, unit }: FaceViolation) =>
    measure === "acid" ? side === "short" : measure === "ratio" && unit === AXES[1].unit;
  const isAlike = (v: FaceViolation, w: FaceViolation) =>
    (v.measure === w.measure && v.side === w.side && (v.measure !== "face" || v.text === w.text)) ||
    (lacksAcid(v) && lacksAcid(w));
  return violations
    .filter((v, i) =>
      violations.every((w, j) => i === j || !isAlike(v, w) || w.by < v.by || (w.by === v.by && i < j)),
    )
    .map((v) => v.text);
}

/** What pulls a point out along one axis: `gap` (axis units) is what it lacks, negative what it has too much. */
function axisViolation(face: string, axis: AxisIndex, gap: number): FaceViolation {
  const { id, name, unit } = AXES[axis];
  const [by, side] = [Math.abs(gap), gap > 0 ? ("short" as const) : ("over" as const)];
  return { face, measure: id, side, by, unit, text: `${name} ${formatAxisGap(axis, by)} ${side}` };
}

/** What pulls p out of a flat face: nothing, or one violation. */
function flatPull(face: FlatFace, p: Vec3, u: Vec3): Pull[] {
  if (planeDistance(face, u) <= MEMBERSHIP_TOLERANCE) return [];
  const { limit, half } = face;
  const pull = (violation: FaceViolation) => [{ violation, isOut: true }];
  if (limit === null) {
    const by = dot3(half.normal, p) - half.offset;
    const text = `“${half.label}” exceeded by ${formatGap(by, 2)}`;
    return pull({ face: half.id, measure: "face", side: "over", by, unit: "", text });
  }
  if (limit.of !== "ratio") return pull(axisViolation(half.id, limit.of, limit.value - p[limit.of]));
  const [sugar, acid] = p;
  const side = limit.side === "floor" ? "short" : "over";
  const of = { face: half.id, measure: limit.of, side } as const;
  if (acid > NO_ACID) {
    const by = Math.abs(limit.value - sugar / acid);
    const text = `sugar:acid ratio ${formatGap(by, 1)} ${side === "short" ? "under" : "over"} the band`;
    return pull({ ...of, by, unit: "sugar:acid", text });
  }
  // Without acid there is no ratio; the acid that would bring it to the edge is the gap.
  const by = sugar / limit.value - acid;
  const text = `no acid, so no sugar:acid ratio; acid ${formatAxisGap(1, by)} short`;
  return pull({ ...of, by, unit: AXES[1].unit, text });
}

/** What pulls p out of an ellipsoid: the gaps per axis to its nearest point, the small ones left out. */
function curvedPulls(face: CurvedFace, u: Vec3): Pull[] {
  if (ellipsoidExcess(face, u) <= MEMBERSHIP_TOLERANCE) return [];
  const gap = subtract3(nearestOnSurface(face, u), u);
  const largest = Math.max(...gap.map(Math.abs));
  return AXIS_INDICES.filter((k) => Math.abs(gap[k]) >= WORDS_SHARE * largest)
    .sort((i, j) => Math.abs(gap[j]) - Math.abs(gap[i]))
    .map((k) => {
      const id = `${face.given.id}:${AXES[k].id}-${gap[k] > 0 ? "short" : "over"}`;
      return {
        violation: axisViolation(id, k, gap[k] * AXIS_SCALE[k]),
        isOut: (u[k] - face.mean[k]) ** 2 > face.shape[k][k],
      };
    });
}

/** "Inside sour range: acid can fall 0.12 before it leaves." */
function insideText(name: string, p: Vec3, u: Vec3, { distance, point, plane }: Edge<FlatFace>): string {
  const change = (subject: string, up: boolean, size: string) =>
    `Inside ${name}: ${subject} can ${up ? "rise" : "fall"} ${size} before it leaves.`;
  if (distance < 1e-6) return `On the edge of ${name}.`;
  if (plane?.limit?.of === "ratio" && p[1] > 0) {
    const gap = Math.abs(p[0] / p[1] - plane.limit.value);
    return change("the sugar:acid ratio", plane.limit.side === "ceiling", formatGap(gap, 1));
  }
  if (plane && (plane.limit === null || plane.limit.of === "ratio")) {
    return `Inside ${name}: the nearest edge is “${plane.half.label}”.`;
  }
  const gap = subtract3(point, u);
  const axis = AXIS_INDICES.reduce((a, b) => (Math.abs(gap[b]) > Math.abs(gap[a]) ? b : a));
  const size = Math.abs(gap[axis]) * AXIS_SCALE[axis];
  if (size < 0.5 * 10 ** -AXES[axis].decimals) {
    return `Inside ${name}, barely: ${AXES[axis].name} can hardly ${gap[axis] > 0 ? "rise" : "fall"}.`;
  }
  return change(AXES[axis].name, gap[axis] > 0, formatAxisGap(axis, size));
}
