import {
  AXES,
  AXIS_INDICES,
  fromScaled,
  loneAxis,
  PER_AXIS_SCALE,
  perAxis,
  toScaled,
  unitAxis,
} from "../axes.ts";
import { fail, Issues } from "../errors.ts";
import { eigenSymmetric3, norm3, rescale3, symmetric3 } from "../linalg.ts";
import { MAX_ELLIPSOID_CONDITION, SYMMETRY_TOLERANCE } from "../tolerances.ts";
import type { HalfSpace, Interval, Mat3, TargetSpec, Vec3 } from "../types.ts";
import { addTighter } from "./body.ts";
import { createEllipsoid } from "./ellipsoid.ts";
import type { Limit, Parts } from "./parts.ts";
import { limitLabel, planeLabel } from "./words.ts";

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

/** Read a target into parts. Errors: one EngineError listing every bad field by pointer. */
export function readParts(spec: TargetSpec, pointer: string): Parts {
  const reader = new PartReader();
  const { parts } = reader;
  reader.read(spec, pointer, 0);
  reader.throwAny();
  for (const [what, { length }, most] of [
    ["flat faces", parts.planes, MAX_FLAT_FACES],
    ["ellipsoids", parts.ellipsoids, MAX_ELLIPSOIDS],
  ] as const) {
    if (length <= most) continue;
    const detail = `the target has ${length} ${what}; the limit is ${most}`;
    fail(`${pointer}/parts`, detail, "join parts that say nearly the same");
  }
  uniqueIds(parts);
  return parts;
}

/** Reads a target part by part into `parts`, noting each bad field and going on. */
class PartReader extends Issues {
  readonly parts: Parts = { names: [], planes: [], ellipsoids: [] };

  /** Read the part at the pointer `at`, `depth` intersections down. */
  read(spec: TargetSpec, at: string, depth: number): void {
    if (typeof spec !== "object" || spec === null) {
      this.bad(at, "expected a target", "give an object with a kind");
    } else if (spec.kind === "box") this.box(spec, at);
    else if (spec.kind === "ratio") this.ratio(spec, at);
    else if (spec.kind === "half-space") this.halfSpace(spec, at);
    else if (spec.kind === "ellipsoid") this.ellipsoid(spec, at);
    else if (spec.kind === "intersection") this.intersection(spec, at, depth);
    else {
      const detail = `unknown kind ${String((spec as { kind?: unknown }).kind)}`;
      this.bad(`${at}/kind`, detail, "use box, ellipsoid, ratio, half-space or intersection");
    }
  }

  private box(spec: Of<"box">, at: string): void {
    let isLimited = false;
    for (const of of AXIS_INDICES) {
      const { key } = AXES[of];
      if (spec[key] === undefined) continue;
      const ends = this.band(spec[key], [`${at}/${key}/0`, `${at}/${key}/1`]);
      isLimited ||= !ends || ends.some((end) => end !== null);
      const [least, most] = ends || [null, null];
      if (least !== null) this.limit({ of, side: "floor", value: least }, unitAxis(of, -1), -least);
      if (most !== null) this.limit({ of, side: "ceiling", value: most }, unitAxis(of, 1), most);
    }
    if (!isLimited) this.bad(at, "the box has no limits", "give at least one axis a least or a most");
    this.named(spec, "the box");
  }

  private ratio(spec: Of<"ratio">, at: string): void {
    const ends = this.band([spec.min ?? null, spec.max ?? null], [`${at}/min`, `${at}/max`]);
    if (!ends) return;
    const [min, max] = ends;
    if (min === null && max === null)
      this.bad(`${at}/min`, "the ratio band has no ends", "give a least or a most");
    if (min !== null && min < 0)
      this.bad(`${at}/min`, "a sugar:acid ratio is never negative", "give 0 or more");
    if (max !== null && max < LEAST_RATIO)
      this.bad(`${at}/max`, `the most must be at least ${LEAST_RATIO}`, "give a ratio such as 10");
    if (min !== null) this.limit({ of: "ratio", side: "floor", value: min }, [-1, min, 0], 0);
    if (max !== null) this.limit({ of: "ratio", side: "ceiling", value: max }, [1, -max, 0], 0);
    this.named(spec, "the ratio band");
  }

  private halfSpace(spec: Of<"half-space">, at: string): void {
    const hasNormal = this.vector(spec.normal, `${at}/normal`);
    if (!this.number(spec.offset, `${at}/offset`) || !hasNormal) return;
    const { normal, offset } = spec;
    if (!(norm3(normal) > LEAST_NORMAL)) {
      this.bad(`${at}/normal`, "the direction is zero", "give at least one axis a weight");
      return;
    }
    const of = loneAxis(normal);
    if (of === null) {
      const label = spec.name?.trim() || planeLabel(normal, offset);
      this.face({ id: "half-space", normal, offset, label }, null);
      this.named(spec, label);
    } else {
      // Adding 0 turns −0 into 0.
      const value = offset / normal[of] + 0;
      this.named(spec, this.limit({ of, side: normal[of] < 0 ? "floor" : "ceiling", value }, normal, offset));
    }
  }

  private ellipsoid(spec: Of<"ellipsoid">, at: string): void {
    const scaled = this.shape(spec, at);
    const { radius } = spec;
    if (!scaled || radius <= 0) return;
    const { names, ellipsoids } = this.parts;
    const name = spec.name?.trim() || "the ellipsoid";
    const given = { id: "ellipsoid", name, mean: spec.mean, covariance: symmetric3(spec.covariance), radius };
    const around = rescale3(scaled, [radius, radius, radius]);
    const { mean, gauge, shape, directions, semiAxes } = createEllipsoid(toScaled(spec.mean), around);
    ellipsoids.push({ mean, gauge, shape, directions, semiAxes, given, part: names.length });
    names.push(name);
  }

  /** The covariance in axis-scale units; false when something is wrong with the ellipsoid. */
  private shape({ mean, covariance, radius }: Of<"ellipsoid">, at: string): Mat3 | false {
    const rows: unknown = covariance;
    const square = Array.isArray(rows) && rows.length === 3;
    if (!square) this.bad(`${at}/covariance`, "expected three rows of three numbers", "give a 3×3 matrix");
    const good = [
      this.vector(mean, `${at}/mean`),
      this.number(radius, `${at}/radius`),
      ...(square ? rows.map((row, i) => this.vector(row, `${at}/covariance/${i}`)) : [false]),
    ].every(Boolean);
    if (!good) return false;
    if (radius <= 0)
      this.bad(`${at}/radius`, "the radius must be above 0", "give a number of standard deviations");
    const scaled = rescale3(covariance, PER_AXIS_SCALE);
    const largest = Math.max(...scaled.flat().map(Math.abs));
    for (const i of AXIS_INDICES) {
      for (const j of AXIS_INDICES.slice(i + 1)) {
        if (Math.abs(scaled[i][j] - scaled[j][i]) <= SYMMETRY_TOLERANCE * largest) continue;
        const detail = `${covariance[i][j]} differs from its mirror ${covariance[j][i]}`;
        const remedy = "a covariance is the same read by rows or by columns";
        return this.bad(`${at}/covariance/${i}/${j}`, detail, remedy);
      }
    }
    const even = symmetric3(scaled);
    const { values } = eigenSymmetric3(even);
    if (!(values[0] > 0) || values[2] / values[0] > MAX_ELLIPSOID_CONDITION) {
      return this.bad(
        `${at}/covariance`,
        "the matrix is not positive definite: along some mix of the axes it allows no spread",
        "give every axis some variance, and no covariance beyond the product of the two standard deviations",
      );
    }
    if (!Number.isFinite(radius * radius * largest))
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

  /** Add a face of the part that is being read that limits an axis or the ratio; returns its label. */
  private limit(limit: Limit, normal: Vec3, offset: number): string {
    const label = limitLabel(limit);
    const subject = limit.of === "ratio" ? limit.of : AXES[limit.of].id;
    this.face({ id: `${subject}-${limit.side}`, normal, offset, label }, limit);
    return label;
  }

  /** Add a face of the part that is being read; of two parallel ones only the tighter is kept. */
  private face(half: HalfSpace, limit: Limit | null): void {
    // n·p = (scale × n)·(p / scale): a normal is scaled the other way round.
    const scaled = fromScaled(half.normal);
    const length = norm3(scaled);
    const normal = perAxis((k) => scaled[k] / length);
    const { planes, names } = this.parts;
    addTighter(planes, { normal, offset: half.offset / length, half, part: names.length, limit });
  }

  /** The part is read: give it its name. */
  private named(spec: TargetSpec, otherwise: string): void {
    this.parts.names.push(spec.name?.trim() || otherwise);
  }

  /** Note a bad field; false, as is what could not be read. */
  private bad(pointer: string, detail: string, remedy: string): false {
    this.add(pointer, detail, remedy);
    return false;
  }

  private number(x: unknown, pointer: string): x is number {
    if (typeof x !== "number" || !Number.isFinite(x))
      return this.bad(pointer, `expected a finite number, got ${String(x)}`, "give a plain number");
    if (Math.abs(x) > MAX_MAGNITUDE)
      return this.bad(pointer, `${x} is beyond anything a drink can hold`, "check the unit");
    if (x !== 0 && Math.abs(x) < LEAST_MAGNITUDE)
      return this.bad(pointer, `${x} is next to nothing`, "write 0");
    return true;
  }

  private vector(x: unknown, pointer: string): x is Vec3 {
    if (!Array.isArray(x) || x.length !== 3)
      return this.bad(pointer, "expected three numbers: sugar, acid, ABV", "give one number per axis");
    return x.map((value, i) => this.number(value, `${pointer}/${i}`)).every(Boolean);
  }

  /** Both ends of a band; false when something is wrong with it. */
  private band(value: unknown, [atLow, atHigh]: readonly [string, string]): Interval | false {
    if (!Array.isArray(value) || value.length !== 2)
      return this.bad(atLow, "expected [least, most], either of them null", "give two ends");
    const [low, high] = value as [unknown, unknown];
    const lowGood = low === null || this.number(low, atLow);
    const highGood = high === null || this.number(high, atHigh);
    if (!lowGood || !highGood) return false;
    if (low !== null && high !== null && low > high)
      return this.bad(atLow, `the least (${low}) is above the most (${high})`, "swap the two ends");
    return [low, high];
  }
}

function uniqueIds(parts: Parts): void {
  const seen = new Map<string, number>();
  for (const holder of [
    ...parts.planes.map((face) => face.half),
    ...parts.ellipsoids.map((face) => face.given),
  ]) {
    const count = (seen.get(holder.id) ?? 0) + 1;
    seen.set(holder.id, count);
    if (count > 1) holder.id = `${holder.id}-${count}`;
  }
}
