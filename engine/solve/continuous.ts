import { AXES, AXIS_INDICES, toPoint } from "../axes.ts";
import { solveLinear } from "../linalg.ts";
import type { ContinuousOptimum, Multiplier } from "../types.ts";
import { upperFirst } from "../wording.ts";
import {
  addTangents,
  exactRows,
  faceRow,
  type Linearised,
  lineariseAt,
  type TrueRow,
  tangentRows,
  violation,
} from "./linearise.ts";
import { LeastChangeLp } from "./lp.ts";
import { isDrink, type Problem, tangentPlane } from "./problem.ts";
import { RowSet } from "./rows.ts";

const MAX_STEPS = 60;
/** Largest residual of the optimality conditions of a point that counts as the optimum. */
const OPTIMAL = 1e-7;
/** Once no amount moves by more than this, mL, Newton takes over. */
const NEAR_ML = 0.05;
/** A limit that costs less than this, in the measure per its unit, costs nothing. */
const NO_PRICE = 1e-5;
/** Changes smaller than this, mL, are none. */
const STILL_ML = 1e-8;
/** Newton on the optimality conditions: most steps, residual to reach, step for differences of slopes. */
const POLISH_STEPS = 12;
const POLISHED = 1e-10;
const DIFFERENCE_ML = 1e-3;

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
  problem: Problem,
  inside?: Float64Array,
  outOfTime?: () => boolean,
): ContinuousOptimum | null {
  const { cells, search } = problem;
  const n = problem.variables.length;
  const free = problem.variables.map((_, i) => i).filter((i) => search.choices[i]!.length > 1);
  const lo = Float64Array.from(search.choices, (c) => c[0]!);
  const hi = Float64Array.from(search.choices, (c) => c.at(-1)!);
  problem.variables.forEach((v, i) => {
    if (v.locked) return;
    lo[i] = v.minMl - v.fromMl;
    hi[i] = v.maxMl - v.fromMl;
  });
  const lp = new LeastChangeLp(n);
  const starts = cells
    .map(({ rows }) => {
      const outcome = lp.solve(rows, free, lo, hi, search.weight);
      return { outcome, bound: lp.bound, delta: lp.delta.slice() };
    })
    .filter((s) => s.outcome !== "infeasible")
    .sort((a, b) => a.bound - b.bound);

  let best: Optimum | null = null;
  for (const start of starts) {
    if ((best && start.bound >= best.cost) || outOfTime?.()) break;
    const found = descend(problem, start.delta, free, lo, hi, lp, outOfTime);
    if (found && (!best || found.cost < best.cost)) best = found;
  }
  if (!best && inside) best = descend(problem, inside, free, lo, hi, lp, outOfTime);
  return best && read(problem, best, free, lo, hi);
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

function descend(
  problem: Problem,
  start: Float64Array,
  free: number[],
  lo: Float64Array,
  hi: Float64Array,
  lp: LeastChangeLp,
  outOfTime?: () => boolean,
): Optimum | null {
  const { weight } = problem.search;
  const n = start.length;
  const rows = exactRows(problem);
  const set = new RowSet(n);
  const boxLo = new Float64Array(n);
  const boxHi = new Float64Array(n);
  let delta = start;
  let radius = Number.POSITIVE_INFINITY;
  let lastMove = Number.POSITIVE_INFINITY;
  for (let step = 0; step < MAX_STEPS && !outOfTime?.(); step += 1) {
    const x = problem.volumes(delta);
    if (!isDrink(x)) return null;
    addTangents(problem, rows, problem.model.finish(x).point);
    const at = lineariseAt(problem, rows, x);
    tangentRows(at, delta, set);
    for (const i of free) {
      boxLo[i] = Math.max(lo[i]!, delta[i]! - radius);
      boxHi[i] = Math.min(hi[i]!, delta[i]! + radius);
    }
    if (lp.solve(set, free, boxLo, boxHi, weight) !== "optimal") {
      if (radius === Number.POSITIVE_INFINITY) return null;
      radius *= 4;
      continue;
    }
    let move = 0;
    for (const i of free) move = Math.max(move, Math.abs(lp.delta[i]! - delta[i]!));
    const near = lp.delta.slice();
    if (move <= NEAR_ML && isEnough(problem, near)) {
      const moving = free.filter(
        (i) => Math.abs(near[i]!) > STILL_ML && near[i]! > lo[i]! + STILL_ML && near[i]! < hi[i]! - STILL_ML,
      );
      const binding = new Map<string, number>();
      rows.forEach((row, r) => {
        if (lp.multipliers[r]! === 0) return;
        const key = row.curve ?? row.name;
        const scale = at.gradients[r]!.reduce((most, g) => Math.max(most, Math.abs(g)), 0);
        binding.set(key, (binding.get(key) ?? 0) + lp.multipliers[r]! / scale);
      });
      const found = polish(problem, near, moving, binding);
      const kkt = optimality(problem, found, free, lo, hi);
      if (Math.max(kkt.stationarity, kkt.primal, kkt.dual, kkt.complementarity) <= OPTIMAL) {
        const cost = free.reduce((sum, i) => sum + weight[i]! * Math.abs(found.delta[i]!), 0);
        return { ...found, kkt, cost };
      }
    }
    // Steps that stop shrinking are circling: hold them in a smaller box.
    if (step > 8 && move > 0.5 * lastMove) radius = Math.min(radius, move) / 2;
    lastMove = move;
    delta = near;
  }
  return null;
}

/** More than a trace is poured, so that amounts can be varied by `DIFFERENCE_ML` to both sides. */
const isEnough = (problem: Problem, delta: Float64Array) =>
  problem.volumes(delta).some((ml) => ml > 2 * DIFFERENCE_ML);

/** Every exact row, and for every curved part its tangent towards the drink: same value and slope as the part. */
function rowsAt(problem: Problem, x: readonly number[]): Linearised {
  const { point } = problem.model.finish(x);
  const tangents = problem.curves.flatMap((curve) => {
    const half = tangentPlane(curve, point, -1);
    return half ? [{ ...faceRow(problem, half, curve.region), curve: curve.id }] : [];
  });
  return lineariseAt(problem, [...exactRows(problem), ...tangents], x);
}

/**
 * Newton's method on the optimality conditions with the binding rows as equations: the multipliers balance
 * the measure's slope on the amounts free to move. Second derivatives are differences of the exact first
 * ones. A corner of flat faces is met already; on a curved face this takes the last digits. A step that does
 * not help is not taken.
 */
function polish(
  problem: Problem,
  start: Float64Array,
  moving: number[],
  binding: ReadonlyMap<string, number>,
) {
  const { weight } = problem.search;
  const k = moving.length;
  let delta = start;
  let at = rowsAt(problem, problem.volumes(delta));
  const keyOf = (r: number) => at.rows[r]!.curve ?? at.rows[r]!.name;
  const active = [...at.rows.keys()].filter((r) => binding.has(keyOf(r)));
  const m = active.length;
  const slope = (i: number) => weight[i]! * Math.sign(start[i]!);
  const normal = active.map((p) =>
    active.map((q) => moving.reduce((s, i) => s + at.gradients[p]![i]! * at.gradients[q]![i]!, 0)),
  );
  const right = active.map((p) => moving.reduce((s, i) => s - at.gradients[p]![i]! * slope(i), 0));
  let lambda =
    (m > 0 && m <= k ? solveLinear(normal, right) : null) ?? active.map((r) => binding.get(keyOf(r))!);
  const residuals = (here: Linearised, l: number[]) => [
    ...moving.map((i) => active.reduce((s, r, q) => s + l[q]! * here.gradients[r]![i]!, slope(i))),
    ...active.map((r) => here.values[r]!),
  ];
  const size = (f: number[]) => Math.max(0, ...f.map(Math.abs));
  let f = residuals(at, lambda);
  for (let step = 0; step < POLISH_STEPS && size(f) > POLISHED && m <= k; step += 1) {
    const jacobian = f.map(() => new Array<number>(k + m).fill(0));
    moving.forEach((i, c) => {
      const shifted = [1, -1].map((sign) => {
        const d = delta.slice();
        d[i] = d[i]! + sign * DIFFERENCE_ML;
        return residuals(rowsAt(problem, problem.volumes(d)), lambda);
      });
      for (let r = 0; r < k + m; r += 1) {
        jacobian[r]![c] = (shifted[0]![r]! - shifted[1]![r]!) / (2 * DIFFERENCE_ML);
      }
    });
    active.forEach((row, q) => {
      moving.forEach((i, r) => {
        jacobian[r]![k + q] = at.gradients[row]![i]!;
      });
    });
    const move = solveLinear(jacobian, f);
    if (!move) break;
    const next = delta.slice();
    moving.forEach((i, c) => {
      next[i] = next[i]! - move[c]!;
    });
    const nextLambda = lambda.map((l, q) => l - move[k + q]!);
    if (moving.some((i) => next[i]! * start[i]! <= 0) || nextLambda.some((l) => l < 0)) break;
    if (!isEnough(problem, next)) break;
    const there = rowsAt(problem, problem.volumes(next));
    const nextF = residuals(there, nextLambda);
    if (!(size(nextF) < size(f))) break;
    [delta, lambda, at, f] = [next, nextLambda, there, nextF];
  }
  const all = new Array<number>(at.rows.length).fill(0);
  active.forEach((r, q) => {
    all[r] = lambda[q]!;
  });
  return { delta, at, lambda: all };
}

/** How far the measure's slope plus the rows' pull on amount i is from balance, and which bound it leans on. */
function balance(problem: Problem, found: Stationary, i: number, lo: Float64Array, hi: Float64Array) {
  const { delta, at, lambda } = found;
  const d = delta[i]!;
  const w = problem.search.weight[i]!;
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

function optimality(
  problem: Problem,
  found: Stationary,
  free: number[],
  lo: Float64Array,
  hi: Float64Array,
): ContinuousOptimum["kkt"] {
  const { at, lambda, delta } = found;
  const outside = (i: number) => Math.max(lo[i]! - delta[i]!, delta[i]! - hi[i]!, 0);
  return {
    stationarity: free.reduce((most, i) => Math.max(most, balance(problem, found, i, lo, hi).residual), 0),
    primal: Math.max(
      at.rows.reduce((most, _, r) => Math.max(most, violation(at, r)), 0),
      free.reduce((most, i) => Math.max(most, outside(i)), 0),
    ),
    dual: lambda.reduce((most, l) => Math.max(most, -l), 0),
    complementarity: lambda.reduce((most, l, r) => Math.max(most, Math.abs(l * at.values[r]!)), 0),
  };
}

function read(
  problem: Problem,
  found: Optimum,
  free: number[],
  lo: Float64Array,
  hi: Float64Array,
): ContinuousOptimum {
  const { delta, at, lambda, kkt } = found;
  const x = problem.volumes(delta);
  const { finished } = at.sensitivity;
  const volume = finished.finishedVolumeMl;
  const multipliers: Multiplier[] = [];
  const merged = new Map<string, { row: TrueRow; perUnit: number }>();
  lambda.forEach((l, r) => {
    const row = at.rows[r]!;
    // G is the face times the volume, so a unit of slack in the face is V units of G.
    const perUnit = l * (row.half ? volume : row.name === "glass" ? 1 : volume);
    if (perUnit <= NO_PRICE) return;
    const known = merged.get(row.name);
    if (known) known.perUnit += perUnit;
    else merged.set(row.name, { row, perUnit });
  });
  for (const { row, perUnit } of merged.values()) multipliers.push(inWords(problem, row, perUnit));
  for (const i of free) {
    const { roomAbove, roomBelow } = balance(problem, found, i, lo, hi);
    const price = Math.max(roomAbove, roomBelow);
    if (price <= NO_PRICE) continue;
    const { shortName, key } = problem.variables[i]!;
    const side = roomAbove > 0 ? "most" : "least";
    multipliers.push({
      row: `${key}-${side}`,
      value: price,
      unit: `${saved(problem)} per mL`,
      text: `The ${shortName} stands at its ${side}: each mL of room would save ${amount(problem, price)}.`,
    });
  }
  multipliers.sort((a, b) => b.value - a.value);
  return {
    amountsMl: problem.variables.map((v, i) => ({ ingredient: v.ingredient.id, ml: x[i]! })),
    point: toPoint(finished.point),
    volumeChangedMl: delta.reduce((sum, d) => sum + Math.abs(d), 0),
    multipliers,
    kkt,
  };
}

const saved = (problem: Problem) =>
  problem.measure === "cost" ? "money" : problem.measure === "relative" ? "share of an amount" : "mL";

/** A saving in the measure's unit, to two significant digits. */
function amount(problem: Problem, value: number): string {
  const text = value >= 100 ? String(Math.round(value)) : String(Number(value.toPrecision(2)));
  return problem.measure === "cost"
    ? `${text} of money moved`
    : problem.measure === "relative"
      ? `${text} of one amount`
      : `${text} mL`;
}

/** "Sugar at most 9 g/100 mL is what costs you: each 1 g/100 mL of slack would save 4 mL." */
function inWords(problem: Problem, row: TrueRow, perUnit: number): Multiplier {
  const label = upperFirst(row.label);
  if (row.half) {
    const axis = AXIS_INDICES.filter((k) => row.half!.normal[k] !== 0);
    if (axis.length === 1) {
      const k = axis[0]!;
      const { unit } = AXES[k];
      const step = k === 1 ? 0.1 : 1;
      const price = perUnit * Math.abs(row.half.normal[k]);
      return {
        row: row.name,
        value: price,
        unit: `${saved(problem)} per ${unit}`,
        text: `${label} is what costs you: each ${step} ${unit} of slack would save ${amount(problem, price * step)}.`,
      };
    }
    return {
      row: row.name,
      value: perUnit,
      unit: `${saved(problem)} per unit of the face`,
      text: row.name.includes(":tangent")
        ? `The edge of ${problem.target.name} is what costs you: the change ends exactly on it.`
        : `${label} is what costs you.`,
    };
  }
  if (row.name === "glass") {
    return {
      row: row.name,
      value: perUnit,
      unit: `${saved(problem)} per mL of glass`,
      text: `The glass is what costs you: each 10 mL more room would save ${amount(problem, 10 * perUnit)}.`,
    };
  }
  return {
    row: row.name,
    value: perUnit,
    unit: `${saved(problem)} per unit of the rule`,
    text: `${label} is what costs you.`,
  };
}
