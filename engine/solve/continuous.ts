import { AXES, toPoint } from "../axes.ts";
import type { ContinuousOptimum, Multiplier } from "../types.ts";
import {
  addTangents,
  exactRows,
  type Linearised,
  lineariseAt,
  type TrueRow,
  tangentRows,
  violation,
} from "./linearise.ts";
import { LeastChangeLp } from "./lp.ts";
import type { Problem } from "./problem.ts";
import { RowSet } from "./rows.ts";

const MAX_STEPS = 60;
/** Largest violation (axis-scale units) of a point that counts as meeting the constraints. */
const FEASIBLE = 1e-8;
/** The steps have converged when no amount moves by more than this, mL. */
const STILL_ML = 1e-8;

/**
 * The least change when any amount can be poured and any number of ingredients touched: a
 * Karush–Kuhn–Tucker point of the true model, by sequential linear programming from the relaxation's
 * optimum (rows times the finished volume are nearly linear, so steps converge at Newton's rate when
 * the optimum is a vertex; ellipsoids are met by adding a tangent plane per step). Null when no
 * cell of the relaxation leads to a point that meets the constraints.
 *
 * Multipliers are per unit of each limit. Residuals are of the true model's derivatives: stationarity in
 * measure per mL, primal in axis-scale units, dual and complementarity in the measure.
 */
export function continuousOptimum(problem: Problem): ContinuousOptimum | null {
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

  let best: { delta: Float64Array; cost: number; at: Linearised; lambda: number[] } | null = null;
  for (const start of starts) {
    if (best && start.bound >= best.cost) break;
    const found = descend(problem, start.delta, free, lo, hi, lp);
    if (found && (!best || found.cost < best.cost)) best = found;
  }
  return best && read(problem, best, free, lo, hi);
}

function descend(
  problem: Problem,
  start: Float64Array,
  free: number[],
  lo: Float64Array,
  hi: Float64Array,
  lp: LeastChangeLp,
) {
  const { weight } = problem.search;
  const n = start.length;
  const rows = exactRows(problem);
  const set = new RowSet(n);
  const boxLo = new Float64Array(n);
  const boxHi = new Float64Array(n);
  let delta = start;
  let radius = Number.POSITIVE_INFINITY;
  let lastMove = Number.POSITIVE_INFINITY;
  for (let step = 0; step < MAX_STEPS; step += 1) {
    const x = problem.volumes(delta);
    if (!x.some((ml) => ml > 0)) return null;
    addTangents(problem, rows, problem.model.finish(x).point);
    const at = lineariseAt(problem, rows, x);
    const scales = tangentRows(at, delta, set);
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
    const worst = rows.reduce((w, _, r) => Math.max(w, violation(at, r)), Number.NEGATIVE_INFINITY);
    if (move <= STILL_ML && worst <= FEASIBLE) {
      const lambda = scales.map((scale, r) => lp.multipliers[r]! / scale);
      const cost = free.reduce((sum, i) => sum + weight[i]! * Math.abs(delta[i]!), 0);
      return { delta, cost, at, lambda };
    }
    // Steps that stop shrinking are circling: hold them in a smaller box.
    if (step > 8 && move > 0.5 * lastMove) radius = Math.min(radius, move) / 2;
    lastMove = move;
    delta = lp.delta.slice();
  }
  return null;
}

function read(
  problem: Problem,
  found: { delta: Float64Array; at: Linearised; lambda: number[] },
  free: number[],
  lo: Float64Array,
  hi: Float64Array,
): ContinuousOptimum {
  const { delta, at, lambda } = found;
  const { weight } = problem.search;
  const x = problem.volumes(delta);
  const { finished } = at.sensitivity;
  const volume = finished.finishedVolumeMl;

  let stationarity = 0;
  const atBound: { i: number; price: number; side: "most" | "least" }[] = [];
  for (const i of free) {
    let slope = 0;
    at.rows.forEach((_, r) => {
      slope += lambda[r]! * at.gradients[r]![i]!;
    });
    const d = delta[i]!;
    const w = weight[i]!;
    const still = Math.abs(d) <= STILL_ML;
    // The measure's own slope lies in [least, most]; 0 must lie in slope + [least, most] up to bound multipliers.
    const least = slope + (still ? -w : Math.sign(d) * w);
    const most = slope + (still ? w : Math.sign(d) * w);
    const mayFall = d > lo[i]! + STILL_ML;
    const mayRise = d < hi[i]! - STILL_ML;
    const residual = Math.max(mayRise ? -most : 0, mayFall ? least : 0, 0);
    stationarity = Math.max(stationarity, residual);
    if (!mayRise && most < -1e-7) atBound.push({ i, price: -most, side: "most" });
    if (!mayFall && least > 1e-7) atBound.push({ i, price: least, side: "least" });
  }
  const primal = at.rows.reduce((w, _, r) => Math.max(w, violation(at, r)), 0);
  const dual = lambda.reduce((w, l) => Math.max(w, -l), 0);
  const complementarity = lambda.reduce((w, l, r) => Math.max(w, Math.abs(l * at.values[r]!)), 0);

  const multipliers: Multiplier[] = [];
  const merged = new Map<string, { row: TrueRow; perUnit: number }>();
  lambda.forEach((l, r) => {
    const row = at.rows[r]!;
    // G is the face times the volume, so a unit of slack in the face is V units of G.
    const perUnit = l * (row.half ? volume : row.name === "glass" ? 1 : volume);
    if (perUnit <= 1e-9) return;
    const known = merged.get(row.name);
    if (known) known.perUnit += perUnit;
    else merged.set(row.name, { row, perUnit });
  });
  for (const { row, perUnit } of merged.values()) multipliers.push(inWords(problem, row, perUnit));
  for (const { i, price, side } of atBound) {
    const { ingredient, key } = problem.variables[i]!;
    multipliers.push({
      row: `${key}-${side}`,
      value: price,
      unit: `${saved(problem)} per mL`,
      text: `${ingredient.name} stands at its ${side}: each mL of room would save ${amount(problem, price)}.`,
    });
  }
  multipliers.sort((a, b) => b.value - a.value);
  return {
    amountsMl: problem.variables.map((v, i) => ({ ingredient: v.ingredient.id, ml: x[i]! })),
    point: toPoint(finished.point),
    volumeChangedMl: delta.reduce((sum, d) => sum + Math.abs(d), 0),
    multipliers,
    kkt: { stationarity, primal, dual, complementarity },
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
  const label = row.label.charAt(0).toUpperCase() + row.label.slice(1);
  if (row.half) {
    const axis = ([0, 1, 2] as const).filter((k) => row.half!.normal[k] !== 0);
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
