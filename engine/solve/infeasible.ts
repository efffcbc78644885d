import { AXIS_SCALE, type AxisIndex, scaledDistance, toPoint } from "../axes.ts";
import { dot3, matVec3, subtract3 } from "../linalg.ts";
import type { Vec3 } from "../types.ts";
import { toCertificate } from "./certificate.ts";
import { addTangents, exactRows, faceRow, lineariseAt, rowScale, type TrueRow } from "./linearise.ts";
import { LeastChangeLp } from "./lp.ts";
import { isDrink, type Problem } from "./problem.ts";
import type { InfeasibleReport } from "./request.ts";
import { RowSet } from "./rows.ts";
import type { LadderSearch } from "./search.ts";

const MAX_STEPS = 80;
/** Steps that promise less than this (axis-scale units, or shares of the glass) are not worth taking. */
const CLOSE = 1e-7;
/** Moving less is preferred only between equally near drinks. */
const CHANGE_WEIGHT = 1e-9;
const MOST_DISTANCE = 1e4;
/** A rule broken by less than this share of the glass, or of a step of drift, is kept. */
const KEPT = 1e-6;
/** Shares of a step that are tried when all of it does not help. */
const SHARES = [1, 0.7, 0.5, 0.35, 0.25, 0.15, 0.08, 0.04, 0.02];
/** Halvings of the way back from a drink that breaks a rule. */
const HALVINGS = 24;
/** A start is sought this far inside the rules, so that there is room to move along them. */
const ROOM = 0.02;
/** Amounts held in a box smaller than this, mL, have nowhere better to go. */
const LEAST_BOX_ML = 1e-5;

/** Say why nothing is inside, and how near one can get. */
export function infeasibleReport(
  problem: Problem,
  search: LadderSearch,
  continuousFeasible: boolean,
): InfeasibleReport {
  const { x, keepsRules } = nearestReachable(problem);
  const finished = problem.model.finish(x);
  const membership = problem.target.membership(finished.point);
  const all = search.live.length === 0 ? search.ruled.slice(0, problem.cells.length) : [];
  const refutation =
    all.length === 1
      ? toCertificate(problem, search, { bound: null, gap: 0, proved: true }, all).refutations[0]!
      : null;
  const inBetween = continuousFeasible || (membership.inside && keepsRules);
  const why = inBetween
    ? problem.maxTouched < search.movable().length
      ? `In-between amounts of more ingredients would do, but no pour on this ladder with at most ${problem.maxTouched} changed does.`
      : "In-between amounts would do, but no pour on this ladder lands inside: a finer ladder would help."
    : !keepsRules
      ? "No drink was found within these limits that keeps every rule at once (glass, character, drift), whatever the target."
      : `No amounts within these limits reach ${problem.target.name}; the nearest drink is ${membership.signedDistance.toFixed(2)} steps away (${membership.text})`;
  return {
    continuousFeasible: inBetween,
    nearest: {
      amountsMl: problem.variables.map((v, i) => ({ ingredient: v.ingredient.id, ml: x[i]! })),
      point: toPoint(finished.point),
      membership,
      finishedVolumeMl: finished.finishedVolumeMl,
    },
    refutation,
    text: why,
  };
}

/** A drink, and how far from wanted it is. */
interface Reached {
  x: number[];
  far: number;
}

/** How far a drink is from keeping every rule, negative with room to spare: shares of the glass, or steps of drift. */
function ruleBreach(problem: Problem, x: readonly number[]): number {
  const { point, finishedVolumeMl } = problem.model.finish(x);
  const glass = problem.plain.map((row) => {
    const left = row.coefficient.reduce((sum, a, i) => sum + a * x[i]!, row.volumeFactor * finishedVolumeMl);
    return (left - row.limit) / (finishedVolumeMl * Math.max(1, Math.abs(row.volumeFactor)));
  });
  const drift = problem.curves.map((curve) => {
    if (curve.region === 0) return Number.NEGATIVE_INFINITY;
    const d = subtract3(point, curve.mean);
    return Math.sqrt(dot3(d, matVec3(curve.inverse, d))) - curve.radius;
  });
  return Math.max(...glass, ...drift);
}

/**
 * The reachable drink closest to the target in axis-scale distance among those that keep the rules (glass,
 * character, drift), whatever the ladder; when none keeps them, the one that breaks them least.
 */
function nearestReachable(problem: Problem): Reached & { keepsRules: boolean } {
  const { target, model, variables } = problem;
  const breach = (x: readonly number[]) => ruleBreach(problem, x);
  const distance = (x: readonly number[]) => {
    const { point } = model.finish(x);
    return scaledDistance(point, target.nearest(point));
  };
  const keeps = (x: readonly number[]) => breach(x) <= KEPT;
  const from = (start: number[]) => {
    let x = start;
    if (!keeps(x)) {
      const kept = approach(
        problem,
        x,
        false,
        (y) => Math.max(0, breach(y) + ROOM),
        () => true,
      );
      if (!keeps(kept.x)) return { ...kept, keepsRules: false };
      x = kept.x;
    }
    return { ...approach(problem, x, true, distance, keeps), keepsRules: true };
  };
  const starts = [variables.map((v) => v.fromMl)];
  if (model.dilution.heat !== null) {
    // Where the ice runs out its water has a kink, and what can be reached a dent: look from all sides.
    starts.push(
      ...(["minMl", "maxMl"] as const).map((end) => variables.map((v) => (v.locked ? v.fromMl : v[end]))),
    );
  }
  const reached = starts.filter(isDrink).map(from);
  const nearer = (a: (typeof reached)[number], b: (typeof reached)[number]) =>
    a.keepsRules === b.keepsRules ? a.far < b.far : a.keepsRules;
  return reached.reduce((best, r) => (nearer(r, best) ? r : best));
}

/**
 * Lower `far` from a start by sequential linear programs in a box that shrinks when a step does not help and
 * grows when it does. The rows to be brought down (the target's faces and the planes at right angles to the
 * shortest lines found so far; or the rules) read G(x) ≤ t·V(x), less some room for the rules; t·V is taken to
 * first order too, which is Newton's method on a ratio.
 */
function approach(
  problem: Problem,
  start: number[],
  toTarget: boolean,
  far: (x: readonly number[]) => number,
  allowed: (x: readonly number[]) => boolean,
): Reached {
  const { variables, target } = problem;
  const n = variables.length;
  const free = variables.map((_, i) => i).filter((i) => !variables[i]!.locked);
  const lo = new Float64Array(n + 1);
  const hi = new Float64Array(n + 1);
  hi[n] = MOST_DISTANCE;
  const weight = new Float64Array(n + 1).fill(CHANGE_WEIGHT);
  weight[n] = 1;
  const lp = new LeastChangeLp(n + 1);
  const set = new RowSet(n + 1);
  const rows = exactRows(problem).filter((row) => toTarget || row.region !== 0);
  const line = new Float64Array(n + 1);
  /** Add the planes that a drink at this point shows: of the drift ball, and of the shortest way to the target. */
  const see = (point: Vec3, name: string) => {
    addTangents(problem, rows, point, 1);
    const nearest = target.nearest(point);
    const distance = scaledDistance(point, nearest);
    if (toTarget && distance > 0) rows.push(planeTowards(problem, point, nearest, distance, name));
  };
  /** The last allowed drink on the way from the start to y: a step along a curved edge ends on it, not beyond. */
  const within = (y: number[]): number[] => {
    if (isDrink(y) && allowed(y)) return y;
    let [inside, outside] = [0, 1];
    const at = (share: number) => start.map((ml, i) => ml + share * (y[i]! - ml));
    for (let k = 0; k < HALVINGS; k += 1) {
      const middle = (inside + outside) / 2;
      const z = at(middle);
      if (isDrink(z) && allowed(z)) inside = middle;
      else outside = middle;
    }
    return at(inside);
  };
  let best: Reached = { x: start, far: far(start) };
  let box = Number.POSITIVE_INFINITY;
  for (let step = 0; step < MAX_STEPS && best.far > 0 && box > LEAST_BOX_ML; step += 1) {
    const { x, far: t } = best;
    see(problem.model.finish(x).point, `${step}`);
    const at = lineariseAt(problem, rows, x);
    const volume = at.sensitivity.finished.finishedVolumeMl;
    const perPour = x.map((_, i) => at.sensitivity.pour(i)[3]);
    const aim = toTarget ? t : t - ROOM;
    set.clear();
    rows.forEach((row, r) => {
      const soft = (row.region === 0) === toTarget ? rowScale(row) : 0;
      let b = -at.values[r]! - (toTarget ? 0 : ROOM * soft * volume);
      for (let i = 0; i < n; i += 1) {
        line[i] = at.gradients[r]![i]! - soft * aim * perPour[i]!;
        b += line[i]! * (x[i]! - variables[i]!.fromMl);
      }
      line[n] = -soft * volume;
      set.add(row.name, line, b);
    });
    for (const i of free) {
      const { fromMl, minMl, maxMl } = variables[i]!;
      lo[i] = Math.max(minMl, x[i]! - box) - fromMl;
      hi[i] = Math.min(maxMl, x[i]! + box) - fromMl;
    }
    if (lp.solve(set, [...free, n], lo, hi, weight) !== "optimal") {
      box = (box === Number.POSITIVE_INFINITY ? Math.max(...x) : box) / 4;
      continue;
    }
    const next = problem.volumes(lp.delta);
    const move = next.reduce((most, ml, i) => Math.max(most, Math.abs(ml - x[i]!)), 0);
    if (t - lp.delta[n]! < CLOSE) break;
    // What the rows could not see at x they see at the end of the step, taken or not.
    if (isDrink(next)) see(problem.model.finish(next).point, `${step}+`);
    let taken = 0;
    for (const share of SHARES) {
      const y = within(x.map((ml, i) => ml + share * (next[i]! - ml)));
      if (!isDrink(y)) continue;
      const there = far(y);
      if (there >= best.far) {
        if (taken > 0) break;
        continue;
      }
      best = { x: y, far: there };
      taken = share;
    }
    box = taken === 1 ? 2 * box : Math.max(taken, 0.25) * move;
  }
  return best;
}

/** The plane through the target's nearest point at right angles to the line from the drink to it. */
function planeTowards(problem: Problem, point: Vec3, nearest: Vec3, distance: number, name: string): TrueRow {
  const towards = (k: AxisIndex) => (point[k] - nearest[k]) / (distance * AXIS_SCALE[k] * AXIS_SCALE[k]);
  const normal: Vec3 = [towards(0), towards(1), towards(2)];
  const half = { id: `nearest:${name}`, normal, offset: dot3(normal, nearest), label: problem.target.name };
  return { ...faceRow(problem, half, 0), volumeFactor: -half.offset };
}
