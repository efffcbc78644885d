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
import type { Move, Proposal, Role, Vec3 } from "../types.ts";
import { isDrink } from "./judge.ts";
import { pouredSpec } from "./poured-spec.ts";
import { type Question, type Variable, volumesAfter } from "./question.ts";
import type { SolveRequest } from "./request.ts";
import { TRADE_OFFS } from "./trade-offs.ts";
import { moveText, type NamedMove, proposalName, type Shift, whyText } from "./words.ts";

/** Samples along each move's curve. */
export const CURVE_STEPS = 16;
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

/** A move of a proposal, in the order that it is made. */
interface Step extends NamedMove {
  /** The ingredient's id, with "#2" for its second line in the spec. */
  key: string;
  /** The curve the finished drink runs along as the amount goes from old to new. */
  points: Vec3[];
}

/** Turn accepted changes into a complete proposal. `delta` is mL by variable; `finished` its true drink. */
export function toProposal(question: Question, delta: ArrayLike<number>, finished: Finished): Proposal {
  const { request, target, prepared, before } = question;
  const x = volumesAfter(question, delta);
  const steps = stepsOf(question, delta, x);
  const moves = steps.map(({ move }) => move);
  const spec = pouredSpec(request, prepared, x);
  const axes = neededAxes(before);
  return {
    id: steps.map(({ key, move }) => `${key}:${Math.round(move.toMl * 100) / 100}`).join("+"),
    name: proposalName(steps),
    moves,
    spec,
    before: toPoint(before.point),
    after: toPoint(finished.point),
    afterSd: doubtedPoint(spec, request.pantry, { unitSettings: request.unitSettings }).sd,
    touched: moves.length,
    volumeChangedMl: moves.reduce((sum, m) => sum + Math.abs(m.deltaMl), 0),
    probabilityInside: null,
    centreDistance: target.centreDistance(finished.point),
    driftFromFirst: scaledDistance(finished.point, question.firstPoint),
    costChange: moves.reduce<number | null>((sum, { ingredient, deltaMl }) => {
      const price = request.prices?.get(ingredient);
      return sum === null || price === undefined ? null : sum + (deltaMl * price) / 1000;
    }, 0),
    finishedVolumeMl: finished.finishedVolumeMl,
    why: whyText(target.name, shiftsOf(axes, before.point, finished.point, steps), axes.length > 0),
    path: steps.map(({ move: { ingredient }, points }) => ({ ingredient, points })),
    bestAt: [],
  };
}

/** The changes as moves, in the order that a bartender tries them. */
function stepsOf(
  { request, variables, model }: Question,
  delta: ArrayLike<number>,
  x: readonly number[],
): Step[] {
  const at = variables.map((v) => v.fromMl);
  const rank = ({ ingredient }: Variable) => ORDER.indexOf(ingredient.role);
  return variables
    .flatMap((variable, i) => (delta[i] === 0 ? [] : [{ i, variable, toMl: x[i] ?? 0 }]))
    .sort((a, b) => rank(a.variable) - rank(b.variable))
    .map(({ i, variable, toMl }) => {
      const { fromMl, key, shortName: name } = variable;
      const points: Vec3[] = [];
      for (let step = 0; step <= CURVE_STEPS; step += 1) {
        at[i] = step === CURVE_STEPS ? toMl : fromMl + ((toMl - fromMl) * step) / CURVE_STEPS;
        if (isDrink(at)) points.push(model.finish(at).point);
      }
      return { key, name, move: toMove(request, variable, toMl), points };
    });
}

function toMove(
  { ladder, unitSettings: settings }: SolveRequest,
  { fromMl, ingredient, shortName }: Variable,
  toMl: number,
): Move {
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

/** The axes that had to move: those on which the old drink and its nearest inside point differ. */
function neededAxes({ point, membership }: Question["before"]): AxisIndex[] {
  const gap = toScaled(subtract3(toVec(membership.nearest), point));
  const most = Math.max(...gap.map(Math.abs));
  return AXIS_INDICES.filter((k) => norm3(gap) > 0 && Math.abs(gap[k]) >= NEEDED_SHARE * most);
}

/** For each axis that had to move and is seen to, from where to where, and the move that did most of it. */
function shiftsOf(axes: readonly AxisIndex[], before: Vec3, after: Vec3, steps: readonly Step[]): Shift[] {
  return axes
    .map((axis) => ({ axis, from: before[axis], to: after[axis] }))
    .filter(({ axis, from, to }) => showOnAxis(axis, from) !== showOnAxis(axis, to))
    .map(({ axis, from, to }) => {
      const helps = ({ points }: Step) =>
        Math.sign(to - from) * ((points.at(-1)?.[axis] ?? 0) - (points[0]?.[axis] ?? 0));
      return { axis, from, to, by: steps.reduce((best, step) => (helps(step) > helps(best) ? step : best)) };
    });
}

/** Mark each proposal with the trade-offs it is best at (ties share). */
export function markBest(proposals: readonly Proposal[]): void {
  for (const { bestAt, of } of TRADE_OFFS) {
    const values = proposals.flatMap((p) => of(p) ?? []);
    if (values.length < proposals.length) continue;
    const best = Math.min(...values);
    for (const p of proposals) if ((of(p) ?? best) <= best + 1e-9) p.bestAt.push(bestAt);
  }
}
