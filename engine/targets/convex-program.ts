import { addScaled, addTo, dot, type Row, solvePositiveDefinite } from "../linalg.ts";
import { SymmetricSum } from "../symmetric.ts";
import { DUALITY_GAP, MAX_ITERATIONS } from "../tolerances.ts";

/** One smooth convex constraint value(u) ≤ 0 in a space of two to four dimensions. */
export interface Constraint {
  value(u: Row): number;
  gradient(u: Row): number[];
  /** Constant second derivative; null for a flat face. */
  hessian: readonly Row[] | null;
}

/** normal · u ≤ offset. */
export function flat(normal: Row, offset: number): Constraint {
  return { value: (u) => dot(normal, u) - offset, gradient: () => [...normal], hessian: null };
}

/**
 * (u − mean)ᵀ gauge (u − mean) ≤ 1, written as (length/2)(gauge − 1) with `length` the shortest semi-axis, so
 * that near the ends of that axis its value is a distance, like a flat face's, and at the middle −length/2.
 */
export function curved(mean: Row, gauge: readonly Row[], length: number): Constraint {
  const half = 0.5 * length;
  const moved = (u: Row) => {
    const d = addScaled(u, -1, mean);
    return { d, g: gauge.map((row) => dot(row, d)) };
  };
  return {
    value: (u) => {
      const { d, g } = moved(u);
      return half * (dot(d, g) - 1);
    },
    gradient: (u) => moved(u).g.map((x) => 2 * half * x),
    hessian: gauge.map((row) => row.map((x) => 2 * half * x)),
  };
}

/** Minimise ½·pull·|u − towards|² + linear·u. */
export interface Objective {
  pull: 0 | 1;
  towards: Row;
  linear: Row;
}

/** `gap` bounds objective − optimum; `residual` is the largest entry of the Lagrangian's gradient. */
export interface ProgramResult {
  point: number[];
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
  start: Row,
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

/** A constraint where the method stands: its value (below 0), gradient and multiplier. */
interface Held {
  constraint: Constraint;
  value: number;
  gradient: number[];
  multiplier: number;
}

/** A constraint at u, with the multiplier that its value there makes. */
function hold(constraint: Constraint, u: Row, multiplier: (value: number) => number): Held {
  const value = constraint.value(u);
  return { constraint, value, gradient: constraint.gradient(u), multiplier: multiplier(value) };
}

/** Slope of the objective, `weight` times. */
function slopeOf({ pull, towards, linear }: Objective, u: Row, weight: number): number[] {
  const slope = linear.map((x) => weight * x);
  if (pull) addTo(slope, weight, addScaled(u, -1, towards));
  return slope;
}

/** Gradient of the Lagrangian: of `weight` times the objective plus the multipliers' share of each constraint. */
function lagrangianGradient(objective: Objective, u: Row, held: readonly Held[], weight = 1): number[] {
  const sum = slopeOf(objective, u, weight);
  for (const { gradient, multiplier } of held) addTo(sum, multiplier, gradient);
  return sum;
}

/** Its second derivative, with what the multipliers change by as their constraints do: the matrix of Newton's step. */
function newtonMatrix({ pull }: Objective, u: Row, held: readonly Held[], weight = 1) {
  const matrix = new SymmetricSum(u.length, weight * pull);
  for (const { constraint, value, gradient, multiplier } of held) {
    matrix.addSquare(multiplier / -value, gradient);
    if (constraint.hessian) matrix.addMatrix(multiplier, constraint.hessian);
  }
  return matrix.rows;
}

/** Newton's step from u towards the centre: of the point, and of each multiplier. */
function newtonStep(objective: Objective, u: Row, held: readonly Held[], centring: number) {
  const right = slopeOf(objective, u, -1);
  for (const { value, gradient } of held) addTo(right, centring / value, gradient);
  const du = solvePositiveDefinite(newtonMatrix(objective, u, held), right);
  const changes = held.map(({ constraint, value, gradient, multiplier }) => {
    const change = -multiplier + (centring + multiplier * dot(gradient, du)) / -value;
    return { constraint, multiplier, change };
  });
  return { du, changes };
}

/** Primal-dual interior-point method (Boyd and Vandenberghe, Convex Optimization, 2004, section 11.7). */
function primalDual(objective: Objective, constraints: readonly Constraint[], start: Row): ProgramResult {
  let u = [...start];
  let held = constraints.map((c) => hold(c, u, (value) => 1 / Math.max(-value, 1e-12)));
  let best: ProgramResult | null = null;

  for (let iteration = 0; ; iteration++) {
    const gap = -held.reduce((sum, { value, multiplier }) => sum + value * multiplier, 0);
    const residual = Math.max(...lagrangianGradient(objective, u, held).map(Math.abs));
    if (best === null || gap + residual < optimality(best)) {
      best = { point: u, gap, residual };
    }
    const isSettled = gap < DUALITY_GAP && residual < Math.sqrt(DUALITY_GAP) * 1e-3;
    if (isSettled || iteration === MAX_ITERATIONS - 1) return best;
    const centring = gap / (10 * constraints.length);

    const { du, changes } = newtonStep(objective, u, held, centring);
    let step = 1;
    for (const { multiplier, change } of changes) if (change < 0) step = Math.min(step, -multiplier / change);
    step *= 0.99;
    const merit = (point: Row, at: readonly Held[]) =>
      Math.hypot(
        ...lagrangianGradient(objective, point, at),
        ...at.map(({ value, multiplier }) => -multiplier * value - centring),
      );
    const before = merit(u, held);
    let moved = false;
    for (let k = 0; k < 60 && !moved; k++, step *= 0.5) {
      const point = addScaled(u, step, du);
      if (!constraints.every((c) => c.value(point) < 0)) continue;
      const there = changes.map(({ constraint, multiplier, change }) =>
        hold(constraint, point, () => multiplier + step * change),
      );
      if (merit(point, there) > (1 - 0.01 * step) * before) continue;
      [u, held, moved] = [point, there, true];
    }
    if (!moved) return best;
  }
}

/** Barrier method (the same book, section 11.3): follow the centres as the objective's weight grows. */
function barrier(objective: Objective, constraints: readonly Constraint[], start: Row): ProgramResult {
  let u: Row = start;
  let best: ProgramResult | null = null;
  for (let weight = 1; ; weight *= 8) {
    u = centreOf(objective, weight, constraints, u);
    const held = constraints.map((c) => hold(c, u, (value) => 1 / (weight * -value)));
    const residual = Math.max(...lagrangianGradient(objective, u, held).map(Math.abs));
    const result = { point: [...u], gap: constraints.length / weight, residual };
    if (best === null || optimality(result) < optimality(best)) best = result;
    if (8 * weight >= (30 * constraints.length) / DUALITY_GAP) return best;
  }
}

/**
 * The deepest point: minimises the largest constraint value. `worst` < 0 exactly when the constraints have a
 * common interior. The constraints must bound a region (the caller adds the physical range).
 */
export function deepest(constraints: readonly Constraint[], guess: Row): { point: number[]; worst: number } {
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
export function analyticCentre(constraints: readonly Constraint[], start: Row): number[] {
  const nothing = start.map(() => 0);
  return centreOf({ pull: 0, towards: nothing, linear: nothing }, 0, constraints, start);
}

/** Minimise weight·objective − Σ log slack by damped Newton (self-concordant, so scale does not matter). */
function centreOf(
  objective: Objective,
  weight: number,
  constraints: readonly Constraint[],
  start: Row,
): number[] {
  const { pull, towards, linear } = objective;
  let u = [...start];
  const height = (point: Row) => {
    const away = addScaled(point, -1, towards);
    let sum = weight * (0.5 * pull * dot(away, away) + dot(linear, point));
    for (const c of constraints) {
      const value = c.value(point);
      if (!(value < 0)) return Infinity;
      sum -= Math.log(-value);
    }
    return sum;
  };
  let current = height(u);
  for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
    // The slacks' logarithms pull as multipliers of one over the slack would.
    const held = constraints.map((c) => hold(c, u, (value) => 1 / -value));
    const downhill = lagrangianGradient(objective, u, held, weight).map((x) => -x);
    const du = solvePositiveDefinite(newtonMatrix(objective, u, held, weight), downhill);
    const decrement = dot(downhill, du);
    if (!(decrement > 1e-22)) break;
    let step = 1;
    let moved = false;
    for (let k = 0; k < 60; k++, step *= 0.5) {
      const point = addScaled(u, step, du);
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
