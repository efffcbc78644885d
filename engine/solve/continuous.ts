import { AXES, loneAxis, toPoint } from "../axes.ts";
import { addScaled, dot, solveLinear } from "../linalg.ts";
import type { ContinuousOptimum, Multiplier } from "../types.ts";
import { addTimes, largestOf, product, setSum } from "../vectors.ts";
import {
  breachOf,
  type Constraint,
  type Constraints,
  type Linearised,
  linearise,
  ON_SURFACE,
  type Tangent,
  tangentsAt,
} from "./constraint.ts";
import { isDrink } from "./judge.ts";
import { LeastChangeLp } from "./lp.ts";
import type { Search } from "./measures.ts";
import { amountsOf, type Question, type Variable, volumesAfter } from "./question.ts";
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

/** A constraint at a point, with its multiplier. */
interface Held extends Tangent {
  lambda: number;
}

/** A point with the constraints there. */
interface Stationary {
  delta: Float64Array;
  finished: Linearised["finished"];
  held: Held[];
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
  const task: Task = {
    question,
    constraints,
    exact: [...constraints.faces, ...constraints.rules],
    lo: Float64Array.from(variables, (v) => v.minMl - v.fromMl),
    hi: Float64Array.from(variables, (v) => v.maxMl - v.fromMl),
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
  const moved = new Float64Array(start.length);
  let delta = start;
  let radius = Number.POSITIVE_INFINITY;
  let lastMove = Number.POSITIVE_INFINITY;
  let nearMl = NEAR_ML;
  for (let step = 0; step < MAX_STEPS && !task.outOfTime(); step += 1) {
    const x = volumesAfter(question, delta);
    if (!isDrink(x)) return null;
    rows.push(...tangentsAt(constraints, model.finish(x).point, -ON_SURFACE));
    const at = linearise(model, rows, x);
    set.clear();
    for (const { row, value, gradient } of at.tangents) {
      set.add(row.id, gradient, product(gradient, delta) - value);
    }
    const boxLo = delta.map((d, i) => Math.max(lo[i]!, d - radius));
    const boxHi = delta.map((d, i) => Math.min(hi[i]!, d + radius));
    if (lp.solve(set, movable, boxLo, boxHi, weight) !== "optimal") {
      if (radius === Number.POSITIVE_INFINITY) return null;
      radius *= 4;
      continue;
    }
    const next = lp.delta.slice();
    setSum(moved, next, -1, delta);
    const move = largestOf(moved);
    if (move <= nearMl && isEnough(question, next)) {
      const found = polish(task, next, bindingOf(at, lp.multipliers));
      const kkt = optimality(task, found);
      if (Math.max(...Object.values(kkt)) <= OPTIMAL) {
        return { ...found, kkt, cost: product(weight, found.delta.map(Math.abs)) };
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

/** More than a trace is poured, so that amounts can be varied by `DIFFERENCE_ML` to both sides. */
const isEnough = (question: Question, delta: Float64Array) =>
  volumesAfter(question, delta).some((ml) => ml > 2 * DIFFERENCE_ML);

/** What binds: a flat constraint by its own id, all tangents of a curved part by the part's. */
const bindingKey = ({ id, subject }: Constraint) => ("curve" in subject && subject.curve) || id;

/** Multipliers of the linear problem by what binds, in the constraints' own units. */
function bindingOf({ tangents }: Linearised, multipliers: Float64Array): Map<string, number> {
  const binding = new Map<string, number>();
  for (const [r, { row, gradient }] of tangents.entries()) {
    const multiplier = multipliers[r] ?? 0;
    if (multiplier === 0) continue;
    const key = bindingKey(row);
    binding.set(key, (binding.get(key) ?? 0) + multiplier / largestOf(gradient));
  }
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
  const moving = question.movable.filter((i) => {
    const d = start[i]!;
    return Math.abs(d) > STILL_ML && d > lo[i]! + STILL_ML && d < hi[i]! - STILL_ML;
  });
  /** The entries of a vector for the amounts that move. */
  const ofMoving = (v: Float64Array) => moving.map((i) => v[i]!);
  const slopes = ofMoving(question.weight.map((w, i) => w * Math.sign(start[i]!)));
  const isActive = ({ row }: Tangent) => binding.has(bindingKey(row));
  const activeAt = (at: Linearised) =>
    at.tangents.filter(isActive).map(({ value, gradient }) => ({ value, pull: ofMoving(gradient) }));

  let delta = start;
  let at = exactAt(task, delta);
  let active = activeAt(at);
  const [k, m] = [moving.length, active.length];
  const residuals = (here: typeof active, l: readonly number[]) => [
    ...here.reduce((sum, { pull }, q) => addScaled(sum, l[q]!, pull), slopes),
    ...here.map(({ value }) => value),
  ];
  const size = (f: readonly number[]) => Math.max(0, ...f.map(Math.abs));
  const normal = active.map((p) => active.map((q) => dot(p.pull, q.pull)));
  const right = active.map(({ pull }) => -dot(pull, slopes));
  let lambda =
    (m > 0 && m <= k ? solveLinear(normal, right) : null) ??
    at.tangents.filter(isActive).map(({ row }) => binding.get(bindingKey(row)) ?? 0);
  let f = residuals(active, lambda);
  for (let step = 0; step < POLISH_STEPS && size(f) > POLISHED && m <= k && !task.outOfTime(); step += 1) {
    const shifted = (i: number, by: number) => {
      const moved = delta.map((d, other) => (other === i ? d + by : d));
      return residuals(activeAt(exactAt(task, moved)), lambda);
    };
    const columns = moving.map((i) => {
      const change = addScaled(shifted(i, DIFFERENCE_ML), -1, shifted(i, -DIFFERENCE_ML));
      return change.map((d) => d / (2 * DIFFERENCE_ML));
    });
    columns.push(...active.map(({ pull }) => [...pull, ...active.map(() => 0)]));
    const move = solveLinear(
      f.map((_, r) => columns.map((column) => column[r]!)),
      f,
    );
    if (!move) break;
    const next = delta.map((d, i) => d - (move[moving.indexOf(i)] ?? 0));
    const nextLambda = addScaled(lambda, -1, move.slice(k));
    if (moving.some((i) => next[i]! * start[i]! <= 0) || nextLambda.some((l) => l < 0)) break;
    if (!isEnough(question, next)) break;
    const there = exactAt(task, next);
    const nextActive = activeAt(there);
    const nextF = residuals(nextActive, nextLambda);
    if (!(size(nextF) < size(f))) break;
    [delta, lambda, at, active, f] = [next, nextLambda, there, nextActive, nextF];
  }
  const lambdas = lambda.values();
  const held = at.tangents.map((t) => ({ ...t, lambda: isActive(t) ? (lambdas.next().value ?? 0) : 0 }));
  return { delta, finished: at.finished, held };
}

/** Where an amount would go by the measure's slope and the rows' pull, and whether it may. */
interface Balance {
  variable: Variable;
  /** To the most or the least of its range, by so much of the measure per mL; 0 in balance. */
  side: "most" | "least";
  pull: number;
  mayMove: boolean;
  /** How far the change is outside its range. */
  outside: number;
}

/** The balance of each amount that may change. */
function balances({ question, lo, hi }: Task, { delta, held }: Stationary): Balance[] {
  const pulls = new Float64Array(delta.length);
  for (const { lambda, gradient } of held) addTimes(pulls, lambda, gradient);
  const balance = (i: number, d: number, slope: number, [from, to]: readonly [number, number]): Balance => {
    const w = question.weight[i]!;
    const still = Math.abs(d) <= STILL_ML;
    // |Δ| has slopes −w..w at 0, else ±w: balance means 0 lies between `least` and `most`.
    const least = slope + (still ? -w : Math.sign(d) * w);
    const most = slope + (still ? w : Math.sign(d) * w);
    const rises = most < 0;
    return {
      variable: question.variables[i]!,
      side: rises ? "most" : "least",
      pull: rises ? -most : Math.max(0, least),
      mayMove: rises ? d < to - STILL_ML : d > from + STILL_ML,
      outside: Math.max(from - d, d - to),
    };
  };
  return question.movable.map((i) => balance(i, delta[i]!, pulls[i]!, [lo[i]!, hi[i]!]));
}

function optimality(task: Task, found: Stationary): ContinuousOptimum["kkt"] {
  const { held, delta, finished } = found;
  const x = volumesAfter(task.question, delta);
  const most = (values: readonly number[]) => Math.max(0, ...values);
  const amounts = balances(task, found);
  return {
    stationarity: most(amounts.map(({ mayMove, pull }) => (mayMove ? pull : 0))),
    primal: most([
      ...held.map(({ row }) => breachOf(row, x, finished.finishedVolumeMl)),
      ...amounts.map(({ outside }) => outside),
    ]),
    dual: most(held.map(({ lambda }) => -lambda)),
    complementarity: most(held.map(({ lambda, value }) => Math.abs(lambda * value))),
  };
}

function read(task: Task, found: Optimum): ContinuousOptimum {
  const { question } = task;
  return {
    amountsMl: amountsOf(question, volumesAfter(question, found.delta)),
    point: toPoint(found.finished.point),
    volumeChangedMl: found.delta.reduce((sum, d) => sum + Math.abs(d), 0),
    multipliers: pricesOf(task, found),
    kkt: found.kkt,
  };
}

/** What each limit costs, dearest first: constraints, then amounts that stand at an end of their range. */
function pricesOf(task: Task, found: Stationary): Multiplier[] {
  const { question } = task;
  const merged = new Map<string, { row: Constraint; value: number }>();
  for (const { row, lambda } of found.held) {
    // A row is its face times the volume, so a unit of slack in the face is V units of the row.
    const value = lambda * (row.subject.role === "glass" ? 1 : found.finished.finishedVolumeMl);
    if (value <= NO_PRICE) continue;
    merged.set(row.id, { row, value: value + (merged.get(row.id)?.value ?? 0) });
  }
  const ofLimits = [...merged.values()].map(({ row: { id: row, subject }, value }) => {
    const { role } = subject;
    const limit = labelOf(subject, question.variables);
    if (!("face" in subject)) return priceInWords(question, limit, { row, value, role });
    const { normal } = subject.face;
    const price = { row, value, role, isCurved: subject.curve !== null };
    const k = loneAxis(normal);
    if (k === null) return priceInWords(question, limit, price);
    return priceInWords(question, limit, { ...price, value: value * Math.abs(normal[k]), axis: AXES[k].id });
  });
  const ofAmounts = balances(task, found).flatMap(({ variable, side, pull: value, mayMove }) => {
    if (mayMove || value <= NO_PRICE) return [];
    const { key, shortName, ingredient } = variable;
    const price = { row: `${key}-${side}`, value, role: "amount" as const, ingredient: ingredient.id, side };
    return [priceInWords(question, shortName, price)];
  });
  return [...ofLimits, ...ofAmounts].sort((a, b) => b.value - a.value);
}
