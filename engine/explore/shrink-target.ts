import { addScaled3, dot3, subtract3 } from "../linalg.ts";
import type { Interval, TargetSpec, Vec3 } from "../types.ts";

/**
 * The same region scaled by `factor` (0–1] about an inside point `centre`, so "well inside" can be asked
 * of any target. Every part is scaled about the one centre, so the result lies inside the original
 * (both are convex and contain the centre). Units: axis units.
 */
export function shrinkTarget(target: TargetSpec, centre: Vec3, factor: number): TargetSpec {
  const name = target.name === undefined ? {} : { name: target.name };
  const halfSpace = (normal: Vec3, offset: number): TargetSpec => {
    const atCentre = dot3(normal, centre);
    return { kind: "half-space", ...name, normal, offset: atCentre + factor * (offset - atCentre) };
  };
  switch (target.kind) {
    case "box": {
      const end = (at: number | null, c: number) => (at === null ? null : c + factor * (at - c));
      const side = (range: Interval | undefined, c: number) =>
        range && ([end(range[0], c), end(range[1], c)] as const);
      return {
        kind: "box",
        ...name,
        sugarGPer100Ml: side(target.sugarGPer100Ml, centre[0]),
        acidGPer100Ml: side(target.acidGPer100Ml, centre[1]),
        abvPercent: side(target.abvPercent, centre[2]),
      };
    }
    case "ellipsoid": {
      const mean = addScaled3(centre, factor, subtract3(target.mean, centre));
      return { ...target, mean, radius: target.radius * factor };
    }
    case "half-space":
      return halfSpace(target.normal, target.offset);
    case "ratio": {
      const parts: TargetSpec[] = [];
      if (target.max !== null) parts.push(halfSpace([1, -target.max, 0], 0));
      if (target.min !== null) parts.push(halfSpace([-1, target.min, 0], 0));
      return { kind: "intersection", ...name, parts };
    }
    case "intersection":
      return { ...target, parts: target.parts.map((part) => shrinkTarget(part, centre, factor)) };
  }
}
