import { lineAtVolume } from "../amounts/line.ts";
import { DEFAULT_UNIT_SETTINGS } from "../amounts/units.ts";
import { AXIS_SCALE, scaledDistance, toVec } from "../axes.ts";
import { mat3 } from "../linalg.ts";
import { constraintsOf, excessOf } from "../solve/constraint.ts";
import { isDrink } from "../solve/judge.ts";
import { readQuestion } from "../solve/question.ts";
import type { SolveRequest } from "../solve/request.ts";
import { solve } from "../solve/solve.ts";
import type { Proposal, Spec, TargetSpec, Vec3 } from "../types.ts";
import { keepMeasuredRatio, pointOf, rungsOf } from "./changed-spec.ts";

/** What to pour to come to a wished point. */
export interface WishResult {
  /** The least change that comes within `WISH_RADIUS` of the wish, on the pour ladder; null when none does. */
  proposal: Proposal | null;
  /** The pours to make: the proposal's, or those that come nearest. */
  spec: Spec;
  /** Where they land, axis units. */
  point: Vec3;
  /** Axis-scale distance from the wish. */
  far: number;
  /** The time ran out before any pour was found: `spec` is the drink as it is, and nothing is said of the rest. */
  isOutOfTime: boolean;
}

/** A drink this near to the wish, in axis-scale units, is the wished one: well under what a taster notices. */
export const WISH_RADIUS = 0.12;

/** Rungs looked at on each side of the nearest in-between amount, and the most pours tried. */
const RUNGS_AROUND = 2;
const MOST_TRIED = 4000;

/**
 * The solver run backwards: from a point of balance space to pours. The request's locks, bounds, character
 * rules, glass limit and ladder hold; its target is replaced by a small ball about the wish. When no pour on
 * the ladder comes that near, the pours around the nearest in-between amounts are tried and the best is given.
 *
 * @param wish (sugar g/100 mL, acid g/100 mL, % vol)
 * @throws EngineError for bad input
 */
export function pourForWish(request: SolveRequest, wish: Vec3): WishResult {
  const target: TargetSpec = {
    kind: "ellipsoid",
    name: "the wish",
    mean: wish,
    covariance: mat3((i, j) => (i === j ? AXIS_SCALE[i] ** 2 : 0)),
    radius: WISH_RADIUS,
  };
  const asked: SolveRequest = { ...request, target, minProbability: undefined, count: 1 };
  const result = solve(asked);
  const proposal = result.proposals[0] ?? null;
  if (proposal) {
    const point = toVec(proposal.after);
    return { proposal, spec: proposal.spec, point, far: scaledDistance(point, wish), isOutOfTime: false };
  }
  if (result.status === "already_inside") return stay(request, wish);
  if (!result.infeasible) return { ...stay(request, wish), isOutOfTime: true };
  return nearestPours(asked, wish, result.infeasible.nearest.amountsMl);
}

function stay(request: SolveRequest, wish: Vec3): WishResult {
  const { vector: point } = pointOf(request, request.spec);
  const far = scaledDistance(point, wish);
  return { proposal: null, spec: request.spec, point, far, isOutOfTime: false };
}

/** The best of the ladder's pours around in-between amounts; the spec as it is when none of them is nearer. */
function nearestPours(
  request: SolveRequest,
  wish: Vec3,
  around: readonly { ingredient: string; ml: number }[],
): WishResult {
  const { spec, pantry, ladder, locks = [], unitSettings = DEFAULT_UNIT_SETTINGS } = request;
  const question = readQuestion(request);
  const { model, volumesMl } = question.prepared;
  const ids = spec.lines.map((line) => line.ingredient);
  const choices = volumesMl.map((here, i): number[] => {
    const id = ids[i] ?? "";
    const wanted = around.find(({ ingredient }) => ingredient === id);
    const isShared = ids.indexOf(id) !== ids.lastIndexOf(id);
    if (!wanted || isShared || locks.includes(id)) return [here];
    const rungs = rungsOf(request, id, 0, 2 * here + 60);
    rungs.sort((a, b) => Math.abs(a - wanted.ml) - Math.abs(b - wanted.ml));
    return rungs.length > 0 ? rungs.slice(0, 2 * RUNGS_AROUND + 1) : [here];
  });
  // The farthest rungs go first where there are too many pours to try.
  while (choices.reduce((n, list) => n * list.length, 1) > MOST_TRIED) {
    choices.reduce((a, b) => (b.length > a.length ? b : a)).pop();
  }
  const tried = choices.reduce<number[][]>(
    (begun, rungs) => begun.flatMap((pours) => rungs.map((ml) => [...pours, ml])),
    [[]],
  );
  let best = stay(request, wish);
  const { rules } = constraintsOf(question);
  const poured = new Float64Array(question.variables.length);
  for (const pours of tried) {
    if (!isDrink(pours)) continue;
    const { point, finishedVolumeMl } = model.finish(pours);
    const far = scaledDistance(point, wish);
    poured.set(pours);
    if (far >= best.far || rules.some((rule) => excessOf(rule, poured, finishedVolumeMl) > 0)) continue;
    const lines = spec.lines.map((line, i) => {
      const ml = pours[i] ?? 0;
      if (ml === volumesMl[i]) return line;
      return lineAtVolume(line, ml, ladder, pantry.get(line.ingredient)!, unitSettings);
    });
    best = { ...best, spec: keepMeasuredRatio(request, { ...spec, lines }), point, far };
  }
  return best;
}
