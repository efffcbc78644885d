import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { AXIS_SCALE } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { type CompiledTarget, compileTarget } from "../../../engine/targets/compile-target.ts";
import { type PlanePoint, projectTarget, sliceTarget } from "../../../engine/targets/outline.ts";
import { OUTLINE_TOLERANCE } from "../../../engine/tolerances.ts";
import type { TargetSpec, Vec3 } from "../../../engine/types.ts";
import { anyTarget, direction, pointsWithin } from "./arbitrary-targets.ts";

const PAIRS = [
  [0, 1],
  [0, 2],
  [2, 1],
] as const;

/** How far (axis-scale units) a point lies outside a counter-clockwise polygon; ≤ 0 inside. */
function beyond(polygon: readonly PlanePoint[], p: PlanePoint, i: 0 | 1 | 2, j: 0 | 1 | 2): number {
  const s = (q: PlanePoint): PlanePoint => [q[0] / AXIS_SCALE[i], q[1] / AXIS_SCALE[j]];
  const [x, y] = s(p);
  let worst = -Infinity;
  polygon.forEach((corner, k) => {
    const a = s(corner);
    const b = s(polygon[(k + 1) % polygon.length]!);
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (length > 1e-9)
      worst = Math.max(worst, ((b[1] - a[1]) * (x - a[0]) - (b[0] - a[0]) * (y - a[1])) / length);
  });
  return worst;
}

function area(polygon: readonly PlanePoint[]): number {
  let sum = 0;
  polygon.forEach((a, k) => {
    const b = polygon[(k + 1) % polygon.length]!;
    sum += a[0] * b[1] - a[1] * b[0];
  });
  return sum / 2;
}

function compiled(spec: TargetSpec): CompiledTarget | null {
  try {
    return compileTarget(spec);
  } catch (error) {
    if (error instanceof EngineError && spec.kind === "intersection") return null;
    throw error;
  }
}

const manyDirections = fc.array(direction, { minLength: 12, maxLength: 12 });
const share = fc.double({ min: 0, max: 1, noNaN: true });
const RUNS = { numRuns: 150, seed: 7, endOnFailure: true };

describe("shadows", () => {
  test("every point of the region falls within its shadow, and every corner is the shadow of an inside point", () => {
    let seen = 0;
    fc.assert(
      fc.property(anyTarget, manyDirections, share, (spec, ds, t) => {
        const target = compiled(spec);
        if (!target) return;
        seen++;
        for (const [i, j] of PAIRS) {
          const polygon = projectTarget(target, i, j);
          const [low, high] = target.boundingBox;
          const flat = [i, j].some((k) => high[k] - low[k] < 1e-6);
          if (!flat) expect(polygon.length).toBeGreaterThanOrEqual(3);
          for (const p of [...pointsWithin(target, ds, 1), ...pointsWithin(target, ds, t)]) {
            expect(beyond(polygon, [p[i], p[j]], i, j)).toBeLessThanOrEqual(OUTLINE_TOLERANCE + 1e-6);
          }
          for (const corner of polygon) expect(completes(target, corner, i, j)).toBeLessThanOrEqual(1e-6);
        }
      }),
      RUNS,
    );
    expect(seen).toBeGreaterThan(60);
  });
  test("a box's shadow is its rectangle; an ellipsoid's has the area π r² √det of the 2×2 covariance", () => {
    const box = compileTarget({
      kind: "box",
      sugarGPer100Ml: [6, 8],
      acidGPer100Ml: [0.6, 0.9],
      abvPercent: [15, 20],
    });
    expect(area(projectTarget(box, 0, 1))).toBeCloseTo(0.6, 9);
    const covariance = [
      [4, 0.3, 1],
      [0.3, 0.05, 0.1],
      [1, 0.1, 9],
    ] as const;
    const ellipsoid = compileTarget({ kind: "ellipsoid", mean: [8, 0.9, 18], covariance, radius: 1.5 });
    for (const [i, j] of PAIRS) {
      const exact = Math.PI * 2.25 * Math.sqrt(covariance[i][i] * covariance[j][j] - covariance[i][j] ** 2);
      const drawn = area(projectTarget(ellipsoid, i, j));
      expect(drawn).toBeLessThan(exact);
      expect(drawn / exact).toBeGreaterThan(0.995);
    }
  });
});

describe("slices", () => {
  test("a slice holds exactly the inside points of its plane", () => {
    let seen = 0;
    fc.assert(
      fc.property(anyTarget, manyDirections, share, (spec, ds, t) => {
        const target = compiled(spec);
        if (!target) return;
        for (const p of pointsWithin(target, ds.slice(0, 2), t)) {
          for (const [i, j] of PAIRS) {
            const third = (3 - i - j) as 0 | 1 | 2;
            const polygon = sliceTarget(target, i, j, p[third]);
            if (polygon.length < 3) {
              // Only where the plane no more than touches the region.
              expect(target.membership(p).signedDistance).toBeGreaterThan(-1e-3);
              continue;
            }
            seen++;
            expect(beyond(polygon, [p[i], p[j]], i, j)).toBeLessThanOrEqual(OUTLINE_TOLERANCE + 1e-6);
            for (const corner of polygon) {
              const q = [0, 0, 0];
              [q[i], q[j], q[third]] = [corner[0], corner[1], p[third]];
              expect(target.contains(q as unknown as Vec3, 1e-6)).toBe(true);
            }
          }
        }
      }),
      RUNS,
    );
    expect(seen).toBeGreaterThan(100);
  });
  test("a plane that misses the region gives no polygon", () => {
    const target = compileTarget({
      kind: "ellipsoid",
      mean: [8, 0.9, 18],
      covariance: [
        [1, 0, 0],
        [0, 0.01, 0],
        [0, 0, 1],
      ],
      radius: 1,
    });
    expect(sliceTarget(target, 0, 1, 19.01)).toEqual([]);
    expect(sliceTarget(target, 0, 1, 18.99).length).toBeGreaterThan(3);
    const box = compileTarget({ kind: "box", abvPercent: [15, 20] });
    expect(sliceTarget(box, 0, 1, 21)).toEqual([]);
  });
  test("bad axes and heights are refused", () => {
    const box = compileTarget({ kind: "box", abvPercent: [15, 20] });
    expect(() => sliceTarget(box, 0, 0, 16)).toThrow(EngineError);
    expect(() => projectTarget(box, 1, 1)).toThrow(EngineError);
    expect(() => sliceTarget(box, 0, 1, Number.NaN)).toThrow(EngineError);
  });
});

/** How far the best completion of a shadow corner on the third axis is from the region (convex search). */
function completes(target: CompiledTarget, corner: PlanePoint, i: 0 | 1 | 2, j: 0 | 1 | 2): number {
  const third = (3 - i - j) as 0 | 1 | 2;
  const margin = (z: number) => {
    const q = [0, 0, 0];
    [q[i], q[j], q[third]] = [corner[0], corner[1], z];
    return target.margin(q as unknown as Vec3);
  };
  let [low, high] = [target.boundingBox[0][third], target.boundingBox[1][third]];
  for (let k = 0; k < 200; k++) {
    const [a, b] = [low + (high - low) / 3, high - (high - low) / 3];
    if (margin(a) < margin(b)) high = b;
    else low = a;
  }
  return margin((low + high) / 2);
}
