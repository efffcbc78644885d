import {
  AXES,
  AXIS_INDICES,
  type AxisIndex,
  fromScaled,
  PER_AXIS_SCALE,
  toScaled,
  unitAxis,
} from "../axes.ts";
import { EngineError, type FieldIssue } from "../errors.ts";
import { eigenSymmetric3, mat3, norm3, rescale3, subtract3 } from "../linalg.ts";
import { MAX_ELLIPSOID_CONDITION, SYMMETRY_TOLERANCE } from "../tolerances.ts";
import type { Interval, Mat3, TargetSpec, Vec3 } from "../types.ts";
import { createEllipsoid } from "./ellipsoid.ts";
import type { FlatFace, Parts } from "./parts.ts";
import { axisLimitLabel, planeLabel, ratioLimitLabel } from "./words.ts";

type Of<Kind extends TargetSpec["kind"]> = Extract<TargetSpec, { kind: Kind }>;

/** Limits on size: enough for any drink, small enough that corners can be enumerated. */
const MAX_FLAT_FACES = 40;
const MAX_ELLIPSOIDS = 16;
const MAX_DEPTH = 8;
const MAX_MAGNITUDE = 1e6;
/** What is divided by a denormal number is none: no rounding of ours comes near this. */
const LEAST_MAGNITUDE = 1e-200;
/** A sugar:acid ratio below this is no drink's, and dividing by it would overflow. */
const LEAST_RATIO = 1 / MAX_MAGNITUDE;
/** A direction shorter than this has no direction. */
const LEAST_NORMAL = 1e-9;
/** Unit normals closer than this are of parallel faces. */
const SAME_NORMAL = 1e-12;

/** Read a target into parts. Errors: one EngineError listing every bad field by pointer. */
export function readParts(spec: TargetSpec, pointer: string): Parts {
  const issues: FieldIssue[] = [];
  const parts: Parts = { names: [], flats: [], curves: [] };
  new PartReader(parts, issues).read(spec, pointer, 0);
  if (issues.length === 0 && parts.flats.length > MAX_FLAT_FACES) {
    issues.push(tooMany(pointer, "flat faces", parts.flats.length, MAX_FLAT_FACES));
  }
  if (issues.length === 0 && parts.curves.length > MAX_ELLIPSOIDS) {
    issues.push(tooMany(pointer, "ellipsoids", parts.curves.length, MAX_ELLIPSOIDS));
  }
  if (issues.length > 0) throw new EngineError(issues);
  uniqueIds(parts);
  return parts;
}

/** Reads a target part by part into `parts`, noting each bad field in `issues` and going on. */
class PartReader {
  constructor(
    private readonly parts: Parts,
    private readonly issues: FieldIssue[],
  ) {}

  /** Read the part at the pointer `at`, `depth` intersections down. */
  read(spec: TargetSpec, at: string, depth: number): void {
    if (typeof spec !== "object" || spec === null) {
      this.bad(at, "expected a target", "give an object with a kind");
      return;
    }
    if (spec.kind === "box") this.box(spec, at);
    else if (spec.kind === "ratio") this.ratio(spec, at);
    else if (spec.kind === "half-space") this.halfSpace(spec, at);
    else if (spec.kind === "ellipsoid") this.ellipsoid(spec, at);
    else if (spec.kind === "intersection") this.intersection(spec, at, depth);
    else {
      this.bad(
        `${at}/kind`,
        `unknown kind ${String((spec as { kind?: unknown }).kind)}`,
        "use box, ellipsoid, ratio, half-space or intersection",
      );
    }
  }

  private box(spec: Of<"box">, at: string): void {
    let limits = 0;
    for (const axis of AXIS_INDICES) {
      const { key } = AXES[axis];
      const value = spec[key];
      if (value === undefined) continue;
      const ends = this.band(value, [`${at}/${key}/0`, `${at}/${key}/1`]);
      if (ends === null || ends[0] !== null || ends[1] !== null) limits++;
      if (ends === null) continue;
      if (ends[0] !== null) this.axisFace(axis, "floor", ends[0], unitAxis(axis, -1), -ends[0]);
      if (ends[1] !== null) this.axisFace(axis, "ceiling", ends[1], unitAxis(axis, 1), ends[1]);
    }
    if (limits === 0) this.bad(at, "the box has no limits", "give at least one axis a least or a most");
    this.named(spec, "the box");
  }

  private ratio(spec: Of<"ratio">, at: string): void {
    const ends = this.band([spec.min ?? null, spec.max ?? null], [`${at}/min`, `${at}/max`]);
    if (ends === null) return;
    const [min, max] = ends;
    if (min === null && max === null)
      this.bad(`${at}/min`, "the ratio band has no ends", "give a least or a most");
    if (min !== null && min < 0)
      this.bad(`${at}/min`, "a sugar:acid ratio is never negative", "give 0 or more");
    if (max !== null && max < LEAST_RATIO)
      this.bad(`${at}/max`, `the most must be at least ${LEAST_RATIO}`, "give a ratio such as 10");
    if (min !== null) this.ratioFace("floor", min, [-1, min, 0]);
    if (max !== null) this.ratioFace("ceiling", max, [1, -max, 0]);
    this.named(spec, "the ratio band");
  }

  private halfSpace(spec: Of<"half-space">, at: string): void {
    const good = [this.vector(spec.normal, `${at}/normal`), this.number(spec.offset, `${at}/offset`)].every(
      Boolean,
    );
    if (!good) return;
    const { normal, offset } = spec;
    if (!(norm3(normal) > LEAST_NORMAL)) {
      this.bad(`${at}/normal`, "the direction is zero", "give at least one axis a weight");
      return;
    }
    const [axis, another] = AXIS_INDICES.filter((k) => normal[k] !== 0);
    if (axis !== undefined && another === undefined) {
      // Adding 0 turns −0 into 0.
      const limit = offset / normal[axis] + 0;
      const label = this.axisFace(axis, normal[axis] < 0 ? "floor" : "ceiling", limit, normal, offset);
      this.named(spec, label);
    } else {
      const label = spec.name?.trim() || planeLabel(normal, offset);
      this.flat("half-space", normal, offset, label, { kind: "general" });
      this.named(spec, label);
    }
  }

  private ellipsoid(spec: Of<"ellipsoid">, at: string): void {
    const shape = this.shape(spec, at);
    if (shape === null || spec.radius <= 0) return;
    const { radius } = spec;
    this.parts.curves.push({
      id: "ellipsoid",
      name: spec.name?.trim() || "the ellipsoid",
      part: this.parts.names.length,
      ellipsoid: createEllipsoid(toScaled(spec.mean), rescale3(shape, [radius, radius, radius])),
      mean: spec.mean,
      covariance: symmetrise(spec.covariance),
      radius,
    });
    this.named(spec, "the ellipsoid");
  }

  /** The covariance in axis-scale units, or null when something is wrong with the ellipsoid. */
  private shape(spec: Of<"ellipsoid">, at: string): Mat3 | null {
    const rows: unknown = spec.covariance;
    const square = Array.isArray(rows) && rows.length === 3;
    if (!square) this.bad(`${at}/covariance`, "expected three rows of three numbers", "give a 3×3 matrix");
    const good = [
      this.vector(spec.mean, `${at}/mean`),
      this.number(spec.radius, `${at}/radius`),
      ...(square ? rows.map((row, i) => this.vector(row, `${at}/covariance/${i}`)) : [false]),
    ].every(Boolean);
    if (!good) return null;
    if (spec.radius <= 0)
      this.bad(`${at}/radius`, "the radius must be above 0", "give a number of standard deviations");
    const c = spec.covariance;
    const scaled = rescale3(c, PER_AXIS_SCALE);
    const largest = Math.max(...scaled.flat().map(Math.abs));
    for (const [i, j] of [
      [0, 1],
      [0, 2],
      [1, 2],
    ] as const) {
      if (Math.abs(scaled[i][j] - scaled[j][i]) <= SYMMETRY_TOLERANCE * largest) continue;
      this.bad(
        `${at}/covariance/${i}/${j}`,
        `${c[i][j]} differs from its mirror ${c[j][i]}`,
        "a covariance is the same read by rows or by columns",
      );
      return null;
    }
    const even = symmetrise(scaled);
    const { values } = eigenSymmetric3(even);
    if (!(values[0] > 0) || values[2] / values[0] > MAX_ELLIPSOID_CONDITION) {
      this.bad(
        `${at}/covariance`,
        "the matrix is not positive definite: along some mix of the axes it allows no spread",
        "give every axis some variance, and no covariance beyond the product of the two standard deviations",
      );
      return null;
    }
    if (!Number.isFinite(spec.radius * spec.radius * largest))
      this.bad(`${at}/radius`, "the region is too large", "check the unit");
    return even;
  }

  private intersection(spec: Of<"intersection">, at: string, depth: number): void {
    if (!Array.isArray(spec.parts) || spec.parts.length === 0) {
      this.bad(`${at}/parts`, "the intersection has no parts", "give at least one part");
    } else if (depth >= MAX_DEPTH) {
      this.bad(`${at}/parts`, `nested more than ${MAX_DEPTH} deep`, "flatten the target");
    } else {
      spec.parts.forEach((part, i) => {
        this.read(part, `${at}/parts/${i}`, depth + 1);
      });
    }
  }

  private axisFace(
    axis: AxisIndex,
    side: "floor" | "ceiling",
    limit: number,
    normal: Vec3,
    offset: number,
  ): string {
    const label = axisLimitLabel(axis, side, limit);
    this.flat(`${AXES[axis].id}-${side}`, normal, offset, label, { kind: "axis", axis, side, limit });
    return label;
  }

  private ratioFace(side: "floor" | "ceiling", limit: number, normal: Vec3): void {
    this.flat(`ratio-${side}`, normal, 0, ratioLimitLabel(side, limit), { kind: "ratio", side, limit });
  }

  /** Add a face of the part that is being read; of two parallel ones only the tighter is kept. */
  private flat(id: string, normal: Vec3, offset: number, label: string, measure: FlatFace["measure"]): void {
    // n·p = (scale × n)·(p / scale): a normal is scaled the other way round.
    const scaled = fromScaled(normal);
    const length = norm3(scaled);
    const face: FlatFace = {
      normal: [scaled[0] / length, scaled[1] / length, scaled[2] / length],
      offset: offset / length,
      half: { id, normal, offset, label },
      part: this.parts.names.length,
      measure,
    };
    const { flats } = this.parts;
    const at = flats.findIndex((other) => norm3(subtract3(other.normal, face.normal)) < SAME_NORMAL);
    const twin = flats[at];
    if (twin === undefined) flats.push(face);
    else if (face.offset < twin.offset) flats[at] = face;
  }

  /** The part is read: give it its name. */
  private named(spec: TargetSpec, otherwise: string): void {
    this.parts.names.push(spec.name?.trim() || otherwise);
  }

  private bad(pointer: string, detail: string, remedy: string): void {
    this.issues.push({ pointer, detail, remedy });
  }

  private number(x: unknown, pointer: string): x is number {
    if (typeof x !== "number" || !Number.isFinite(x)) {
      this.bad(pointer, `expected a finite number, got ${String(x)}`, "give a plain number");
      return false;
    }
    if (Math.abs(x) > MAX_MAGNITUDE) {
      this.bad(pointer, `${x} is beyond anything a drink can hold`, "check the unit");
      return false;
    }
    if (x !== 0 && Math.abs(x) < LEAST_MAGNITUDE) {
      this.bad(pointer, `${x} is next to nothing`, "write 0");
      return false;
    }
    return true;
  }

  private vector(x: unknown, pointer: string): x is Vec3 {
    if (!Array.isArray(x) || x.length !== 3) {
      this.bad(pointer, "expected three numbers: sugar, acid, ABV", "give one number per axis");
      return false;
    }
    return x.map((value, i) => this.number(value, `${pointer}/${i}`)).every(Boolean);
  }

  /** Both ends of a band, or null when something is wrong with it. */
  private band(value: unknown, pointers: readonly [string, string]): Interval | null {
    if (!Array.isArray(value) || value.length !== 2) {
      this.bad(pointers[0], "expected [least, most], either of them null", "give two ends");
      return null;
    }
    const [low, high] = value as [unknown, unknown];
    const lowGood = low === null || this.number(low, pointers[0]);
    const highGood = high === null || this.number(high, pointers[1]);
    if (!lowGood || !highGood) return null;
    if (low !== null && high !== null && low > high) {
      this.bad(pointers[0], `the least (${low}) is above the most (${high})`, "swap the two ends");
      return null;
    }
    return [low, high];
  }
}

function symmetrise(m: Mat3): Mat3 {
  return mat3((i, j) => 0.5 * (m[i][j] + m[j][i]));
}

function tooMany(pointer: string, what: string, n: number, limit: number): FieldIssue {
  return {
    pointer: `${pointer}/parts`,
    detail: `the target has ${n} ${what}; the limit is ${limit}`,
    remedy: "join parts that say nearly the same",
  };
}

function uniqueIds(parts: Parts): void {
  const seen = new Map<string, number>();
  for (const holder of [...parts.flats.map((face) => face.half), ...parts.curves]) {
    const count = (seen.get(holder.id) ?? 0) + 1;
    seen.set(holder.id, count);
    if (count > 1) holder.id = `${holder.id}-${count}`;
  }
}
