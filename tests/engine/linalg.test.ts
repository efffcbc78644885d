import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { EngineError } from "../../engine/errors.ts";
import {
  cholesky3,
  dot3,
  eigenSymmetric3,
  invert3,
  matMul3,
  matVec3,
  quadForm,
  rankAndCondition,
  rescale3,
  solveLinear,
  solvePositiveDefinite,
  squareRootColumns3,
  transpose3,
} from "../../engine/linalg.ts";
import type { Mat3, Vec3 } from "../../engine/types.ts";

const coordinate = fc.double({ min: -5, max: 5, noNaN: true });
const vec3 = fc.tuple(coordinate, coordinate, coordinate);
const mat3 = fc.tuple(vec3, vec3, vec3);
/** A Aᵀ + I/2: positive definite with eigenvalues at least 1/2. */
const positive = mat3.map((a): Mat3 => {
  const m = matMul3(a, transpose3(a));
  const bump = (i: number): Vec3 => m[i]!.map((x, j) => x + (i === j ? 0.5 : 0)) as unknown as Vec3;
  return [bump(0), bump(1), bump(2)];
});

const close = (a: Mat3, b: Mat3, tolerance: number) =>
  a.forEach((row, i) => {
    row.forEach((x, j) => {
      expect(Math.abs(x - b[i]![j]!)).toBeLessThanOrEqual(tolerance);
    });
  });
const IDENTITY: Mat3 = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** Rank 2; the library's QR calls it full rank (found by running ml-matrix 6.15.1). */
const RANK_TWO = [
  [0.1, 0.2, 0.3],
  [0.4, 0.5, 0.6],
  [0.7, 0.8, 0.9],
];

describe("rank and solvability", () => {
  test("a matrix whose third row is a mix of the others has rank 2 and no condition number", () => {
    expect(rankAndCondition(RANK_TWO)).toEqual({ rank: 2, condition: Infinity });
  });
  test("scaling a matrix does not change its rank", () => {
    for (const s of [1e-12, 1, 1e12]) {
      expect(rankAndCondition(RANK_TWO.map((row) => row.map((x) => x * s))).rank).toBe(2);
      expect(rankAndCondition(IDENTITY.map((row) => row.map((x) => x * s))).rank).toBe(3);
    }
  });
  test("a wide matrix and a zero matrix have ranks too", () => {
    expect(rankAndCondition([[1, 2, 3, 4]]).rank).toBe(1);
    expect(
      rankAndCondition([
        [0, 0],
        [0, 0],
      ]).rank,
    ).toBe(0);
  });
  test("a singular system has no answer rather than any answer", () => {
    expect(solveLinear(RANK_TWO, [1, 2, 4])).toBeNull();
    expect(invert3(RANK_TWO as unknown as Mat3)).toBeNull();
  });
  test("a NaN entry is an error that names it", () => {
    expect(() => rankAndCondition([[1, Number.NaN]])).toThrow(EngineError);
    expect(() => solveLinear([[1]], [Number.NaN])).toThrow("/b/0");
  });
});

describe("decompositions multiply back", () => {
  test("L Lᵀ is the matrix, and L is lower triangular", () => {
    fc.assert(
      fc.property(positive, (m) => {
        const l = cholesky3(m)!;
        close(matMul3(l, transpose3(l)), m, 1e-9);
        expect([l[0][1], l[0][2], l[1][2]]).toEqual([0, 0, 0]);
      }),
    );
  });
  test("an indefinite matrix has no Cholesky factor", () => {
    expect(
      cholesky3([
        [1, 2, 0],
        [2, 1, 0],
        [0, 0, 1],
      ]),
    ).toBeNull();
  });
  test("eigenvectors are orthonormal, ascending, and satisfy m v = λ v", () => {
    fc.assert(
      fc.property(positive, (m) => {
        const { values, vectors } = eigenSymmetric3(m);
        close(matMul3(vectors, transpose3(vectors)), IDENTITY, 1e-9);
        expect(values[0] <= values[1] && values[1] <= values[2]).toBe(true);
        vectors.forEach((v, k) => {
          matVec3(m, v).forEach((x, i) => {
            expect(Math.abs(x - values[k]! * v[i]!)).toBeLessThan(1e-9 * Math.max(1, values[2]));
          });
        });
      }),
    );
  });
  test("square-root columns rebuild the matrix, singular ones too", () => {
    const rebuild = (m: Mat3) => {
      const c = squareRootColumns3(m);
      return matMul3(transpose3(c), c);
    };
    fc.assert(fc.property(positive, (m) => close(rebuild(m), m, 1e-9)));
    const flat: Mat3 = [
      [4, 2, 0],
      [2, 1, 0],
      [0, 0, 0],
    ];
    close(rebuild(flat), flat, 1e-12);
  });
});

describe("solvers agree", () => {
  test("LDLᵀ, SVD and inverse give the same solution of a positive definite system", () => {
    fc.assert(
      fc.property(positive, vec3, (m, b) => {
        const x = solvePositiveDefinite(m, b);
        const y = solveLinear(m, b)!;
        const z = matVec3(invert3(m)!, b);
        for (const i of [0, 1, 2]) {
          expect(x[i]).toBeCloseTo(y[i]!, 8);
          expect(x[i]).toBeCloseTo(z[i]!, 8);
        }
      }),
    );
  });
  test("a quadratic form in rescaled axes is the form of the rescaled vector", () => {
    fc.assert(
      fc.property(positive, vec3, vec3, (m, v, d) => {
        const scaled: Vec3 = [v[0] * d[0], v[1] * d[1], v[2] * d[2]];
        expect(quadForm(rescale3(m, d), v)).toBeCloseTo(quadForm(m, scaled), 6);
        expect(quadForm(m, v)).toBeCloseTo(dot3(v, matVec3(m, v)), 12);
      }),
    );
  });
});
