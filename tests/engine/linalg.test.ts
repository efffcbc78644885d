import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { EngineError } from "../../engine/errors.ts";
import {
  dot3,
  eigenSymmetric3,
  invert3,
  mat3,
  matVec3,
  quadForm,
  rescale3,
  solveLinear,
  solvePositiveDefinite,
} from "../../engine/linalg.ts";
import type { Mat3, Vec3 } from "../../engine/types.ts";
import { squareRootColumns3 } from "./square-root-columns.ts";

const coordinate = fc.double({ min: -5, max: 5, noNaN: true });
const vec3 = fc.tuple(coordinate, coordinate, coordinate);
const matrix = fc.tuple(vec3, vec3, vec3);

const transpose = (m: Mat3) => mat3((i, j) => m[j][i]);
const product = (a: Mat3, b: Mat3) => mat3((i, j) => dot3(a[i], transpose(b)[j]));

/** A Aᵀ + I/2: positive definite with eigenvalues at least 1/2. */
const positive = matrix.map((a) => {
  const m = product(a, transpose(a));
  return mat3((i, j) => m[i][j] + (i === j ? 0.5 : 0));
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
const RANK_TWO: Mat3 = [
  [0.1, 0.2, 0.3],
  [0.4, 0.5, 0.6],
  [0.7, 0.8, 0.9],
];

describe("rank and solvability", () => {
  test("a singular system has no answer rather than any answer", () => {
    for (const scale of [1e-12, 1, 1e12]) {
      const rows = RANK_TWO.map((row) => row.map((x) => x * scale));
      expect(solveLinear(rows, [1, 2, 4])).toBeNull();
      expect(
        solveLinear(
          IDENTITY.map((row) => row.map((x) => x * scale)),
          [1, 2, 4],
        ),
      ).not.toBeNull();
    }
    expect(invert3(RANK_TWO)).toBeNull();
  });
  test("a NaN entry is an error that names it", () => {
    expect(() => solveLinear([[Number.NaN]], [1])).toThrow(EngineError);
    expect(() => solveLinear([[1]], [Number.NaN])).toThrow("/b/0");
  });
});

describe("decompositions multiply back", () => {
  test("eigenvectors are orthonormal, ascending, and satisfy m v = λ v", () => {
    fc.assert(
      fc.property(positive, (m) => {
        const { values, vectors } = eigenSymmetric3(m);
        close(product(vectors, transpose(vectors)), IDENTITY, 1e-9);
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
      return product(transpose(c), c);
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
