import { solvePositiveDefinite } from "../linalg.ts";
import { DUALITY_GAP, MAX_ITERATIONS } from "../tolerances.ts";

/** One smooth convex constraint value(u) ≤ 0 in a space of two to four dimensions. */
export interface Constraint {
  value(u: readonly number[]): number;
  gradient(u: readonly number[]): number[];
  /** Constant second derivative; null for a flat face. */
  hessian: readonly (readonly number[])[] | null;
}

/** normal · u ≤ offset. */
export function flat(normal: readonly number[], offset: number): Constraint {
  return { value: (u) => inner(normal, u) - offset, gradient: () => [...normal], hessian: null };
}

/**
 * (u − mean)ᵀ gauge (u − mean) ≤ 1, written as (length²/2)(gauge − 1) with `length` the shortest semi-axis,
 * so that its value near the surface is about a distance, like a flat face's.
 */
export function curved(
  mean: readonly number[],
  gauge: readonly (readonly number[])[],
  length: number,
): Constraint {
  const half = 0.5 * length * length;
  const moved = (u: readonly number[]) => {
    const d = u.map((x, i) => x - mean[i]!);
    return { d, g: gauge.map((row) => inner(row, d)) };
  };
  return {
    value: (u) => {
      const { d, g } = moved(u);
      return half * (inner(d, g) - 1);
    },
    gradient: (u) => moved(u).g.map((x) => 2 * half * x),
    hessian: gauge.map((row) => row.map((x) => 2 * half * x)),
  };
}

/** Minimise ½·pull·|u − towards|² + linear·u. */
export interface Objective {
  pull: 0 | 1;
  towards: readonly number[];
  linear: readonly number[];
}

/** `gap` bounds objective − optimum; `residual` is the largest entry of the Lagrangian's gradient. */
export interface ProgramResult {
  point: number[];
  multipliers: number[];
  gap: number;
  residual: number;
}

/**
 * Primal-dual interior-point method for a convex program with flat and ellipsoidal constraints, from a
 * strictly feasible start (Boyd and Vandenberghe, Convex Optimization, 2004, section 11.7).
 */
export function minimise(
  objective: Objective,
  constraints: readonly Constraint[],
  start: readonly number[],
): ProgramResult {
  const n = start.length;
  const m = constraints.length;
  let u = [...start];
  let f = constraints.map((c) => c.value(u));
  let lambda = f.map((value) => 1 / Math.max(-value, 1e-12));
  let best: ProgramResult | null = null;

  const stationarity = (point: readonly number[], multipliers: readonly number[]) => {
    const r = point.map((x, i) => objective.pull * (x - objective.towards[i]!) + objective.linear[i]!);
    constraints.forEach((c, i) => {
      const g = c.gradient(point);
      for (let k = 0; k < n; k++) r[k]! += multipliers[i]! * g[k]!;
    });
    return r;
  };

  for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
    const gap = -inner(f, lambda);
    const dual = stationarity(u, lambda);
    const residual = Math.max(...dual.map(Math.abs));
    if (best === null || gap + residual < best.gap + best.residual) {
      best = { point: [...u], multipliers: [...lambda], gap, residual };
    }
    if (gap < DUALITY_GAP && residual < Math.sqrt(DUALITY_GAP) * 1e-3) break;
    const centring = gap / (10 * m);

    const matrix = zeros(n);
    const right = u.map((x, i) => -(objective.pull * (x - objective.towards[i]!) + objective.linear[i]!));
    const gradients = constraints.map((c) => c.gradient(u));
    constraints.forEach((c, i) => {
      const g = gradients[i]!;
      const weight = lambda[i]! / -f[i]!;
      for (let r = 0; r < n; r++) {
        right[r]! -= (centring / -f[i]!) * g[r]!;
        for (let s = 0; s <= r; s++) {
          matrix[r]![s]! += weight * g[r]! * g[s]! + (c.hessian ? lambda[i]! * c.hessian[r]![s]! : 0);
        }
      }
    });
    for (let r = 0; r < n; r++) matrix[r]![r]! += objective.pull;
    const du = solvePositiveDefinite(matrix, right);
    const dLambda = gradients.map((g, i) => -lambda[i]! + (centring + lambda[i]! * inner(g, du)) / -f[i]!);

    let step = 1;
    dLambda.forEach((d, i) => {
      if (d < 0) step = Math.min(step, -lambda[i]! / d);
    });
    step *= 0.99;
    const merit = (point: readonly number[], values: readonly number[], multipliers: readonly number[]) =>
      Math.hypot(
        ...stationarity(point, multipliers),
        ...values.map((value, i) => -multipliers[i]! * value - centring),
      );
    const before = merit(u, f, lambda);
    let moved = false;
    for (let k = 0; k < 60; k++, step *= 0.5) {
      const point = u.map((x, i) => x + step * du[i]!);
      const values = constraints.map((c) => c.value(point));
      if (!values.every((value) => value < 0)) continue;
      const multipliers = lambda.map((x, i) => x + step * dLambda[i]!);
      if (merit(point, values, multipliers) > (1 - 0.01 * step) * before) continue;
      [u, f, lambda, moved] = [point, values, multipliers, true];
      break;
    }
    if (!moved) break;
  }
  return best!;
}

/**
 * The deepest point: minimises the largest constraint value. `worst` < 0 exactly when the constraints have a
 * common interior. The constraints must bound a region (the caller adds the physical range).
 */
export function deepest(
  constraints: readonly Constraint[],
  guess: readonly number[],
): { point: number[]; worst: number } {
  const n = guess.length;
  const lifted = constraints.map((c): Constraint => {
    const hessian = c.hessian && [...c.hessian.map((row) => [...row, 0]), new Array<number>(n + 1).fill(0)];
    return {
      value: (v) => c.value(v.slice(0, n)) - v[n]!,
      gradient: (v) => [...c.gradient(v.slice(0, n)), -1],
      hessian,
    };
  });
  const top = Math.max(...constraints.map((c) => c.value(guess)));
  const { point } = minimise(
    { pull: 0, towards: new Array<number>(n + 1).fill(0), linear: [...new Array<number>(n).fill(0), 1] },
    lifted,
    [...guess, top + 1],
  );
  const u = point.slice(0, n);
  return { point: u, worst: Math.max(...constraints.map((c) => c.value(u))) };
}

/** Analytic centre: maximises the product of the slacks, by damped Newton from a strictly feasible start. */
export function analyticCentre(constraints: readonly Constraint[], start: readonly number[]): number[] {
  const n = start.length;
  let u = [...start];
  const barrier = (point: readonly number[]) => {
    let sum = 0;
    for (const c of constraints) {
      const value = c.value(point);
      if (!(value < 0)) return Infinity;
      sum -= Math.log(-value);
    }
    return sum;
  };
  let height = barrier(u);
  for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
    const gradient = new Array<number>(n).fill(0);
    const matrix = zeros(n);
    for (const c of constraints) {
      const slack = -c.value(u);
      const g = c.gradient(u);
      for (let r = 0; r < n; r++) {
        gradient[r]! += g[r]! / slack;
        for (let s = 0; s <= r; s++) {
          matrix[r]![s]! += (g[r]! * g[s]!) / (slack * slack) + (c.hessian ? c.hessian[r]![s]! / slack : 0);
        }
      }
    }
    const du = solvePositiveDefinite(
      matrix,
      gradient.map((x) => -x),
    );
    const decrement = -inner(gradient, du);
    if (!(decrement > 1e-22)) break;
    let step = 1;
    let moved = false;
    for (let k = 0; k < 60; k++, step *= 0.5) {
      const point = u.map((x, i) => x + step * du[i]!);
      const value = barrier(point);
      // Close to the centre the barrier is flat to rounding: accept the full Newton step.
      if (value <= height - 0.1 * step * decrement || (decrement < 1e-8 && value < Infinity)) {
        [u, height, moved] = [point, value, true];
        break;
      }
    }
    if (!moved) break;
  }
  return u;
}

function inner(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

function zeros(n: number): number[][] {
  return Array.from({ length: n }, () => new Array<number>(n).fill(0));
}
