import { amountOnLadder } from "../amounts/format-amount.ts";
import { fromVolumeMl } from "../amounts/units.ts";
import {
  AXIS_INDICES,
  type AxisIndex,
  scaledDistance,
  showOnAxis,
  toPoint,
  toScaled,
  toVec,
} from "../axes.ts";
import type { Finished } from "../dilution/model.ts";
import { norm3, subtract3 } from "../linalg.ts";
import { doubtedPoint } from "../place/doubted-point.ts";
import type { Membership, Move, Proposal, Role, Vec3 } from "../types.ts";
import { isDrink } from "./judge.ts";
import { pouredSpec } from "./poured-spec.ts";
import { type Question, volumesAfter } from "./question.ts";
import { TRADE_OFFS } from "./trade-offs.ts";
import { moveText, proposalName, whyText } from "./words.ts";

/** Samples along each move's curve. */
const CURVE_STEPS = 16;
/** An axis whose gap is this share of the largest had to move. */
const NEEDED_SHARE = 0.25;

/** The order a bartender tries changes in: acid first, then sweetness, then strength, then length. */
const ORDER: readonly Role[] = [
  "sour-juice",
  "acid",
  "sweet-juice",
  "syrup",
  "sugar",
  "liqueur",
  "fortified-wine",
  "wine",
  "bitters",
  "spirit",
  "egg",
  "dairy",
  "tea-coffee",
  "lengthener",
  "other",
];

/** Where the drink stood. */
export interface Before {
  point: Vec3;
  membership: Membership;
}

/** Turn accepted changes into a complete proposal. `delta` is mL by variable; `finished` its true drink. */
export function toProposal(
  question: Question,
  delta: ArrayLike<number>,
  finished: Finished,
  before: Before,
): Proposal {
  const { request, variables, target, prepared } = question;
  const x = volumesAfter(question, delta);
  const rank = (i: number) => ORDER.indexOf(variables[i]!.ingredient.role);
  const touched = [...variables.keys()]
    .filter((i) => delta[i] !== 0)
    .sort((i, j) => rank(i) - rank(j) || i - j);
  const moves = touched.map((i) => toMove(question, i, x[i]!));
  const spec = pouredSpec(request, prepared, x);
  const path = curves(question, x, touched);
  const prices = touched.map((i) => request.prices?.get(variables[i]!.ingredient.id));
  const names = touched.map((i) => variables[i]!.shortName);
  return {
    id: touched.map((i) => `${variables[i]!.key}:${Math.round(x[i]! * 100) / 100}`).join("+"),
    name: proposalName(moves, names),
    moves,
    spec,
    before: toPoint(before.point),
    after: toPoint(finished.point),
    afterSd: doubtedPoint(spec, request.pantry, { unitSettings: request.unitSettings }).sd,
    touched: touched.length,
    volumeChangedMl: moves.reduce((sum, m) => sum + Math.abs(m.deltaMl), 0),
    probabilityInside: null,
    centreDistance: target.centreDistance(finished.point),
    driftFromFirst: scaledDistance(finished.point, question.firstPoint),
    costChange: moves.reduce<number | null>((sum, m, k) => {
      const price = prices[k];
      return sum === null || price === undefined ? null : sum + (m.deltaMl * price) / 1000;
    }, 0),
    finishedVolumeMl: finished.finishedVolumeMl,
    why: whyText(
      target.name,
      shiftsOf(before, finished.point, path).map(({ move: k, ...shift }) => {
        const [move, name] = [moves[k], names[k]];
        return { ...shift, by: move && name !== undefined ? { move, name } : null };
      }),
      neededAxes(before).length > 0,
    ),
    path: path.map((points, k) => ({ ingredient: moves[k]!.ingredient, points })),
    bestAt: [],
  };
}

function toMove({ request, variables }: Question, i: number, toMl: number): Move {
  const { fromMl, ingredient, shortName } = variables[i]!;
  const { ladder, unitSettings: settings } = request;
  const context = { settings, ingredient };
  const { amount, unit } = amountOnLadder(toMl > 0 ? toMl : fromMl, ladder, context);
  const move = {
    kind: fromMl === 0 ? ("add" as const) : toMl === 0 ? ("drop" as const) : ("pour" as const),
    ingredient: ingredient.id,
    fromMl,
    toMl,
    deltaMl: toMl - fromMl,
    fromAmount: fromVolumeMl(fromMl, unit, context),
    toAmount: toMl > 0 ? amount : 0,
    unit,
  };
  return { ...move, text: moveText(move, shortName, ladder, context) };
}

/** The curve the finished drink runs along, move by move, as each amount goes from old to new. */
function curves({ variables, model }: Question, x: readonly number[], touched: readonly number[]): Vec3[][] {
  const at = variables.map((v) => v.fromMl);
  return touched.map((i) => {
    const [from, to] = [at[i]!, x[i]!];
    const points: Vec3[] = [];
    for (let step = 0; step <= CURVE_STEPS; step += 1) {
      at[i] = step === CURVE_STEPS ? to : from + ((to - from) * step) / CURVE_STEPS;
      if (isDrink(at)) points.push(model.finish(at).point);
    }
    return points;
  });
}

/** The axes that had to move: those on which the old drink and its nearest inside point differ. */
function neededAxes({ point, membership }: Before): AxisIndex[] {
  const gap = toScaled(subtract3(toVec(membership.nearest), point));
  const most = Math.max(...gap.map(Math.abs));
  return AXIS_INDICES.filter((k) => norm3(gap) > 0 && Math.abs(gap[k]) >= NEEDED_SHARE * most);
}

/** For each axis that had to move, from where to where, and the move that did most of it. */
function shiftsOf(before: Before, after: Vec3, path: readonly Vec3[][]) {
  const byMove = path.map((points): Vec3 => {
    const [first, last] = [points[0], points.at(-1)];
    return first && last ? subtract3(last, first) : [0, 0, 0];
  });
  return neededAxes(before)
    .map((axis) => ({ axis, from: before.point[axis], to: after[axis] }))
    .filter(({ axis, from, to }) => showOnAxis(axis, from) !== showOnAxis(axis, to))
    .map(({ axis, from, to }) => {
      const helped = byMove.map((shift) => Math.sign(to - from) * shift[axis]);
      return { axis, from, to, move: helped.indexOf(Math.max(...helped)) };
    });
}

/** Mark each proposal with the trade-offs it is best at (ties share). */
export function markBest(proposals: readonly Proposal[]): void {
  for (const { bestAt, of } of TRADE_OFFS) {
    const values = proposals.flatMap((p) => of(p) ?? []);
    if (values.length < proposals.length) continue;
    const best = Math.min(...values);
    proposals.forEach((p, i) => {
      if (values[i]! <= best + 1e-9) p.bestAt.push(bestAt);
    });
  }
}
