import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { toVec } from "../../../engine/axes.ts";
import { chordThrough, gaugeBands } from "../../../engine/targets/chord.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Vec3 } from "../../../engine/types.ts";

const ball = compileTarget({
  kind: "ellipsoid",
  mean: [8, 0.8, 17],
  covariance: [
    [1, 0.02, 0.4],
    [0.02, 0.01, 0.05],
    [0.4, 0.05, 2],
  ],
  radius: 2,
});
const cut = compileTarget({
  kind: "intersection",
  parts: [
    {
      kind: "ellipsoid",
      mean: [8, 0.8, 17],
      covariance: [
        [1, 0, 0],
        [0, 0.01, 0],
        [0, 0, 2],
      ],
      radius: 2,
    },
    { kind: "ratio", min: 7, max: 11 },
  ],
});
const point = fc.tuple(
  fc.double({ min: 2, max: 14, noNaN: true }),
  fc.double({ min: 0.1, max: 1.5, noNaN: true }),
  fc.double({ min: 8, max: 26, noNaN: true }),
);
const axis = fc.constantFrom(0 as const, 1 as const, 2 as const);
const moved = (p: Vec3, k: 0 | 1 | 2, value: number): Vec3 => [
  k === 0 ? value : p[0],
  k === 1 ? value : p[1],
  k === 2 ? value : p[2],
];

describe.each([
  ["an ellipsoid", ball],
  ["an ellipsoid cut by a ratio", cut],
])("the chord of %s along an axis", (_name, target) => {
  test("holds exactly the values the target holds", () => {
    fc.assert(
      fc.property(point, axis, fc.double({ min: 0, max: 1, noNaN: true }), (p, k, t) => {
        const chord = chordThrough(target, p, k);
        if (!chord) {
          expect(target.contains(p)).toBe(false);
          return;
        }
        const span = chord[1] - chord[0];
        fc.pre(span > 1e-4);
        expect(target.contains(moved(p, k, chord[0] + (0.001 + 0.998 * t) * span))).toBe(true);
        expect(target.contains(moved(p, k, chord[0] - 0.002 * span - 1e-3))).toBe(false);
        expect(target.contains(moved(p, k, chord[1] + 0.002 * span + 1e-3))).toBe(false);
      }),
      { numRuns: 400 },
    );
  });

  test("as a gauge's band it agrees with the verdict: a value is outside the band just where its axis is off", () => {
    fc.assert(
      fc.property(point, (p) => {
        const membership = target.membership(p);
        const nearest = toVec(membership.nearest);
        const bands = gaugeBands(target, p, nearest);
        for (const k of [0, 1, 2] as const) {
          const band = bands[k];
          if (!band) continue;
          const gap = p[k] - nearest[k];
          if (gap < -1e-4) expect(band[0]).toBeCloseTo(nearest[k], 6);
          else if (gap > 1e-4) expect(band[1]).toBeCloseTo(nearest[k], 6);
          else {
            expect(p[k]).toBeGreaterThanOrEqual(band[0] - 1e-3);
            expect(p[k]).toBeLessThanOrEqual(band[1] + 1e-3);
          }
          expect(band[1]).toBeGreaterThanOrEqual(band[0]);
        }
      }),
      { numRuns: 300 },
    );
  });
});
