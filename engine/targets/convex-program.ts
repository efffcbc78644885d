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
 * (u − mean)ᵀ gauge (u − mean) ≤ 1, written as (length/2)(gauge − 1) with `length` the shortest semi-axis, so
 * that near the ends of that axis its value is a distance, like a flat face's, and at the middle −length/2.
 */
export function curved(
  mean: readonly number[],
  gauge: readonly (readonly number[])[],
  length: number,
): Constraint {
  const half = 0.5 * length;
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
 * Minimise over flat and ellipsoidal constraints from a strictly feasible start. The fast primal-dual method
 * is believed only if its own optimality conditions say so; on slivers, where it can jam, the slower barrier
 * method answers, and the better of the two by gap and residual is returned.
 */
export function minimise(
  objective: Objective,
  constraints: readonly Constraint[],
  start: readonly number[],
): ProgramResult {
  const fast = primalDual(objective, constraints, start);
  if (optimality(fast) < ACCEPTED) return fast;
  const slow = barrier(objective, constraints, start);
  return optimality(slow) < optimality(fast) ? slow : fast;
}

/** Gap plus residual at which the fast method's answer is taken. */
const ACCEPTED = 1e-10;

function optimality(result: ProgramResult): number {
  return result.gap + result.residual;
}

/** Primal-dual interior-point method (Boyd and Vandenberghe, Convex Optimization, 2004, section 11.7). */
function primalDual(
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

  const stationarity = (point: readonly number[], multipliers: readonly number[]) =>
    lagrangianGradient(objective, constraints, point, multipliers);

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

/** Gradient of the Lagrangian: of the objective plus the multipliers' share of each constraint. */
function lagrangianGradient(
  objective: Objective,
  constraints: readonly Constraint[],
  point: readonly number[],
  multipliers: readonly number[],
): number[] {
  const r = point.map((x, i) => objective.pull * (x - objective.towards[i]!) + objective.linear[i]!);
  constraints.forEach((c, i) => {
    const g = c.gradient(point);
    for (let k = 0; k < r.length; k++) r[k]! += multipliers[i]! * g[k]!;
  });
  return r;
}

/** Barrier method (the same book, section 11.3): follow the centres as the objective's weight grows. */
function barrier(
  objective: Objective,
  constraints: readonly Constraint[],
  start: readonly number[],
): ProgramResult {
  let u = [...start];
  let best: ProgramResult | null = null;
  for (let weight = 1; weight < (30 * constraints.length) / DUALITY_GAP; weight *= 8) {
    u = centreOf(objective, weight, constraints, u);
    const multipliers = constraints.map((c) => 1 / (weight * -c.value(u)));
    const residual = Math.max(...lagrangianGradient(objective, constraints, u, multipliers).map(Math.abs));
    const result = { point: u, multipliers, gap: constraints.length / weight, residual };
    if (best === null || optimality(result) < optimality(best)) best = result;
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

/** Analytic centre: maximises the product of the slacks, from a strictly feasible start. */
export function analyticCentre(constraints: readonly Constraint[], start: readonly number[]): number[] {
  const nothing = start.map(() => 0);
  return centreOf({ pull: 0, towards: nothing, linear: nothing }, 0, constraints, start);
}

/** Minimise weight·objective − Σ log slack by damped Newton (self-concordant, so scale does not matter). */
function centreOf(
  objective: Objective,
  weight: number,
  constraints: readonly Constraint[],
  start: readonly number[],
): number[] {
  const n = start.length;
  let u = [...start];
  const height = (point: readonly number[]) => {
    let sum = 0;
    for (let i = 0; i < n; i++) {
      sum +=
        weight *
        (0.5 * objective.pull * (point[i]! - objective.towards[i]!) ** 2 + objective.linear[i]! * point[i]!);
    }
    for (const c of constraints) {
      const value = c.value(point);
      if (!(value < 0)) return Infinity;
      sum -= Math.log(-value);
    }
    return sum;
  };
  let current = height(u);
  for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
    const gradient = u.map(
      (x, i) => weight * (objective.pull * (x - objective.towards[i]!) + objective.linear[i]!),
    );
    const matrix = zeros(n);
    for (let r = 0; r < n; r++) matrix[r]![r] = weight * objective.pull;
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
      const value = height(point);
      // Close to the centre the function is flat to rounding: accept the full Newton step.
      if (value <= current - 0.1 * step * decrement || (decrement < 1e-8 && value < Infinity)) {
        [u, current, moved] = [point, value, true];
        break;
      }
    }
    if (!moved || decrement < 1e-16) break;
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
