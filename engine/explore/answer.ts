import { formatAmount, formatDelta } from "../amounts/format-amount.ts";
import { rungsBetween } from "../amounts/ladder.ts";
import { toVolumeMl } from "../amounts/units.ts";
import { AXES, AXIS_INDEX, AXIS_SCALE, toPoint, toVec, unitAxis } from "../axes.ts";
import { createMixModel } from "../dilution/model.ts";
import { fail } from "../errors.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { compileTarget } from "../targets/compile-target.ts";
import type { HalfSpace, Membership, Point, Proposal, Spec, SpecLine, TargetSpec, Vec3 } from "../types.ts";
import { upperFirst } from "../wording.ts";
import { checkRequest } from "./asking.ts";
import { solveWithChance } from "./chance.ts";
import { keepMeasuredRatio, pointOf, pouredMl, swapIngredient } from "./changed-spec.ts";
import { type Intent, KEEP_TOLERANCE_SCALES, LEAN_STEP_SCALES, LEANS, type WhatIfChange } from "./intent.ts";

/** The answer to a question: one paragraph of words, and the numbers it rests on. */
export interface Answer {
  ask: Intent["ask"];
  text: string;
  before: Point;
  /** Where the drink would be; null when the question changes nothing or nothing gets there. */
  after: Point | null;
  /** Of `after` where there is one, else of `before`. */
  membership: Membership;
  /** The changed spec, ready to take as a new round. */
  spec: Spec | null;
  /** how-much: every amount on the ladder from least to most keeps the drink inside. */
  range: { ingredient: string; fromMl: number; leastMl: number; mostMl: number } | null;
  /** lean: the least changes that do it, and how sure. */
  proposals: Proposal[];
  status: SolveResult["status"] | null;
}

/** Furthest a single ingredient is tried by how-much, mL above the present amount; more is another drink. */
const HOW_MUCH_REACH_ML = 90;

/**
 * Answer a structured question about the request's spec, on its pour ladder and target.
 *
 * @throws EngineError for an ingredient that is not in the pantry, or a change to one not in the drink
 */
export function answer(intent: Intent, request: SolveRequest): Answer {
  checkRequest(request);
  switch (intent.ask) {
    case "where":
      return where(request);
    case "how-much":
      return howMuch(intent.ingredient, request);
    case "what-if":
      return whatIf(intent.changes, request);
    case "lean":
      return lean(intent, request);
  }
}

const targetName = (request: SolveRequest) => request.target.name ?? "the target";

function where(request: SolveRequest): Answer {
  const { vector, point } = pointOf(request, request.spec);
  const membership = compileTarget(request.target).membership(vector);
  const text = membership.inside
    ? `Inside ${targetName(request)}: ${tell(vector)}.`
    : `${membership.text} It sits at ${tell(vector)}.`;
  return { ...blank("where", point, membership), text };
}

function blank(ask: Intent["ask"], before: Point, membership: Membership): Answer {
  return {
    ask,
    text: "",
    before,
    after: null,
    membership,
    spec: null,
    range: null,
    proposals: [],
    status: null,
  };
}

const tell = (v: Vec3) =>
  `${v[0].toFixed(1)} g sugar, ${v[1].toFixed(2)} g acid per 100 mL, ${v[2].toFixed(1)} % vol`;

function howMuch(id: string, request: SolveRequest): Answer {
  const ingredient = known(request, id, "/intent/ingredient");
  const base = prepareSpec(request.spec, request.pantry, { unitSettings: request.unitSettings });
  const held = base.model.ingredients.map((i) => i.id === id);
  const presentMl = base.volumesMl.reduce((sum, v, i) => sum + (held[i] ? v : 0), 0);
  // The ingredient's lines are taken out and one line of it is varied.
  const items = base.model.ingredients.flatMap((i, k) =>
    held[k] ? [] : [{ ingredient: i, stage: base.model.stages[k]! }],
  );
  const others = base.volumesMl.filter((_, k) => !held[k]);
  const stage = held.includes(true)
    ? base.model.stages[held.indexOf(true)]!
    : ingredient.addAfterDilution
      ? ("top" as const)
      : ("mix" as const);
  const volumesAt = (ml: number) => [...others, ml];
  const all = [...items, { ingredient, stage }];
  // A measured dilution keeps its ratio of water to pours, so it is read off the spec as it stands.
  const dilution = request.spec.dilution;
  const model = createMixModel(all, request.spec.method, dilution, volumesAt(presentMl));
  const target = compileTarget(request.target);
  const now = model.finish(volumesAt(presentMl)).point;

  const rungs = rungsBetween(
    0,
    presentMl + HOW_MUCH_REACH_ML,
    request.ladder,
    ingredient,
    request.unitSettings,
  );
  const tried = [...new Set([...rungs, presentMl])]
    .sort((a, b) => a - b)
    .filter((ml) => ml > 0 || others.some((v) => v > 0))
    .map((ml) => ({ ml, point: model.finish(volumesAt(ml)).point }))
    .map((t) => ({ ...t, membership: target.membership(t.point) }));
  const ctx = { settings: request.unitSettings, ingredient };
  const say = (ml: number) => (ml === 0 ? "none" : formatAmount(ml, request.ladder, ctx));
  const before = toPoint(now);
  const blankAnswer = blank("how-much", before, target.membership(now));

  const inside = tried.filter((t) => t.membership.inside);
  if (inside.length === 0) {
    const nearest = tried.reduce((a, b) =>
      b.membership.signedDistance < a.membership.signedDistance ? b : a,
    );
    return {
      ...blankAnswer,
      after: toPoint(nearest.point),
      membership: nearest.membership,
      status: "infeasible",
      text: `No amount of ${ingredient.name} alone brings this into ${targetName(request)}. Closest is ${say(nearest.ml)} (now ${say(presentMl)}), where it sits at ${tell(nearest.point)}. ${nearest.membership.text}`,
    };
  }
  const best = inside.reduce((a, b) => (Math.abs(b.ml - presentMl) < Math.abs(a.ml - presentMl) ? b : a));
  // The run of neighbouring rungs around the least change that are all inside.
  const at = tried.indexOf(best);
  let low = at;
  let high = at;
  while (tried[low - 1]?.membership.inside) low -= 1;
  while (tried[high + 1]?.membership.inside) high += 1;
  const leastMl = tried[low]!.ml;
  const mostMl = tried[high]!.ml;
  const band =
    leastMl === mostMl
      ? "That is the only amount on your ladder that does."
      : `Anything from ${say(leastMl)} to ${say(mostMl)} stays inside.`;
  const already = best.ml === presentMl;
  return {
    ...blankAnswer,
    after: toPoint(best.point),
    membership: best.membership,
    spec: already ? null : keepMeasuredRatio(request, withAmount(request, id, best.ml)),
    range: { ingredient: id, fromMl: presentMl, leastMl, mostMl },
    status: already ? "already_inside" : "optimal",
    text: already
      ? `Already inside ${targetName(request)} with ${say(presentMl)} of ${ingredient.name}. ${band}`
      : `${ingredient.name}: ${say(presentMl)} → ${say(best.ml)} (${formatDelta(best.ml - presentMl, request.ladder, ctx)}) brings this into ${targetName(request)}: ${tell(best.point)}. ${band}`,
  };
}

function whatIf(changes: readonly WhatIfChange[], request: SolveRequest): Answer {
  if (changes.length === 0) fail("/intent/changes", "no change is given", "name at least one change");
  const before = pointOf(request, request.spec);
  const spec = keepMeasuredRatio(
    request,
    changes.reduce((s, change, i) => applied(change, { ...request, spec: s }, i), request.spec),
  );
  const after = pointOf(request, spec);
  const target = compileTarget(request.target);
  const membership = target.membership(after.vector);
  const moved = AXES.map((axis, i) => {
    const d = after.vector[i]! - before.vector[i]!;
    return Math.abs(d) < 0.01 * axis.scale
      ? `${axis.name} stays`
      : `${axis.name} ${d > 0 ? "up" : "down"} ${Math.abs(d).toFixed(axis.scale < 1 ? 2 : 1)}`;
  });
  const stays = moved.every((m) => m.endsWith("stays"));
  return {
    ...blank("what-if", before.point, membership),
    after: after.point,
    spec,
    text: `${stays ? "Nothing moves on these three axes; aroma, bitterness and texture are not seen here" : `${upperFirst(moved.join(", "))}: ${tell(after.vector)}`}. ${membership.text}`,
  };
}

function applied(change: WhatIfChange, request: SolveRequest, index: number): Spec {
  const at = `/intent/changes/${index}`;
  const ingredient = known(request, change.ingredient, `${at}/ingredient`);
  const line = request.spec.lines.find((l) => l.ingredient === change.ingredient);
  if ("swapFor" in change) {
    known(request, change.swapFor, `${at}/swapFor`);
    if (!line) notInDrink(ingredient.name, at);
    return swapIngredient(request, change.ingredient, change.swapFor);
  }
  const ctx = { settings: request.unitSettings, ingredient };
  const said = "to" in change ? change.to : change.by;
  const sign = Math.sign(said.amount);
  const ml = sign * toVolumeMl(Math.abs(said.amount), said.unit, { ...ctx, pointer: at }).ml;
  const presentMl = pouredMl(request, change.ingredient);
  const toMl = "to" in change ? ml : presentMl + ml;
  if (!line && !(toMl > 0)) notInDrink(ingredient.name, at);
  if (toMl < -1e-9) {
    fail(
      `${at}/by`,
      `the drink holds only ${formatAmount(presentMl, request.ladder, ctx)} of ${ingredient.name}`,
      "take away less, or leave it out",
    );
  }
  return withAmount(request, change.ingredient, Math.max(0, toMl));
}

function notInDrink(name: string, at: string): never {
  return fail(
    `${at}/ingredient`,
    `${name} is not in this drink`,
    "name an ingredient of the drink, or add some",
  );
}

function known(request: SolveRequest, id: string, pointer: string) {
  return (
    request.pantry.get(id) ??
    fail(pointer, `"${id}" is not in the pantry`, "use an id from the pantry, or add your own ingredient")
  );
}

/** The spec with all of one ingredient on one line of `ml`, in the ladder's unit; 0 leaves it out. */
function withAmount(request: SolveRequest, id: string, ml: number): Spec {
  const { lines } = request.spec;
  const at = lines.findIndex((line) => line.ingredient === id);
  const kept = lines.filter((line, i) => line.ingredient !== id || i === at);
  if (ml === 0) return { ...request.spec, lines: kept.filter((line) => line.ingredient !== id) };
  const unit = at >= 0 ? lines[at]!.unit : request.ladder.displayUnit;
  const ingredient = request.pantry.get(id);
  const one = toVolumeMl(1, unit, { settings: request.unitSettings, ingredient }).ml;
  const line: SpecLine = { ...(at >= 0 ? lines[at]! : {}), ingredient: id, amount: ml / one, unit };
  return {
    ...request.spec,
    lines: at >= 0 ? kept.map((l) => (l.ingredient === id ? line : l)) : [...kept, line],
  };
}

function lean(intent: Extract<Intent, { ask: "lean" }>, request: SolveRequest): Answer {
  const { vector, point } = pointOf(request, request.spec);
  const target = leanTarget(intent, vector);
  const result = solveWithChance({ ...request, target });
  const compiled = compileTarget(target);
  const first = result.proposals[0];
  const after = first ? toVec(first.after) : null;
  return {
    ...blank("lean", point, compiled.membership(after ?? vector)),
    after: first?.after ?? null,
    spec: first?.spec ?? null,
    proposals: result.proposals,
    status: result.status,
    text: first
      ? `${upperFirst(intent.lean)} with the least change: ${first.moves.map((m) => m.text).join(", ")}. That goes from ${tell(vector)} to ${tell(after!)}.`
      : `Nothing within your limits makes this ${intent.lean} as asked. ${result.explanation}`,
  };
}

/** "Drier without losing acid" as a region: one half-space to reach, and one or two to keep each axis. */
export function leanTarget(intent: Extract<Intent, { ask: "lean" }>, from: Vec3): TargetSpec {
  const { axis, sign } = LEANS[intent.lean];
  const i = AXIS_INDEX[axis];
  const by = intent.by ?? LEAN_STEP_SCALES * AXIS_SCALE[i];
  if (!(by > 0 && Number.isFinite(by))) {
    fail(
      "/intent/by",
      `${by} is not a step above 0`,
      `give how far to go in ${AXES[i].unit}, or leave it out`,
    );
  }
  const goal = from[i] + sign * by;
  if (goal < 0) {
    fail(
      "/intent/by",
      `${AXES[i].name} is only ${from[i].toFixed(2)} ${AXES[i].unit}`,
      "ask for a smaller step",
    );
  }
  const faces: Pick<HalfSpace, "normal" | "offset">[] = [
    { normal: unitAxis(i, -sign), offset: -sign * goal },
  ];
  intent.keep.forEach(({ axis: kept, how }, k) => {
    const j = AXIS_INDEX[kept];
    if (j === i) {
      fail(`/intent/keep/${k}`, `${AXES[j].name} is the axis that is to move`, "keep another axis");
    }
    const slack = how === "same" ? KEEP_TOLERANCE_SCALES * AXIS_SCALE[j] : 0;
    if (how !== "not-more") faces.push({ normal: unitAxis(j, -1), offset: -(from[j] - slack) });
    if (how !== "not-less") faces.push({ normal: unitAxis(j, 1), offset: from[j] + slack });
  });
  return {
    kind: "intersection",
    name: `${intent.lean} than now`,
    parts: faces.map((face) => ({ kind: "half-space", normal: face.normal, offset: face.offset })),
  };
}
