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
import type { HalfSpace, Interval, Mat3, TargetSpec, Vec3 } from "../types.ts";
import type { Plane } from "./body.ts";
import { createEllipsoid, type Ellipsoid } from "./ellipsoid.ts";
import { formatNumber } from "./words.ts";

/** A flat face with what is needed to speak about it. `part` is the index of the named part it came from. */
export interface FlatFace extends Plane {
  half: HalfSpace;
  part: number;
  measure:
    | { kind: "axis"; axis: AxisIndex; side: "floor" | "ceiling"; limit: number }
    | { kind: "ratio"; side: "floor" | "ceiling"; limit: number }
    | { kind: "general" };
}

/** A curved face: the ellipsoid in axis-scale units, and the user's own numbers. */
export interface CurvedFace {
  id: string;
  name: string;
  part: number;
  ellipsoid: Ellipsoid;
  mean: Vec3;
  covariance: Mat3;
  radius: number;
}

/** A target taken apart: leaf parts by name, flat faces (parallel ones merged) and ellipsoids. */
export interface Parts {
  names: string[];
  flats: FlatFace[];
  curves: CurvedFace[];
}

/** Limits on size: enough for any drink, small enough that corners can be enumerated. */
const MAX_FLAT_FACES = 40;
const MAX_ELLIPSOIDS = 16;
const MAX_DEPTH = 8;
const MAX_MAGNITUDE = 1e6;
/** A sugar:acid ratio below this is no drink's, and dividing by it would overflow. */
const LEAST_RATIO = 1 / MAX_MAGNITUDE;

/** Read a target into parts. Errors: one EngineError listing every bad field by pointer. */
export function readParts(spec: TargetSpec, pointer: string): Parts {
  const issues: FieldIssue[] = [];
  const parts: Parts = { names: [], flats: [], curves: [] };
  readPart(spec, pointer, 0, parts, issues);
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

function tooMany(pointer: string, what: string, n: number, limit: number): FieldIssue {
  return {
    pointer: `${pointer}/parts`,
    detail: `the target has ${n} ${what}; the limit is ${limit}`,
    remedy: "join parts that say nearly the same",
  };
}

function readPart(spec: TargetSpec, at: string, depth: number, parts: Parts, issues: FieldIssue[]): void {
  const bad = (pointer: string, detail: string, remedy: string) => {
    issues.push({ pointer, detail, remedy });
  };
  const number = (x: unknown, pointer: string): x is number => {
    if (typeof x !== "number" || !Number.isFinite(x)) {
      bad(pointer, `expected a finite number, got ${String(x)}`, "give a plain number");
      return false;
    }
    if (Math.abs(x) > MAX_MAGNITUDE) {
      bad(pointer, `${x} is beyond anything a drink can hold`, "check the unit");
      return false;
    }
    return true;
  };
  const vector = (x: unknown, pointer: string): x is Vec3 => {
    if (!Array.isArray(x) || x.length !== 3) {
      bad(pointer, "expected three numbers: sugar, acid, ABV", "give one number per axis");
      return false;
    }
    return x.map((value, i) => number(value, `${pointer}/${i}`)).every(Boolean);
  };
  /** Both ends of a band, or null when something is wrong with it. */
  const band = (value: unknown, pointers: readonly [string, string]): Interval | null => {
    if (!Array.isArray(value) || value.length !== 2) {
      bad(pointers[0], "expected [least, most], either of them null", "give two ends");
      return null;
    }
    const [low, high] = value as [unknown, unknown];
    const lowGood = low === null || number(low, pointers[0]);
    const highGood = high === null || number(high, pointers[1]);
    if (!lowGood || !highGood) return null;
    if (low !== null && high !== null && (low as number) > (high as number)) {
      bad(pointers[0], `the least (${low}) is above the most (${high})`, "swap the two ends");
      return null;
    }
    return [low as number | null, high as number | null];
  };
  if (typeof spec !== "object" || spec === null) {
    bad(at, "expected a target", "give an object with a kind");
    return;
  }
  const ownName = spec.name?.trim() || null;
  const nextPart = () => parts.names.length;

  switch (spec.kind) {
    case "box": {
      let limits = 0;
      for (const axis of AXIS_INDICES) {
        const { key, name, unit } = AXES[axis];
        const value = spec[key];
        if (value === undefined) continue;
        const ends = band(value, [`${at}/${key}/0`, `${at}/${key}/1`]);
        if (ends === null) {
          limits++;
          continue;
        }
        for (const [limit, side] of [
          [ends[0], "floor"],
          [ends[1], "ceiling"],
        ] as const) {
          if (limit === null) continue;
          limits++;
          const sign = side === "floor" ? -1 : 1;
          const label = `${name} ${side === "floor" ? "at least" : "at most"} ${formatNumber(limit)} ${unit}`;
          addFlat(parts, {
            id: `${AXES[axis].id}-${side}`,
            normal: unitAxis(axis, sign),
            offset: sign * limit,
            label,
            part: nextPart(),
            measure: { kind: "axis", axis, side, limit },
          });
        }
      }
      if (limits === 0) bad(at, "the box has no limits", "give at least one axis a least or a most");
      parts.names.push(ownName ?? "the box");
      return;
    }
    case "ratio": {
      const ends = band([spec.min ?? null, spec.max ?? null], [`${at}/min`, `${at}/max`]);
      if (ends === null) return;
      const [min, max] = ends;
      if (min === null && max === null)
        bad(`${at}/min`, "the ratio band has no ends", "give a least or a most");
      if (min !== null && min < 0) bad(`${at}/min`, "a sugar:acid ratio is never negative", "give 0 or more");
      if (max !== null && max < LEAST_RATIO)
        bad(`${at}/max`, `the most must be at least ${LEAST_RATIO}`, "give a ratio such as 10");
      if (min !== null) {
        addFlat(parts, {
          id: "ratio-floor",
          normal: [-1, min, 0],
          offset: 0,
          label: `sugar:acid ratio at least ${formatNumber(min)}`,
          part: nextPart(),
          measure: { kind: "ratio", side: "floor", limit: min },
        });
      }
      if (max !== null) {
        addFlat(parts, {
          id: "ratio-ceiling",
          normal: [1, -max, 0],
          offset: 0,
          label: `sugar:acid ratio at most ${formatNumber(max)}`,
          part: nextPart(),
          measure: { kind: "ratio", side: "ceiling", limit: max },
        });
      }
      parts.names.push(ownName ?? "the ratio band");
      return;
    }
    case "half-space": {
      const good = [vector(spec.normal, `${at}/normal`), number(spec.offset, `${at}/offset`)].every(Boolean);
      if (!good) return;
      const { normal, offset } = spec;
      const length = norm3(normal);
      if (!(length > 1e-9)) {
        bad(`${at}/normal`, "the direction is zero", "give at least one axis a weight");
        return;
      }
      const axes = AXIS_INDICES.filter((k) => normal[k] !== 0);
      const only = axes.length === 1 ? axes[0]! : null;
      if (only !== null) {
        const side = normal[only] < 0 ? "floor" : "ceiling";
        const limit = offset / normal[only] + 0;
        const words = `${AXES[only].name} ${side === "floor" ? "at least" : "at most"} ${formatNumber(limit)} ${AXES[only].unit}`;
        addFlat(parts, {
          id: `${AXES[only].id}-${side}`,
          normal,
          offset,
          label: words,
          part: nextPart(),
          measure: { kind: "axis", axis: only, side, limit },
        });
        parts.names.push(ownName ?? words);
      } else {
        addFlat(parts, {
          id: "half-space",
          normal,
          offset,
          label: ownName ?? sentence(normal, offset),
          part: nextPart(),
          measure: { kind: "general" },
        });
        parts.names.push(ownName ?? sentence(normal, offset));
      }
      return;
    }
    case "ellipsoid": {
      const rows: unknown = spec.covariance;
      const square = Array.isArray(rows) && rows.length === 3;
      if (!square) bad(`${at}/covariance`, "expected three rows of three numbers", "give a 3×3 matrix");
      const good = [
        vector(spec.mean, `${at}/mean`),
        number(spec.radius, `${at}/radius`),
        ...(square ? rows.map((row, i) => vector(row, `${at}/covariance/${i}`)) : [false]),
      ].every(Boolean);
      if (!good) return;
      if (spec.radius <= 0)
        bad(`${at}/radius`, "the radius must be above 0", "give a number of standard deviations");
      const c = spec.covariance;
      const scaled = rescale3(c, PER_AXIS_SCALE);
      const largest = Math.max(...scaled.flat().map(Math.abs));
      for (const [i, j] of [
        [0, 1],
        [0, 2],
        [1, 2],
      ] as const) {
        if (Math.abs(scaled[i][j] - scaled[j][i]) > SYMMETRY_TOLERANCE * largest) {
          bad(
            `${at}/covariance/${i}/${j}`,
            `${c[i][j]} differs from its mirror ${c[j][i]}`,
            "a covariance is the same read by rows or by columns",
          );
          return;
        }
      }
      const even = symmetrise(scaled);
      const { values } = eigenSymmetric3(even);
      if (!(values[0] > 0) || values[2] / values[0] > MAX_ELLIPSOID_CONDITION) {
        bad(
          `${at}/covariance`,
          "the matrix is not positive definite: along some mix of the axes it allows no spread",
          "give every axis some variance, and no covariance beyond the product of the two standard deviations",
        );
        return;
      }
      if (spec.radius <= 0) return;
      const squared = spec.radius * spec.radius;
      const mean = toScaled(spec.mean);
      const shape = rescale3(even, [spec.radius, spec.radius, spec.radius]);
      if (!Number.isFinite(squared * largest))
        bad(`${at}/radius`, "the region is too large", "check the unit");
      parts.curves.push({
        id: "ellipsoid",
        name: ownName ?? "the ellipsoid",
        part: nextPart(),
        ellipsoid: createEllipsoid(mean, shape),
        mean: spec.mean,
        covariance: symmetrise(c),
        radius: spec.radius,
      });
      parts.names.push(ownName ?? "the ellipsoid");
      return;
    }
    case "intersection": {
      if (!Array.isArray(spec.parts) || spec.parts.length === 0) {
        bad(`${at}/parts`, "the intersection has no parts", "give at least one part");
        return;
      }
      if (depth >= MAX_DEPTH) {
        bad(`${at}/parts`, `nested more than ${MAX_DEPTH} deep`, "flatten the target");
        return;
      }
      spec.parts.forEach((part, i) => {
        readPart(part, `${at}/parts/${i}`, depth + 1, parts, issues);
      });
      return;
    }
    default:
      bad(
        `${at}/kind`,
        `unknown kind ${String((spec as { kind?: unknown }).kind)}`,
        "use box, ellipsoid, ratio, half-space or intersection",
      );
  }
}

/** Add a face; of two parallel ones only the tighter is kept. */
function addFlat(
  parts: Parts,
  face: {
    id: string;
    normal: Vec3;
    offset: number;
    label: string;
    part: number;
    measure: FlatFace["measure"];
  },
): void {
  // n·p = (scale × n)·(p / scale): a normal is scaled the other way round.
  const scaled = fromScaled(face.normal);
  const length = norm3(scaled);
  const flat: FlatFace = {
    normal: [scaled[0] / length, scaled[1] / length, scaled[2] / length],
    offset: face.offset / length,
    half: { id: face.id, normal: face.normal, offset: face.offset, label: face.label },
    part: face.part,
    measure: face.measure,
  };
  const twin = parts.flats.findIndex((other) => norm3(subtract3(other.normal, flat.normal)) < 1e-12);
  if (twin < 0) parts.flats.push(flat);
  else if (flat.offset < parts.flats[twin]!.offset) parts.flats[twin] = flat;
}

function symmetrise(m: Mat3): Mat3 {
  return mat3((i, j) => 0.5 * (m[i][j] + m[j][i]));
}

/** "sugar − 8·acid ≤ 1" */
function sentence(normal: Vec3, offset: number): string {
  let text = "";
  AXES.forEach(({ name }, k) => {
    const weight = normal[k]!;
    if (weight === 0) return;
    const size = Math.abs(weight);
    const sign = weight < 0 ? (text === "" ? "−" : " − ") : text === "" ? "" : " + ";
    text += `${sign}${size === 1 ? "" : `${formatNumber(size)}·`}${name}`;
  });
  return `${text} ≤ ${formatNumber(offset)}`;
}

function uniqueIds(parts: Parts): void {
  const seen = new Map<string, number>();
  for (const holder of [...parts.flats.map((face) => face.half), ...parts.curves]) {
    const count = (seen.get(holder.id) ?? 0) + 1;
    seen.set(holder.id, count);
    if (count > 1) holder.id = `${holder.id}-${count}`;
  }
}
