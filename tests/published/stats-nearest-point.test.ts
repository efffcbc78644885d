/**
 * The nearest point of a flat-faced target against a general-purpose quadratic program solver, quadprog 1.6.1
 * (the method of D. Goldfarb and A. Idnani, Mathematical Programming 27, 1983) from the npm registry.
 */
import fc from "fast-check";
// @ts-expect-error the package has no types
import quadprog from "quadprog";
import { expect, test } from "vitest";
import { AXIS_SCALE, toVec } from "../../engine/axes.ts";
import { EngineError } from "../../engine/errors.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import type { TargetSpec } from "../../engine/types.ts";
import { boxTarget, drinkPoint, halfSpaceTarget, ratioTarget } from "../engine/targets/arbitrary-targets.ts";

const flatTarget = fc
  .array(fc.oneof(boxTarget, ratioTarget, halfSpaceTarget), { minLength: 1, maxLength: 4 })
  .map((parts): TargetSpec => ({ kind: "intersection", parts }));

test("same point, and same verdict when there is none, on random flat targets", () => {
  let points = 0;
  let empty = 0;
  let knifeEdge = 0;
  fc.assert(
    fc.property(flatTarget, drinkPoint, (spec, p) => {
      // quadprog is 1-based: minimise ½xᵀDx − dᵀx with Aᵀx ≥ b. Scaled axes; physical range as box rows.
      const rows: { a: number[]; b: number }[] = [];
      const caps = [160, 170, 100];
      for (const k of [0, 1, 2]) {
        rows.push({ a: [0, 1, 2].map((i) => (i === k ? 1 : 0)), b: 0 });
        rows.push({ a: [0, 1, 2].map((i) => (i === k ? -1 : 0)), b: -caps[k]! / AXIS_SCALE[k]! });
      }
      const faces = facesOf(spec);
      for (const f of faces) {
        const a = f.normal.map((x, k) => -x * AXIS_SCALE[k]!);
        const size = Math.hypot(...a);
        rows.push({ a: a.map((x) => x / size), b: -f.offset / size });
      }
      const D = [[], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]] as number[][];
      const d = [0, ...p.map((x, k) => x / AXIS_SCALE[k]!)];
      const A = [[], ...[0, 1, 2].map((k) => [0, ...rows.map((r) => r.a[k]!)])] as number[][];
      const answer = quadprog.solveQP(D, d, A, [0, ...rows.map((r) => r.b)]);
      let nearest: readonly number[] | null = null;
      try {
        nearest = toVec(compileTarget(spec).membership(p).nearest);
      } catch (error) {
        if (!(error instanceof EngineError)) throw error;
      }
      // Its only sign of infeasibility is a message, and on faces that coincide it may answer NaN without one.
      if (answer.message !== "" || answer.solution.slice(1).some(Number.isNaN)) {
        if (nearest === null) {
          empty++;
          return;
        }
        // It calls some regions without thickness infeasible; a point that meets every row refutes that.
        knifeEdge++;
        const u = nearest.map((x, k) => x / AXIS_SCALE[k]!);
        for (const { a, b } of rows)
          expect(a.reduce((sum, x, k) => sum + x * u[k]!, -b)).toBeGreaterThan(-2e-9);
        return;
      }
      if (nearest === null) {
        // Our one departure: ratio bands that meet only where there is no acid hold no ratio. Their highest
        // acid, found by projecting a point of all acid, must then be zero (to its tolerance).
        expect(JSON.stringify(spec)).toContain('"ratio"');
        const sour = quadprog.solveQP(D, [0, 0, 1e4, 0], A, [0, ...rows.map((r) => r.b)]);
        expect(Math.abs(sour.solution[2]!)).toBeLessThan(1e-5);
        return;
      }
      points++;
      nearest.forEach((x, k) => {
        expect(Math.abs(x / AXIS_SCALE[k]! - answer.solution[k + 1]!)).toBeLessThan(1e-6);
      });
    }),
    { numRuns: 2000, seed: 99 },
  );
  expect(points).toBeGreaterThan(100);
  expect(empty).toBeGreaterThan(20);
  expect(knifeEdge).toBeLessThan(10);
});

/** Half-spaces straight from the spec, not from the code under test. */
function facesOf(spec: TargetSpec): { normal: readonly number[]; offset: number }[] {
  switch (spec.kind) {
    case "intersection":
      return spec.parts.flatMap(facesOf);
    case "half-space":
      return [spec];
    case "ratio":
      return [
        ...(spec.min === null ? [] : [{ normal: [-1, spec.min, 0], offset: 0 }]),
        ...(spec.max === null ? [] : [{ normal: [1, -spec.max, 0], offset: 0 }]),
      ];
    case "box":
      return [spec.sugarGPer100Ml, spec.acidGPer100Ml, spec.abvPercent].flatMap((band, k) => {
        const unit = (sign: number) => [0, 1, 2].map((i) => (i === k ? sign : 0));
        const [low, high] = band ?? [null, null];
        return [
          ...(low === null ? [] : [{ normal: unit(-1), offset: -low }]),
          ...(high === null ? [] : [{ normal: unit(1), offset: high }]),
        ];
      });
    case "ellipsoid":
      throw new Error("flat targets only");
  }
}
