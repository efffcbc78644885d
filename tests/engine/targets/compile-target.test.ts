import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { AXIS_SCALE, scaledDistance, toVec } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { dot3, subtract3 } from "../../../engine/linalg.ts";
import { type CompiledTarget, compileTarget } from "../../../engine/targets/compile-target.ts";
import type { TargetSpec, Vec3 } from "../../../engine/types.ts";
import { anyTarget, direction, drinkPoint, ellipsoidTarget, pointsWithin } from "./arbitrary-targets.ts";

const scale = (p: Vec3): Vec3 => [p[0] / AXIS_SCALE[0], p[1] / AXIS_SCALE[1], p[2] / AXIS_SCALE[2]];

/** Compile, or null for an intersection that happens to be empty. */
function compiled(spec: TargetSpec): CompiledTarget | null {
  try {
    return compileTarget(spec);
  } catch (error) {
    if (error instanceof EngineError && spec.kind === "intersection") return null;
    throw error;
  }
}

const RUNS = { numRuns: 300, seed: 20240501, endOnFailure: true };

describe("geometry, for random boxes, ellipsoids, ratio bands, half-spaces and intersections", () => {
  test("signed distance is positive exactly outside; the centre is inside", () => {
    let nonEmpty = 0;
    fc.assert(
      fc.property(anyTarget, drinkPoint, (spec, p) => {
        const target = compiled(spec);
        if (!target) return;
        nonEmpty++;
        const m = target.membership(p);
        expect(m.signedDistance > 0).toBe(!target.contains(p));
        expect(m.inside).toBe(target.contains(p));
        expect(m.violations.length > 0).toBe(!m.inside);
        expect(target.contains(target.centre)).toBe(true);
        expect(target.margin(p)).toBeLessThanOrEqual(m.signedDistance + 1e-9);
        expect(target.margin(p) > 1e-9).toBe(!m.inside);
        if (m.inside) expect(target.margin(p)).toBeCloseTo(m.signedDistance, 9);
      }),
      RUNS,
    );
    expect(nonEmpty).toBeGreaterThan(150);
  });

  test("outside: the nearest point is inside, and no point of the region makes an acute angle beyond it", () => {
    let outside = 0;
    fc.assert(
      fc.property(
        anyTarget,
        drinkPoint,
        fc.array(direction, { minLength: 12, maxLength: 12 }),
        (spec, p, ds) => {
          const target = compiled(spec);
          if (!target || target.contains(p)) return;
          outside++;
          const m = target.membership(p);
          const nearest = toVec(m.nearest);
          expect(target.contains(nearest, 1e-7)).toBe(true);
          expect(scaledDistance(p, nearest)).toBeCloseTo(m.signedDistance, 12);
          // x is the projection of p onto a convex set iff (p − x)·(y − x) ≤ 0 for every y in the set.
          const away = scale(subtract3(p, nearest));
          for (const y of pointsWithin(target, [...ds, away], 1)) {
            expect(dot3(away, scale(subtract3(y, nearest)))).toBeLessThanOrEqual(1e-6);
          }
        },
      ),
      RUNS,
    );
    expect(outside).toBeGreaterThan(60);
  });

  test("inside: a ball of the signed distance fits, and a slightly larger one does not", () => {
    let inside = 0;
    fc.assert(
      fc.property(
        anyTarget,
        fc.array(direction, { minLength: 8, maxLength: 8 }),
        fc.double({ min: 0, max: 0.99, noNaN: true }),
        (spec, ds, share) => {
          const target = compiled(spec);
          if (!target) return;
          for (const p of pointsWithin(target, ds.slice(0, 2), share)) {
            inside++;
            const depth = -target.membership(p).signedDistance;
            for (const d of ds) {
              const length = Math.hypot(...d);
              if (length < 1e-3) continue;
              const step = (0.999999 * depth) / length;
              const q: Vec3 = [
                p[0] + step * d[0] * AXIS_SCALE[0],
                p[1] + step * d[1] * AXIS_SCALE[1],
                p[2] + step * d[2] * AXIS_SCALE[2],
              ];
              expect(target.contains(q, 1e-8)).toBe(true);
            }
            expect(leavesBeyond(target, p, depth)).toBe(true);
          }
        },
      ),
      RUNS,
    );
    expect(inside).toBeGreaterThan(80);
  });

  test("the bounding box holds the region and is touched on each side", () => {
    fc.assert(
      fc.property(anyTarget, fc.array(direction, { minLength: 8, maxLength: 8 }), (spec, ds) => {
        const target = compiled(spec);
        if (!target) return;
        const [low, high] = target.boundingBox;
        for (const y of pointsWithin(target, ds, 1)) {
          for (const k of [0, 1, 2] as const) {
            expect(y[k]).toBeGreaterThanOrEqual(low[k] - 1e-6);
            expect(y[k]).toBeLessThanOrEqual(high[k] + 1e-6);
          }
        }
        for (const k of [0, 1, 2] as const) {
          const unit = [0, 0, 0];
          unit[k] = 1;
          const top = target.support(unit as unknown as Vec3);
          expect(target.contains(top, 1e-6)).toBe(true);
          expect(top[k]).toBeCloseTo(high[k], 6);
        }
      }),
      { ...RUNS, numRuns: 100 },
    );
  });
});

/** Whether some direction leaves the region within the distance: along the faces' normals and a fine fan. */
function leavesBeyond(target: CompiledTarget, p: Vec3, depth: number): boolean {
  const u = scale(p);
  const directions: Vec3[] = target.scaled.ownPlanes.map((plane) => plane.normal);
  for (const e of target.scaled.ellipsoids) {
    // Follow the surface normal from the point to the surface and back: a fixed point is the nearest point.
    for (const start of [
      ...e.directions,
      ...e.directions.map((d): Vec3 => [-d[0], -d[1], -d[2]]),
      subtract3(u, e.mean),
    ]) {
      let d: Vec3 = start;
      for (let k = 0; k < 400; k++) {
        const length = Math.hypot(...d);
        if (!(length > 0)) break;
        const n: Vec3 = [d[0] / length, d[1] / length, d[2] / length];
        // Distance along n to the surface.
        const gauge = (a: Vec3, b: Vec3) => e.gauge.reduce((sum, row, i) => sum + a[i]! * dot3(row, b), 0);
        const o = subtract3(u, e.mean);
        const [A, B, C] = [gauge(n, n), gauge(n, o), gauge(o, o) - 1];
        const t = (-B + Math.sqrt(Math.max(B * B - A * C, 0))) / A;
        const x: Vec3 = [o[0] + t * n[0], o[1] + t * n[1], o[2] + t * n[2]];
        directions.push(n);
        const grad: Vec3 = [dot3(e.gauge[0], x), dot3(e.gauge[1], x), dot3(e.gauge[2], x)];
        const size = Math.hypot(...grad);
        // Blend toward the normal: damped, so it settles on the nearest point and not across from it.
        d = [n[0] + (0.5 * grad[0]) / size, n[1] + (0.5 * grad[1]) / size, n[2] + (0.5 * grad[2]) / size];
      }
    }
  }
  const reach = depth + 1e-4 * (1 + depth);
  return directions.some((d) => {
    const q: Vec3 = [
      p[0] + reach * d[0] * AXIS_SCALE[0],
      p[1] + reach * d[1] * AXIS_SCALE[1],
      p[2] + reach * d[2] * AXIS_SCALE[2],
    ];
    return !target.contains(q, 0);
  });
}

describe("the centre", () => {
  test("is the midpoint of a box and the mean of an ellipsoid", () => {
    const box = compileTarget({
      kind: "box",
      sugarGPer100Ml: [6, 9],
      acidGPer100Ml: [0.6, 1],
      abvPercent: [14, 20],
    });
    box.centre.forEach((x, k) => {
      expect(x).toBeCloseTo([7.5, 0.8, 17][k]!, 9);
    });
    fc.assert(
      fc.property(ellipsoidTarget, (spec) => {
        if (spec.kind !== "ellipsoid") return;
        compileTarget(spec).centre.forEach((x, k) => {
          expect(x).toBeCloseTo(spec.mean[k]!, 9);
        });
      }),
      { numRuns: 30 },
    );
  });
  test("distance to it leaves out the axes a target says nothing about", () => {
    const target = compileTarget({ kind: "box", sugarGPer100Ml: [6, 8] });
    expect(target.centreDistance([7, 0.1, 3])).toBeCloseTo(0, 12);
    expect(target.centreDistance([9, 0.1, 40])).toBeCloseTo(1, 12);
  });
});

describe("words", () => {
  const text = (spec: TargetSpec, p: Vec3) => compileTarget(spec).membership(p).text;
  const box: TargetSpec = {
    kind: "box",
    name: "my range",
    sugarGPer100Ml: [6, 8],
    acidGPer100Ml: [0.6, 0.9],
    abvPercent: [15, 20],
  };
  test("a box says which side of which axis, in its unit", () => {
    expect(text(box, [9.2, 0.29, 11.6])).toBe(
      "Outside my range: sugar 1.2 over, acid 0.31 short, ABV 3.4 % short.",
    );
    const m = compileTarget(box).membership([9.2, 0.29, 11.6]);
    expect(m.violations.map((v) => [v.face, v.unit])).toEqual([
      ["sugar-ceiling", "g/100 mL"],
      ["acid-floor", "g/100 mL"],
      ["abv-floor", "% vol"],
    ]);
    expect(m.violations.map((v) => v.by)).toEqual([
      expect.closeTo(1.2, 9),
      expect.closeTo(0.31, 9),
      expect.closeTo(3.4, 9),
    ]);
  });
  test("a ratio band speaks in ratios, and without acid in acid", () => {
    const band: TargetSpec = { kind: "ratio", min: 8, max: 10 };
    expect(text(band, [5.9, 1, 20])).toBe("Outside the ratio band: sugar:acid ratio 2.1 under the band.");
    expect(text(band, [6, 0.5, 20])).toBe("Outside the ratio band: sugar:acid ratio 2.0 over the band.");
    expect(text(band, [6, 0, 20])).toContain("acid 0.60 short");
  });
  test("an ellipsoid names the axes that pull it out, with the gap to the nearest point", () => {
    const target = compileTarget({
      kind: "ellipsoid",
      name: "sours",
      mean: [8, 0.8, 18],
      covariance: [
        [4, 0, 0],
        [0, 0.04, 0],
        [0, 0, 9],
      ],
      radius: 1,
    });
    const m = target.membership([8, 0.3, 18]);
    expect(m.text).toBe("Outside sours: acid 0.30 short.");
    expect(m.mahalanobis).toBeCloseTo(2.5, 12);
    expect(m.signedDistance).toBeCloseTo(1.5, 12);
    expect(target.membership([8, 0.7, 18]).text).toBe("Inside sours: acid can fall 0.10 before it leaves.");
  });
  test("a gap too small for its decimals is not called zero", () => {
    expect(text(box, [8.004, 0.7, 17])).toBe("Outside my range: sugar 0.004 over.");
  });
  test("faces repeated in an intersection get ids of their own, parallel faces keep the tighter", () => {
    const twice: TargetSpec = {
      kind: "intersection",
      parts: [
        box,
        { kind: "box", sugarGPer100Ml: [7, null] },
        { kind: "half-space", normal: [1, -8, 0], offset: 3 },
        { kind: "half-space", normal: [1, -9, 0], offset: 2 },
      ],
    };
    const faces = compileTarget(twice).halfSpaces;
    expect(faces.map((f) => f.id)).toEqual([
      "sugar-floor",
      "sugar-ceiling",
      "acid-floor",
      "acid-ceiling",
      "abv-floor",
      "abv-ceiling",
      "half-space",
      "half-space-2",
    ]);
    expect(faces[0]!.offset).toBe(-7);
    expect(new Set(faces.map((f) => f.id)).size).toBe(faces.length);
  });
});

describe("what cannot be a target is an error that names the field and the remedy", () => {
  const issuesOf = (spec: unknown, pointer?: string) => {
    try {
      compileTarget(spec as TargetSpec, pointer);
    } catch (error) {
      if (error instanceof EngineError) return error.issues;
      throw error;
    }
    throw new Error("compiled");
  };
  const ellipsoid = {
    kind: "ellipsoid",
    mean: [8, 0.8, 18],
    covariance: [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ],
    radius: 2,
  };
  test.each([
    ["an upside-down band", { kind: "box", sugarGPer100Ml: [8, 6] }, "/sugarGPer100Ml/0"],
    ["NaN in a band", { kind: "box", acidGPer100Ml: [Number.NaN, 1] }, "/acidGPer100Ml/0"],
    ["a box of nothing", { kind: "box" }, ""],
    ["a band of one end", { kind: "box", abvPercent: [3] }, "/abvPercent/0"],
    ["a negative ratio", { kind: "ratio", min: -1, max: 4 }, "/min"],
    ["a ratio without ends", { kind: "ratio", min: null, max: null }, "/min"],
    ["a zero direction", { kind: "half-space", normal: [0, 0, 0], offset: 1 }, "/normal"],
    ["a short direction", { kind: "half-space", normal: [1, 2], offset: 1 }, "/normal"],
    [
      "a correlation above one",
      {
        ...ellipsoid,
        covariance: [
          [1, 2, 0],
          [2, 1, 0],
          [0, 0, 1],
        ],
      },
      "/covariance",
    ],
    [
      "a lopsided covariance",
      {
        ...ellipsoid,
        covariance: [
          [1, 0.5, 0],
          [0.2, 1, 0],
          [0, 0, 1],
        ],
      },
      "/covariance/0/1",
    ],
    [
      "no variance on an axis",
      {
        ...ellipsoid,
        covariance: [
          [1, 0, 0],
          [0, 0, 0],
          [0, 0, 1],
        ],
      },
      "/covariance",
    ],
    ["a radius of zero", { ...ellipsoid, radius: 0 }, "/radius"],
    ["an infinite mean", { ...ellipsoid, mean: [Infinity, 1, 1] }, "/mean/0"],
    ["an unknown kind", { kind: "sphere" }, "/kind"],
    ["no parts", { kind: "intersection", parts: [] }, "/parts"],
    [
      "a bad part",
      { kind: "intersection", parts: [ellipsoid, { kind: "ratio", min: "x", max: 2 }] },
      "/parts/1/min",
    ],
    ["a target below zero", { kind: "box", sugarGPer100Ml: [null, -1] }, ""],
    ["not an object", null, ""],
  ])("%s", (_what, spec, pointer) => {
    const issues = issuesOf(spec, "/target");
    expect(issues.map((i) => i.pointer)).toContain(`/target${pointer}`);
    for (const issue of issues) expect(issue.remedy.length).toBeGreaterThan(5);
  });
  test("several bad fields are reported together", () => {
    expect(
      issuesOf({ ...ellipsoid, mean: [1, Number.NaN, 1], radius: Number.NaN }).map((i) => i.pointer),
    ).toEqual(["/mean/1", "/radius"]);
  });
  test("an empty intersection names the parts in conflict and no others", () => {
    const issues = issuesOf({
      kind: "intersection",
      name: "wish",
      parts: [
        { ...ellipsoid, name: "round one" },
        { kind: "box", name: "strong", abvPercent: [30, null] },
        { kind: "ratio", name: "dry", min: 2, max: 30 },
      ],
    });
    expect(issues[0]!.detail).toBe("no drink is in all of wish: round one and strong have no room in common");
  });
  test("a conflict of three parts, each two of which agree, names all three", () => {
    const issues = issuesOf({
      kind: "intersection",
      parts: [
        { kind: "box", name: "sweet", sugarGPer100Ml: [10, null] },
        { kind: "box", name: "soft", acidGPer100Ml: [null, 0.8] },
        { kind: "ratio", name: "sharp", min: null, max: 8 },
        { kind: "box", name: "light", abvPercent: [null, 12] },
      ],
    });
    expect(issues[0]!.detail).toContain("sweet, soft and sharp have no room");
  });
  test("a hundred parallel boxes are fine; too many slanted faces are refused quickly", () => {
    const boxes: TargetSpec[] = Array.from({ length: 100 }, (_, i) => ({
      kind: "box",
      sugarGPer100Ml: [4 - i * 0.01, 8 + i * 0.01],
    }));
    expect(compileTarget({ kind: "intersection", parts: boxes }).halfSpaces).toHaveLength(2);
    const slanted = Array.from({ length: 60 }, (_, i) => ({
      kind: "half-space",
      normal: [Math.cos(i), 8 * Math.sin(i), 0.1],
      offset: 40,
    }));
    expect(issuesOf({ kind: "intersection", parts: slanted })[0]!.detail).toContain("60 flat faces");
  });
  test("membership of a NaN point is an error", () => {
    expect(() => compileTarget({ kind: "ratio", min: 1, max: 2 }).membership([Number.NaN, 1, 1])).toThrow(
      "/sugarGPer100Ml",
    );
  });
});
