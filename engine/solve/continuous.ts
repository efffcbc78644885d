import { AXES, AXIS_INDICES, toPoint } from "../axes.ts";
import { solveLinear } from "../linalg.ts";
import type { ContinuousOptimum, Multiplier } from "../types.ts";
import {
  breachOf,
  type Constraint,
  type Constraints,
  type Linearised,
  linearise,
  tangentPlane,
} from "./constraint.ts";
import { isDrink } from "./judge.ts";
import { LeastChangeLp } from "./lp.ts";
import type { Search } from "./measures.ts";
import { type Question, volumesAfter } from "./question.ts";
import { RowSet } from "./rows.ts";
import { labelOf, priceInWords } from "./words.ts";

const MAX_STEPS = 60;
/** Largest residual of the optimality conditions of a point that counts as the optimum. */
const OPTIMAL = 1e-7;
/** Once no amount moves by more than this, mL, Newton takes over. */
const NEAR_ML = 0.05;
/** Where Newton failed, it is tried again from this share of the distance. */
const CLOSER = 0.25;
/** A limit that costs less than this, in the measure per its unit, costs nothing. */
const NO_PRICE = 1e-5;
/** Changes smaller than this, mL, are none. */
const STILL_ML = 1e-8;
/** Newton on the optimality conditions: most steps, residual to reach, step for differences of slopes. */
const POLISH_STEPS = 12;
const POLISHED = 1e-10;
const DIFFERENCE_ML = 1e-3;
/** A drink within this share of an ellipsoid's radius is on its surface. */
const ON_SURFACE = 1e-7;
/** Steps before which circling is not yet suspected. */
const SETTLING_STEPS = 8;

/** What is optimised: a question with the ranges of its changes when any amount can be poured. */
interface Task {
  question: Question;
  constraints: Constraints;
  exact: readonly Constraint[];
  lo: Float64Array;
  hi: Float64Array;
  lp: LeastChangeLp;
  outOfTime: () => boolean;
}

/** A point with its multipliers by row of `at`. */
interface Stationary {
  delta: Float64Array;
  at: Linearised;
  lambda: number[];
}

interface Optimum extends Stationary {
  kkt: ContinuousOptimum["kkt"];
  cost: number;
}

/**
 * The least change when any amount can be poured and any number of ingredients touched: a
 * Karush–Kuhn–Tucker point of the true model, by sequential linear programming from the relaxation's
 * optimum (rows times the finished volume are nearly linear, so steps converge at Newton's rate when
 * the optimum is a vertex; ellipsoids are met by adding a tangent plane per step). Null when no
 * cell of the relaxation leads to a point that meets the constraints.
 *
 * Multipliers are per unit of each limit. Residuals are of the true model's derivatives: stationarity in
 * measure per mL, primal in axis-scale units, dual and complementarity in the measure.
 *
 * @param inside changes known to meet the constraints, to start from when no cell leads anywhere
 * @param outOfTime true when it is time to stop: the best so far is returned, or null
 */
export function continuousOptimum(
  question: Question,
  { constraints, relaxation }: Pick<Search, "constraints" | "relaxation">,
  inside: Float64Array | undefined,
  outOfTime: () => boolean,
): ContinuousOptimum | null {
  const { variables, choices, movable, weight } = question;
  const end = (pick: "minMl" | "maxMl") =>
    Float64Array.from(variables, (v) => (v.locked ? 0 : v[pick] - v.fromMl));
  const task: Task = {
    question,
    constraints,
    exact: [...constraints.faces, ...constraints.rules],
    lo: end("minMl"),
    hi: end("maxMl"),
    lp: new LeastChangeLp(choices.length),
    outOfTime,
  };
  const { lp, lo, hi } = task;
  const starts = relaxation.cells
    .map(({ rows }) => {
      const outcome = lp.solve(rows, movable, lo, hi, weight);
      return { outcome, bound: lp.bound, delta: lp.delta.slice() };
    })
    .filter((s) => s.outcome !== "infeasible")
    .sort((a, b) => a.bound - b.bound);

  let best: Optimum | null = null;
  for (const start of starts) {
    if ((best && start.bound >= best.cost) || outOfTime()) break;
    const found = descend(task, start.delta);
    if (found && (!best || found.cost < best.cost)) best = found;
  }
  if (!best && inside) best = descend(task, inside);
  return best && read(task, best);
}

/** Sequential linear programs from a start to a point that meets the optimality conditions; null if none is met. */
function descend(task: Task, start: Float64Array): Optimum | null {
  const { question, constraints, lo, hi, lp } = task;
  const { movable, weight, model } = question;
  const rows = [...task.exact];
  const set = new RowSet(start.length);
  const boxLo = lo.slice();
  const boxHi = hi.slice();
  let delta = start;
  let radius = Number.POSITIVE_INFINITY;
  let lastMove = Number.POSITIVE_INFINITY;
  let nearMl = NEAR_ML;
  for (let step = 0; step < MAX_STEPS && !task.outOfTime(); step += 1) {
    const x = volumesAfter(question, delta);
    if (!isDrink(x)) return null;
    rows.push(...tangentsAt(constraints, model.finish(x).point, -ON_SURFACE));
    const at = linearise(model, rows, x);
    tangentRows(at, delta, set);
    for (const i of movable) {
      boxLo[i] = Math.max(lo[i]!, delta[i]! - radius);
      boxHi[i] = Math.min(hi[i]!, delta[i]! + radius);
    }
    if (lp.solve(set, movable, boxLo, boxHi, weight) !== "optimal") {
      if (radius === Number.POSITIVE_INFINITY) return null;
      radius *= 4;
      continue;
    }
    const next = lp.delta.slice();
    const move = movable.reduce((most, i) => Math.max(most, Math.abs(next[i]! - delta[i]!)), 0);
    if (move <= nearMl && isEnough(question, next)) {
      const found = polish(task, next, bindingOf(at, lp.multipliers));
      const kkt = optimality(task, found);
      if (Math.max(kkt.stationarity, kkt.primal, kkt.dual, kkt.complementarity) <= OPTIMAL) {
        const cost = movable.reduce((sum, i) => sum + weight[i]! * Math.abs(found.delta[i]!), 0);
        return { ...found, kkt, cost };
      }
      nearMl = move * CLOSER;
    }
    // Steps that stop shrinking are circling: hold them in a smaller box.
    if (step > SETTLING_STEPS && move > 0.5 * lastMove) radius = Math.min(radius, move) / 2;
    lastMove = move;
    delta = next;
  }
  return null;
}

/** The tangent plane of each curved part that p is out to 1 + `share` radii of. */
function tangentsAt(
  { curves, face }: Constraints,
  p: Parameters<typeof tangentPlane>[1],
  share: number,
): Constraint[] {
  return curves.flatMap((curve) => {
    const half = tangentPlane(curve, p, share);
    return half ? [face(half, curve.region, curve.id)] : [];
  });
}

/** The linear problem at a drink x = from + Δ: each constraint's tangent as a row in Δ, in order. */
function tangentRows({ rows, values, gradients }: Linearised, delta: ArrayLike<number>, into: RowSet): void {
  into.clear();
  rows.forEach(({ id }, r) => {
    const gradient = gradients[r]!;
    into.add(
      id,
      gradient,
      gradient.reduce((b, g, i) => b + g * delta[i]!, -values[r]!),
    );
  });
}

/** More than a trace is poured, so that amounts can be varied by `DIFFERENCE_ML` to both sides. */
const isEnough = (question: Question, delta: Float64Array) =>
  volumesAfter(question, delta).some((ml) => ml > 2 * DIFFERENCE_ML);

/** What binds: a flat constraint by its own id, all tangents of a curved part by the part's. */
const bindingKey = ({ id, subject }: Constraint) => ("curve" in subject && subject.curve) || id;

/** Multipliers of the linear problem by what binds, in the constraints' own units. */
function bindingOf({ rows, gradients }: Linearised, multipliers: Float64Array): Map<string, number> {
  const binding = new Map<string, number>();
  rows.forEach((row, r) => {
    if (multipliers[r]! === 0) return;
    const key = bindingKey(row);
    const scale = gradients[r]!.reduce((most, g) => Math.max(most, Math.abs(g)), 0);
    binding.set(key, (binding.get(key) ?? 0) + multipliers[r]! / scale);
  });
  return binding;
}

/** Every exact constraint, and for every curved part its tangent towards the drink: same value and slope as the part. */
function exactAt({ question, constraints, exact }: Task, delta: Float64Array): Linearised {
  const x = volumesAfter(question, delta);
  const { point } = question.model.finish(x);
  return linearise(question.model, [...exact, ...tangentsAt(constraints, point, -1)], x);
}

/**
 * Newton's method on the optimality conditions with the binding rows as equations: the multipliers balance
 * the measure's slope on the amounts free to move. Second derivatives are differences of the exact first
 * ones. A corner of flat faces is met already; on a curved face this takes the last digits. A step that does
 * not help is not taken.
 */
function polish(task: Task, start: Float64Array, binding: ReadonlyMap<string, number>): Stationary {
  const { question, lo, hi } = task;
  const moving = question.movable.filter(
    (i) => Math.abs(start[i]!) > STILL_ML && start[i]! > lo[i]! + STILL_ML && start[i]! < hi[i]! - STILL_ML,
  );
  let delta = start;
  let at = exactAt(task, delta);
  const active = [...at.rows.keys()].filter((r) => binding.has(bindingKey(at.rows[r]!)));
  const [k, m] = [moving.length, active.length];
  const slope = (i: number) => question.weight[i]! * Math.sign(start[i]!);
  const gradient = (here: Linearised, r: number, i: number) => here.gradients[r]![i]!;
  const residuals = (here: Linearised, l: readonly number[]) => [
    ...moving.map((i) => active.reduce((s, r, q) => s + l[q]! * gradient(here, r, i), slope(i))),
    ...active.map((r) => here.values[r]!),
  ];
  const size = (f: readonly number[]) => Math.max(0, ...f.map(Math.abs));
  const shifted = (i: number, by: number) => {
    const moved = delta.slice();
    moved[i] = moved[i]! + by;
    return residuals(exactAt(task, moved), lambda);
  };
  const normal = active.map((p) =>
    active.map((q) => moving.reduce((s, i) => s + gradient(at, p, i) * gradient(at, q, i), 0)),
  );
  const right = active.map((p) => moving.reduce((s, i) => s - gradient(at, p, i) * slope(i), 0));
  let lambda =
    (m > 0 && m <= k ? solveLinear(normal, right) : null) ??
    active.map((r) => binding.get(bindingKey(at.rows[r]!)) ?? 0);
  let f = residuals(at, lambda);
  for (let step = 0; step < POLISH_STEPS && size(f) > POLISHED && m <= k && !task.outOfTime(); step += 1) {
    const columns = moving.map((i) => {
      const [up, down] = [shifted(i, DIFFERENCE_ML), shifted(i, -DIFFERENCE_ML)];
      return up.map((value, r) => (value - down[r]!) / (2 * DIFFERENCE_ML));
    });
    const jacobian = f.map((_, r) => [
      ...columns.map((column) => column[r]!),
      ...active.map((row) => (r < k ? gradient(at, row, moving[r]!) : 0)),
    ]);
    const move = solveLinear(jacobian, f);
    if (!move) break;
    const next = delta.slice();
    moving.forEach((i, c) => {
      next[i] = next[i]! - move[c]!;
    });
    const nextLambda = lambda.map((l, q) => l - move[k + q]!);
    if (moving.some((i) => next[i]! * start[i]! <= 0) || nextLambda.some((l) => l < 0)) break;
    if (!isEnough(question, next)) break;
    const there = exactAt(task, next);
    const nextF = residuals(there, nextLambda);
    if (!(size(nextF) < size(f))) break;
    [delta, lambda, at, f] = [next, nextLambda, there, nextF];
  }
  const all = at.rows.map((_, r) => lambda[active.indexOf(r)] ?? 0);
  return { delta, at, lambda: all };
}

/** How far the measure's slope plus the rows' pull on amount i is from balance, and which bound it leans on. */
function balance({ question, lo, hi }: Task, { delta, at, lambda }: Stationary, i: number) {
  const d = delta[i]!;
  const w = question.weight[i]!;
  const pull = lambda.reduce((sum, l, r) => sum + l * at.gradients[r]![i]!, 0);
  const still = Math.abs(d) <= STILL_ML;
  // |Δ| has slopes −w..w at 0, else ±w: balance means 0 lies between `least` and `most`.
  const least = pull + (still ? -w : Math.sign(d) * w);
  const most = pull + (still ? w : Math.sign(d) * w);
  const mayFall = d > lo[i]! + STILL_ML;
  const mayRise = d < hi[i]! - STILL_ML;
  return {
    residual: Math.max(mayRise ? -most : 0, mayFall ? least : 0, 0),
    roomAbove: mayRise ? 0 : Math.max(0, -most),
    roomBelow: mayFall ? 0 : Math.max(0, least),
  };
}

function optimality(task: Task, found: Stationary): ContinuousOptimum["kkt"] {
  const { question, lo, hi } = task;
  const { at, lambda, delta } = found;
  const x = volumesAfter(question, delta);
  const most = (values: readonly number[]) => Math.max(0, ...values);
  const volume = at.finished.finishedVolumeMl;
  return {
    stationarity: most(question.movable.map((i) => balance(task, found, i).residual)),
    primal: most([
      ...at.rows.map((row) => breachOf(row, x, volume)),
      ...question.movable.map((i) => Math.max(lo[i]! - delta[i]!, delta[i]! - hi[i]!)),
    ]),
    dual: most(lambda.map((l) => -l)),
    complementarity: most(lambda.map((l, r) => Math.abs(l * at.values[r]!))),
  };
}

function read(task: Task, found: Optimum): ContinuousOptimum {
  const { variables } = task.question;
  const x = volumesAfter(task.question, found.delta);
  return {
    amountsMl: variables.map((v, i) => ({ ingredient: v.ingredient.id, ml: x[i]! })),
    point: toPoint(found.at.finished.point),
    volumeChangedMl: found.delta.reduce((sum, d) => sum + Math.abs(d), 0),
    multipliers: pricesOf(task, found),
    kkt: found.kkt,
  };
}

/** What each limit costs, dearest first: constraints, then amounts that stand at an end of their range. */
function pricesOf(task: Task, found: Stationary): Multiplier[] {
  const { variables, movable, measure, target } = task.question;
  const { at, lambda } = found;
  const name = (id: string) => variables.find((v) => v.ingredient.id === id)?.shortName ?? id;
  const merged = new Map<string, { row: Constraint; perUnit: number }>();
  at.rows.forEach((row, r) => {
    // A row is its face times the volume, so a unit of slack in the face is V units of the row.
    const perUnit = lambda[r]! * (row.subject.role === "glass" ? 1 : at.finished.finishedVolumeMl);
    if (perUnit <= NO_PRICE) return;
    merged.set(row.id, { row, perUnit: perUnit + (merged.get(row.id)?.perUnit ?? 0) });
  });
  const ofLimits = [...merged.values()].map(({ row: { id, subject }, perUnit }) => {
    const limit = labelOf(subject, name);
    const labels = { limit, target: target.name };
    if (!("face" in subject))
      return priceInWords(measure, { row: id, value: perUnit, role: subject.role }, labels);
    const axes = AXIS_INDICES.filter((k) => subject.face.normal[k] !== 0);
    const axis = axes.length === 1 ? axes[0] : undefined;
    const size = axis === undefined ? 1 : Math.abs(subject.face.normal[axis]);
    const price = { row: id, value: perUnit * size, role: subject.role, isCurved: subject.curve !== null };
    return priceInWords(measure, axis === undefined ? price : { ...price, axis: AXES[axis].id }, labels);
  });
  const ofAmounts = movable.flatMap((i) => {
    const { roomAbove, roomBelow } = balance(task, found, i);
    const { key, shortName, ingredient } = variables[i]!;
    const side = roomAbove > 0 ? ("most" as const) : ("least" as const);
    const value = Math.max(roomAbove, roomBelow);
    const price = { row: `${key}-${side}`, value, role: "amount" as const, ingredient: ingredient.id, side };
    return value <= NO_PRICE ? [] : [priceInWords(measure, price, { limit: shortName, target: target.name })];
  });
  return [...ofLimits, ...ofAmounts].sort((a, b) => b.value - a.value);
}
