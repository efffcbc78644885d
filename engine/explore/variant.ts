import { scaledDistance, toVec } from "../axes.ts";
import { createMixModel } from "../dilution/model.ts";
import { place } from "../place/place.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import { CURVE_STEPS } from "../solve/proposal.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { compileTarget } from "../targets/compile-target.ts";
import type { KeepId, Move, Proposal, Spec, Vec3 } from "../types.ts";
import { lowerFirst } from "../wording.ts";
import { chanceOf } from "./chance.ts";
import { keepMeasuredRatio, pointOf } from "./changed-spec.ts";
import { idsOf } from "./keeps.ts";
import { solveKeeping } from "./solve-keeping.ts";

/** A spec changed by one structural move (swap, syrup strength, method, scale), before any pouring. */
export interface Variant {
  id: string;
  name: string;
  move: Move;
  spec: Spec;
  /** Liquid changed by the move itself, mL: a swap changes all that it replaces. */
  volumeChangedMl: number;
}

/** How one way of going about it ends. */
export interface Solved {
  status: SolveResult["status"];
  /** Null when this way does not get there within the limits. */
  proposal: Proposal | null;
  /** Habits of the trade let go of to get there. */
  loosened: KeepId[];
}

/**
 * Solve a variant within the habits of the trade, as they read for the changed spec: the structural move counts as
 * one ingredient touched, the least pours come after it in the same proposal.
 */
export function solveVariant(request: SolveRequest, given: Variant): Solved {
  const variant = { ...given, spec: keepMeasuredRatio(request, given.spec) };
  const left = request.maxTouched === undefined ? undefined : request.maxTouched - 1;
  if (left !== undefined && left < 0) return { status: "infeasible", proposal: null, loosened: [] };
  // Drift is measured from the drink as it was, not from the variant.
  const kept = solveKeeping({
    ...request,
    spec: variant.spec,
    firstRound: request.firstRound ?? request.spec,
    maxTouched: left,
    count: 1,
  });
  const { status, proposals } = kept.solved;
  const loosened = idsOf(kept.keeps, "loosened");
  const pours = status === "already_inside" ? null : proposals[0];
  return { status, proposal: pours === undefined ? null : assemble(request, variant, pours), loosened };
}

function assemble(request: SolveRequest, variant: Variant, pours: Proposal | null): Proposal {
  const before = place(request.spec, request.pantry, request);
  const spec = pours?.spec ?? variant.spec;
  const after = place(spec, request.pantry, request);
  const first = pointOf(request, request.firstRound ?? request.spec).vector;
  const target = compileTarget(request.target);
  const curve = structuralCurve(request, variant);
  const moves = [variant.move, ...(pours?.moves ?? [])];
  return {
    id: pours ? `${variant.id}+${pours.id}` : variant.id,
    name: pours ? `${variant.name}, then ${lowerFirst(pours.name)}` : variant.name,
    moves,
    spec,
    before: before.point,
    after: after.point,
    afterSd: after.sd,
    touched: new Set(moves.map((m) => m.ingredient)).size,
    volumeChangedMl: variant.volumeChangedMl + (pours?.volumeChangedMl ?? 0),
    probabilityInside: chanceOf(after, target),
    centreDistance: target.centreDistance(toVec(after.point)),
    driftFromFirst: scaledDistance(toVec(after.point), first),
    costChange: after.cost !== null && before.cost !== null ? after.cost - before.cost : null,
    finishedVolumeMl: after.finishedVolumeMl,
    why: `${variant.move.text} moves the point to ${tell(curve.at(-1)!)}${pours ? `; then ${lowerFirst(pours.why)}` : ", which is inside on its own."}`,
    path: [{ ingredient: variant.move.ingredient, points: curve }, ...(pours?.path ?? [])],
    bestAt: [],
  };
}

const tell = (v: Vec3) => `${v[0].toFixed(1)} sugar, ${v[1].toFixed(2)} acid, ${v[2].toFixed(1)} % vol`;

/**
 * The true curve of the structural move: both drinks poured side by side, the old one shrinking as the
 * new one grows, and the ice water going from the old amount to the new.
 */
function structuralCurve(request: SolveRequest, variant: Variant): Vec3[] {
  const from = prepareSpec(request.spec, request.pantry, request);
  const to = prepareSpec(variant.spec, request.pantry, request);
  const wet = [from.model.finish(from.volumesMl), to.model.finish(to.volumesMl)] as const;
  const items = [from, to].flatMap(({ model }) =>
    model.ingredients.map((ingredient, i) => ({ ingredient, stage: model.stages[i]! })),
  );
  return Array.from({ length: CURVE_STEPS + 1 }, (_, k) => {
    const t = k / CURVE_STEPS;
    if (k === 0) return wet[0].point;
    if (k === CURVE_STEPS) return wet[1].point;
    const volumes = [...from.volumesMl.map((v) => (1 - t) * v), ...to.volumesMl.map((v) => t * v)];
    const waterMl = (1 - t) * wet[0].waterMl + t * wet[1].waterMl;
    return createMixModel(items, variant.spec.method, { model: "measured", waterMl }, volumes).finish(volumes)
      .point;
  });
}
