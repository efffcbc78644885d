import type { TargetSpec, Vec3 } from "../types.ts";

/**
 * The same region scaled by `factor` (0–1] about an inside point `centre`, so "well inside" can be asked
 * of any target. Every part is scaled about the one centre, so the result lies inside the original
 * (both are convex and contain the centre). Units: axis units.
 */
export function shrinkTarget(target: TargetSpec, centre: Vec3, factor: number): TargetSpec {
  const name = target.name === undefined ? {} : { name: target.name };
  const halfSpace = (normal: Vec3, offset: number): TargetSpec => {
    const atCentre = normal[0] * centre[0] + normal[1] * centre[1] + normal[2] * centre[2];
    return { kind: "half-space", ...name, normal, offset: atCentre + factor * (offset - atCentre) };
  };
  switch (target.kind) {
    case "box": {
      const side = (range: readonly [number | null, number | null] | undefined, c: number) =>
        range && ([scale(range[0], c, factor), scale(range[1], c, factor)] as const);
      return {
        kind: "box",
        ...name,
        sugarGPer100Ml: side(target.sugarGPer100Ml, centre[0]),
        acidGPer100Ml: side(target.acidGPer100Ml, centre[1]),
        abvPercent: side(target.abvPercent, centre[2]),
      };
    }
    case "ellipsoid": {
      const mean: Vec3 = [
        scale(target.mean[0], centre[0], factor) as number,
        scale(target.mean[1], centre[1], factor) as number,
        scale(target.mean[2], centre[2], factor) as number,
      ];
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

function scale(limit: number | null, centre: number, factor: number): number | null {
  return limit === null ? null : centre + factor * (limit - centre);
}
