import { createRequire } from "node:module";
import { describe, expect, test } from "vitest";
import { type Derivative, integrate } from "../../../engine/physics/integrate.ts";

interface Odex {
  absoluteTolerance: number;
  relativeTolerance: number;
  solve(f: (x: number, y: number[]) => number[], from: number, start: number[], to: number): { y: number[] };
}

/**
 * Hairer's extrapolation code in JavaScript: another method, another author. Required, not imported: it ships
 * sources that our compiler would check.
 */
const require = createRequire(import.meta.url);
const { Solver } = require("odex") as { Solver: new (n: number) => Odex };
const hairer = (n: number): Odex => {
  const solver = new Solver(n);
  solver.absoluteTolerance = 1e-11;
  solver.relativeTolerance = 1e-11;
  return solver;
};

const cosine: Derivative = (t, _y, out) => out.set([Math.cos(t)]);

describe("Runge–Kutta 5(4)", () => {
  test("decay and rotation against their closed forms", () => {
    const times = [0, 0.5, 1, 3, 7];
    const found = integrate(
      (_t, y, out) => {
        out[0] = -y[0]!;
        out[1] = y[2]!;
        out[2] = -y[1]!;
      },
      [1, 0, 1],
      times,
      [1e-10, 1e-10, 1e-10],
    );
    times.forEach((t, k) => {
      expect(found[k]![0]).toBeCloseTo(Math.exp(-t), 8);
      expect(found[k]![1]).toBeCloseTo(Math.sin(t), 8);
      expect(found[k]![2]).toBeCloseTo(Math.cos(t), 8);
    });
  });

  test("the three bodies' Arenstorf orbit (Hairer, Nørsett and Wanner) against the registry's extrapolation code", () => {
    const mu = 0.012277471;
    const field = (y: ArrayLike<number>) => {
      const [a, b] = [(y[0]! + mu) ** 2 + y[1]! ** 2, (y[0]! - 1 + mu) ** 2 + y[1]! ** 2].map(
        (d) => d ** 1.5,
      );
      return [
        y[2]!,
        y[3]!,
        y[0]! + 2 * y[3]! - ((1 - mu) * (y[0]! + mu)) / a! - (mu * (y[0]! - 1 + mu)) / b!,
        y[1]! - 2 * y[2]! - ((1 - mu) * y[1]!) / a! - (mu * y[1]!) / b!,
      ];
    };
    const start = [0.994, 0, 0, -2.001585106379082];
    const theirs = hairer(4).solve((_x, y) => field(y), 0, start, 3).y;
    const [, ours] = integrate(
      (_t, y, out) => out.set(field(y)),
      start,
      [0, 3],
      [1e-11, 1e-11, 1e-11, 1e-11],
    );
    for (let i = 0; i < 4; i += 1) expect(ours![i]).toBeCloseTo(theirs[i]!, 5);
  });

  test("asked for less error it makes less, and equal times give the start back", () => {
    const error = (tolerance: number) =>
      Math.abs(integrate(cosine, [0], [0, 10], [tolerance])[1]![0]! - Math.sin(10));
    expect(error(1e-9)).toBeLessThan(error(1e-3) + 1e-12);
    expect(error(1e-9)).toBeLessThan(1e-7);
    expect(integrate(cosine, [4], [2, 2], [1e-6])[1]![0]).toBe(4);
  });

  test("a system too stiff for it ends with an error, not in a loop", () => {
    const stiff: Derivative = (_t, y, out) => out.set([-1e9 * y[0]!]);
    expect(() => integrate(stiff, [1], [0, 1e3], [1e-9])).toThrow("no end");
  });
});
