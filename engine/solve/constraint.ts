import { AXES, AXIS_INDICES, AXIS_SCALE, fromScaled, unitAxis } from "../axes.ts";
import type { MixModel } from "../dilution/model.ts";
import { dot3, invert3, mat3, matVec3, norm3, scaled3, subtract3 } from "../linalg.ts";
import { sensitivityOf } from "../place/sensitivity.ts";
import { compileTarget } from "../targets/compile-target.ts";
import type { HalfSpace, Mat3, TargetSpec, Vec3 } from "../types.ts";
import { setSum } from "../vectors.ts";
import type { Question } from "./question.ts";

/** A drink within this share of an ellipsoid's radius is on its surface. */
export const ON_SURFACE = 1e-7;

/** What a constraint is about. */
export type Subject =
  /** A flat face of a region, or (`curve`) the plane that touches its curved part. */
  | { role: "target" | "drift"; face: HalfSpace; curve: string | null }
  /** The finished volume: at most, or at least. */
  | { role: "glass"; side: "most" | "least" }
  /** A share of the finished glass that an ingredient keeps. */
  | { role: "share"; ingredient: string; percent: number }
  /** One ingredient stays at least as much as another. */
  | { role: "order"; ingredient: string; other: string }
  /** Something is in the glass. */
  | { role: "poured" }
  /** The mix's strength ends here in this cell of the relaxation. */
  | { role: "strength"; side: "least" | "most" };

/** coefficient·x + volumeFactor·V(x) ≤ limit, with x the pours (mL) and V the true finished volume (mL). */
export interface Constraint {
  id: string;
  subject: Subject;
  coefficient: Float64Array;
  volumeFactor: number;
  limit: number;
}

/** An ellipsoid √((p−mean)ᵀ inverse (p−mean)) ≤ radius of one of the regions. */
export interface Curve {
  id: string;
  region: number;
  mean: Vec3;
  inverse: Mat3;
  radius: number;
  label: string;
}

/** Everything that a finished drink must meet. */
export type Constraints = ReturnType<typeof constraintsOf>;

/** What the rest of the solver calls a face of this region: the target's own name, or one that says it is not. */
const idIn = (region: number, id: string) => (region === 0 ? id : `drift-${region}:${id}`);

/** The constraints of a question; `drift` is a further limit on it (the drift measure narrows its ball this way). */
export function constraintsOf(question: Question, drift?: number) {
  const { request, model, firstPoint, target } = question;
  const radii = [request.driftBudget, drift].filter((radius) => radius !== undefined);
  // Compiled apart, so that a ball that misses the target is an outcome and not a malformed target.
  const regions = [target, ...radii.map((radius) => compileTarget(driftBall(firstPoint, radius)))];
  const content = model.coeffs.map((c): Vec3 => [c.sugarG, c.acidCitricEqG, c.ethanolMl]);

  /** A half-space n·p ≤ h of a region as 100·n·u(x) − h·V(x) ≤ 0, u the contents: nearly linear in x. */
  const face = (half: HalfSpace, region: number, curve?: string): Constraint => ({
    id: half.id,
    subject: { role: region === 0 ? "target" : "drift", face: half, curve: curve ?? null },
    coefficient: Float64Array.from(content, (u) => 100 * dot3(half.normal, u)),
    // The hook's margin holds for the target's faces; it says nothing about the drift ball and other regions.
    volumeFactor: (region === 0 ? (request.shrink?.(half.normal) ?? 0) : 0) - half.offset,
    limit: 0,
  });
  return {
    /** The target first, then the drift ball and any extra part. */
    regions,
    /** The regions' curved parts. */
    curves: regions.flatMap((region, r) =>
      region.ellipsoids.map(({ id, mean, covariance, radius }): Curve => {
        const inverse = invert3(covariance);
        if (inverse === null) throw new Error(`the covariance of ${id} was compiled, so it has an inverse`);
        return { id: idIn(r, id), region: r, mean, inverse, radius, label: `the edge of ${region.name}` };
      }),
    ),
    /** The regions' flat faces. */
    faces: regions.flatMap((region, r) =>
      region.halfSpaces.map((half) => face({ ...half, id: idIn(r, half.id) }, r)),
    ),
    /** Everything else: glass, character, something poured. */
    rules: rulesOf(question),
    face,
  };
}

/** The sides of a curved region's bounding box: not constraints, but true of all its points. */
export function boxFaces({ regions, face }: Constraints): Constraint[] {
  return regions.flatMap((region, r) => {
    if (region.isPolyhedral) return [];
    const [low, high] = region.boundingBox;
    return AXIS_INDICES.flatMap((k) => {
      const label = `${AXES[k].name} of ${region.name}`;
      const side = (name: string, sign: 1 | -1, offset: number) =>
        face({ id: idIn(r, `${AXES[k].id}-${name}`), normal: unitAxis(k, sign), offset, label }, r);
      return [side("least", -1, -low[k]), side("most", 1, high[k])];
    });
  });
}

function rulesOf({ request, variables, leastPourMl }: Question): Constraint[] {
  const rules: Constraint[] = [];
  const add = (
    id: string,
    subject: Subject,
    volumeFactor: number,
    limit: number,
    per: (id: string) => number,
  ) =>
    rules.push({
      id,
      subject,
      // A rule names an ingredient: all its lines count together.
      coefficient: Float64Array.from(variables, (v) => per(v.ingredient.id)),
      volumeFactor,
      limit,
    });
  if (request.maxFinishedMl !== undefined) {
    add("glass", { role: "glass", side: "most" }, 1, request.maxFinishedMl, () => 0);
  }
  if (request.minFinishedMl !== undefined) {
    add("size", { role: "glass", side: "least" }, -1, -request.minFinishedMl, () => 0);
  }
  request.character?.forEach(({ ingredient, minSharePercent: percent, atLeastAsMuchAs: other }, i) => {
    if (percent !== undefined) {
      const share = (id: string) => (id === ingredient ? -100 : 0);
      add(`character-${i}-share`, { role: "share", ingredient, percent }, percent, 0, share);
    }
    if (other !== undefined) {
      const order = (id: string) => Number(id === other) - Number(id === ingredient);
      add(`character-${i}-order`, { role: "order", ingredient, other }, 0, 0, order);
    }
  });
  // Nothing in the glass meets every other row, so say that something is: at least the smallest pour.
  add("poured", { role: "poured" }, 0, -leastPourMl, () => -1);
  return rules;
}

/** All points within `radius` axis-scale units of a point. */
export function driftBall(centre: Vec3, radius: number): TargetSpec {
  const covariance = mat3((i, j) => (i === j ? AXIS_SCALE[i] * AXIS_SCALE[j] : 0));
  return { kind: "ellipsoid", name: "the drift budget", mean: centre, covariance, radius };
}

/** Distance of a point from an ellipsoid's middle in the ellipsoid's own units; `radius` on its surface. */
export function gaugeOf(curve: Curve, p: Vec3): number {
  const d = subtract3(p, curve.mean);
  return Math.sqrt(dot3(d, matVec3(curve.inverse, d)));
}

/**
 * The half-space that touches an ellipsoid where the ray from its middle to p leaves it, or null when p is
 * no further out than 1 + `share` radii. It contains the ellipsoid and, for share > 0, not p.
 */
export function tangentPlane(curve: Curve, p: Vec3, share: number): HalfSpace | null {
  const gauge = gaugeOf(curve, p);
  if (!(gauge > curve.radius * (1 + share))) return null;
  const normal = scaled3(1 / gauge, matVec3(curve.inverse, subtract3(p, curve.mean)));
  return {
    id: `${curve.id}:tangent`,
    normal,
    offset: dot3(normal, curve.mean) + curve.radius,
    label: curve.label,
  };
}

/** The plane that touches each curved part where the ray to p leaves it, for those that p is out to 1 + `share` radii of. */
export function tangentsAt(
  { curves, face }: Pick<Constraints, "curves" | "face">,
  p: Vec3,
  share: number,
): Constraint[] {
  return curves.flatMap((curve) => {
    const half = tangentPlane(curve, p, share);
    return half ? [face(half, curve.region, curve.id)] : [];
  });
}

/** coefficient·x + volumeFactor·V − limit: at most 0 where the constraint holds. */
export function excessOf(c: Constraint, x: ArrayLike<number>, volumeMl: number): number {
  let value = c.volumeFactor * volumeMl - c.limit;
  for (let i = 0; i < c.coefficient.length; i += 1) value += c.coefficient[i]! * x[i]!;
  return value;
}

/** Size of one axis-scale unit along a face's normal; for rules, of the finished volume. */
export function scaleOf({ subject, volumeFactor }: Constraint): number {
  return "face" in subject ? norm3(fromScaled(subject.face.normal)) : Math.max(1, Math.abs(volumeFactor));
}

/** How far outside a constraint a drink is: axis-scale units for faces, shares of the glass for rules. */
export function breachOf(c: Constraint, x: ArrayLike<number>, volumeMl: number): number {
  return excessOf(c, x, volumeMl) / (volumeMl * scaleOf(c));
}

/** A constraint to first order at a drink. */
export interface Tangent {
  row: Constraint;
  /** What `excessOf` gives, and its slope per mL of each pour. */
  value: number;
  gradient: Float64Array;
}

/** Constraints to first order at one drink, and how its volume goes: mL finished per mL of each pour. */
export type Linearised = ReturnType<typeof linearise>;

/** Evaluate constraints and their exact first derivatives at a drink. */
export function linearise(model: MixModel, rows: readonly Constraint[], x: readonly number[]) {
  const { finished, pour } = sensitivityOf(model, x);
  const volumeSlopes = Float64Array.from(x, (_, i) => pour(i)[3]);
  const tangents = rows.map((row): Tangent => {
    const gradient = new Float64Array(x.length);
    setSum(gradient, row.coefficient, row.volumeFactor, volumeSlopes);
    return { row, value: excessOf(row, x, finished.finishedVolumeMl), gradient };
  });
  return { tangents, finished, volumeSlopes };
}
