import fc from "fast-check";
import { AXIS_SCALE } from "../../../engine/axes.ts";
import type { CompiledTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, TargetSpec, Vec3 } from "../../../engine/types.ts";

/** Spread evenly, ends included: fast-check's own doubles are mostly within 1e-100 of zero, where no drink is. */
const number = (min: number, max: number) =>
  fc.integer({ min: 0, max: 1e6 }).map((i) => min + ((max - min) * i) / 1e6);

/** Somewhere a drink can be. */
export const drinkPoint = fc.tuple(number(0, 20), number(0, 2), number(0, 45));

const interval = (max: number) =>
  fc
    .tuple(number(0, max), number(0.02 * max, 0.5 * max), fc.boolean(), fc.boolean())
    .map(([low, width, open, openTop]): [number | null, number | null] => [
      open ? null : low,
      openTop && !open ? null : low + width,
    ]);

export const boxTarget: fc.Arbitrary<TargetSpec> = fc
  .record({ s: interval(16), a: interval(1.6), v: interval(40), keep: fc.integer({ min: 1, max: 7 }) })
  .map(({ s, a, v, keep }) => ({
    kind: "box",
    ...(keep & 1 ? { sugarGPer100Ml: s } : {}),
    ...(keep & 2 ? { acidGPer100Ml: a } : {}),
    ...(keep & 4 ? { abvPercent: v } : {}),
  }));

export const ellipsoidTarget: fc.Arbitrary<TargetSpec> = fc
  .record({
    mean: fc.tuple(number(2, 14), number(0.3, 1.4), number(5, 35)),
    l: fc.array(number(-1, 1), { minLength: 3, maxLength: 3 }),
    d: fc.array(number(0.2, 1.5), { minLength: 3, maxLength: 3 }),
    radius: number(0.5, 3),
  })
  .map(({ mean, l, d, radius }) => {
    const root = [
      [d[0]!, 0, 0],
      [l[0]!, d[1]!, 0],
      [l[1]!, l[2]!, d[2]!],
    ];
    const covariance = [0, 1, 2].map((i) =>
      [0, 1, 2].map(
        (j) => AXIS_SCALE[i]! * AXIS_SCALE[j]! * root[i]!.reduce((sum, x, k) => sum + x * root[j]![k]!, 0),
      ),
    ) as unknown as Mat3;
    return { kind: "ellipsoid" as const, mean, covariance, radius };
  });

export const ratioTarget: fc.Arbitrary<TargetSpec> = fc
  .tuple(number(1, 14), number(0.5, 10), fc.integer({ min: 0, max: 2 }))
  .map(([min, width, open]) => ({
    kind: "ratio",
    min: open === 1 ? null : min,
    max: open === 2 ? null : min + width,
  }));

export const halfSpaceTarget: fc.Arbitrary<TargetSpec> = fc
  .record({ normal: fc.tuple(number(-1, 1), number(-8, 8), number(-1, 1)), through: drinkPoint })
  .filter(({ normal }) => Math.hypot(...normal) > 0.2)
  .map(({ normal, through }) => ({
    kind: "half-space",
    normal,
    offset: normal[0] * through[0] + normal[1] * through[1] + normal[2] * through[2],
  }));

const simple = fc.oneof(boxTarget, ellipsoidTarget, ratioTarget, halfSpaceTarget);

/** Any target; intersections may be empty (compileTarget then throws). */
export const anyTarget: fc.Arbitrary<TargetSpec> = fc.oneof(
  simple,
  fc
    .array(simple, { minLength: 2, maxLength: 4 })
    .map((parts): TargetSpec => ({ kind: "intersection", parts })),
  fc.tuple(ellipsoidTarget, halfSpaceTarget, ratioTarget).map(
    (parts): TargetSpec => ({
      kind: "intersection",
      parts: [parts[0], { kind: "intersection", parts: parts.slice(1) }],
    }),
  ),
);

/** Points of the region, from its centre toward points furthest along the given directions. */
export function pointsWithin(target: CompiledTarget, directions: readonly Vec3[], share: number): Vec3[] {
  return directions
    .filter((d) => Math.hypot(...d) > 1e-3)
    .map((d) => {
      const far = target.support([d[0] / AXIS_SCALE[0], d[1] / AXIS_SCALE[1], d[2] / AXIS_SCALE[2]]);
      const mix = (k: 0 | 1 | 2) => share * far[k] + (1 - share) * target.centre[k];
      return [mix(0), mix(1), mix(2)];
    });
}

export const direction = fc.tuple(number(-1, 1), number(-1, 1), number(-1, 1));
