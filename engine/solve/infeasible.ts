import { AXIS_SCALE, toPoint } from "../axes.ts";
import type { Vec3 } from "../types.ts";
import { toCertificate } from "./certificate.ts";
import { addTangents, exactRows, faceRow, lineariseAt, rowScale, tangentRows } from "./linearise.ts";
import { LeastChangeLp } from "./lp.ts";
import { isDrink, type Problem } from "./problem.ts";
import type { InfeasibleReport } from "./request.ts";
import { RowSet } from "./rows.ts";
import type { LadderSearch } from "./search.ts";

const MAX_STEPS = 40;
/** The distance found and its lower bound agree to this, axis-scale units. */
const CLOSE = 1e-6;
/** Moving less is preferred only between equally near drinks. */
const CHANGE_WEIGHT = 1e-7;
const MOST_DISTANCE = 1e4;

/** Say why nothing is inside, and how near one can get. */
export function infeasibleReport(
  problem: Problem,
  search: LadderSearch,
  continuousFeasible: boolean,
): InfeasibleReport {
  const x = nearestReachable(problem);
  const finished = problem.model.finish(x);
  const membership = problem.target.membership(finished.point);
  const all = search.live.length === 0 ? search.ruled.slice(0, problem.cells.length) : [];
  const refutation =
    all.length === 1
      ? toCertificate(problem, search, { bound: null, gap: 0, proved: true }, all).refutations[0]!
      : null;
  const why = continuousFeasible
    ? problem.maxTouched < search.movable().length
      ? `In-between amounts of more ingredients would do, but no pour on this ladder with at most ${problem.maxTouched} changed does.`
      : "In-between amounts would do, but no pour on this ladder lands inside: a finer ladder would help."
    : membership.inside
      ? `No drink within these limits is inside ${problem.target.name} and keeps every rule.`
      : `No amounts within these limits reach ${problem.target.name}; the nearest drink is ${membership.signedDistance.toFixed(2)} steps away (${membership.text})`;
  return {
    continuousFeasible,
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

/**
 * The reachable drink closest to the target in axis-scale distance: minimise t subject to
 * "no further than t outside" for every face and for a plane at right angles to the shortest line from
 * the current drink to the target, which is added each step (a cutting-plane method on the distance,
 * each step a linear program on the true model's tangents).
 */
function nearestReachable(problem: Problem): number[] {
  const { variables, target } = problem;
  const n = variables.length;
  const free = variables.map((_, i) => i).filter((i) => !variables[i]!.locked);
  const lo = new Float64Array(n + 1);
  const hi = new Float64Array(n + 1);
  const weight = new Float64Array(n + 1).fill(CHANGE_WEIGHT);
  weight[n] = 1;
  hi[n] = MOST_DISTANCE;
  for (const i of free) {
    lo[i] = variables[i]!.minMl - variables[i]!.fromMl;
    hi[i] = variables[i]!.maxMl - variables[i]!.fromMl;
  }
  const lp = new LeastChangeLp(n + 1);
  const set = new RowSet(n + 1);
  const rows = exactRows(problem);
  let delta = new Float64Array(n);
  let best = problem.volumes(delta);
  let bestDistance = Number.POSITIVE_INFINITY;
  for (let step = 0; step < MAX_STEPS; step += 1) {
    const x = problem.volumes(delta);
    if (!isDrink(x)) break;
    addTangents(problem, rows, problem.model.finish(x).point, 1);
    const at = lineariseAt(problem, rows, x);
    const { point, finishedVolumeMl } = at.sensitivity.finished;
    const nearest = target.nearest(point);
    const gap: Vec3 = [
      (point[0] - nearest[0]) / AXIS_SCALE[0],
      (point[1] - nearest[1]) / AXIS_SCALE[1],
      (point[2] - nearest[2]) / AXIS_SCALE[2],
    ];
    const distance = Math.hypot(...gap);
    const keepsRules = at.rows.every(
      (row, r) => row.region === 0 || at.values[r]! <= 1e-6 * finishedVolumeMl,
    );
    if (distance < bestDistance && (keepsRules || step === 0)) {
      bestDistance = step === 0 && !keepsRules ? Number.POSITIVE_INFINITY : distance;
      best = x;
    }
    if (distance > 1e-9) {
      const normal: Vec3 = [
        gap[0] / distance / AXIS_SCALE[0],
        gap[1] / distance / AXIS_SCALE[1],
        gap[2] / distance / AXIS_SCALE[2],
      ];
      const offset = normal[0] * nearest[0] + normal[1] * nearest[1] + normal[2] * nearest[2];
      rows.push(faceRow(problem, { id: `nearest:${step}`, normal, offset, label: target.name }, 0));
    }
    const now = lineariseAt(problem, rows, x);
    tangentRows(now, delta, set, (row) => (row.region === 0 ? rowScale(row) * finishedVolumeMl : 0));
    if (lp.solve(set, [...free, n], lo, hi, weight) !== "optimal") break;
    if (bestDistance - lp.delta[n]! < CLOSE) break;
    delta = lp.delta.slice(0, n);
  }
  return best;
}
