import { AXES, AXIS_INDEX, AXIS_INDICES, AXIS_SCALE, toVec, unitAxis } from "../axes.ts";
import { fail } from "../errors.ts";
import { suggestedAdditions } from "../explore/additions.ts";
import { checkRequest, shareTime } from "../explore/asking.ts";
import { chanceInside, solveWithChance } from "../explore/chance.ts";
import { keepMeasuredRatio, pointOf } from "../explore/changed-spec.ts";
import { keeping, keepsOf } from "../explore/keeps.ts";
import { loosenedIn, solveKeeping } from "../explore/solve-keeping.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { compileTarget } from "../targets/compile-target.ts";
import type { HalfSpace, KeepId, Membership, Point, Proposal, Spec, TargetSpec, Vec3 } from "../types.ts";
import { changedBy, known, specWith } from "./changed.ts";
import { type DoseRung, type DoseStrip, doseStrip } from "./dose-strip.ts";
import { type Intent, KEEP_TOLERANCE_SCALES, LEAN_STEP_SCALES, LEANS, type WhatIfChange } from "./intent.ts";
import { howMuchText, insideText, leanText, leastText, whatIfText, whereText } from "./words.ts";

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
  /** how-much: every dose and what it does, the best of them, and the companion where it needs one. */
  strip: DoseStrip | null;
  /** lean and least: the least changes that do it, and how sure. */
  proposals: Proposal[];
  /** how-much: of the ingredient alone. */
  status: SolveResult["status"] | null;
}

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
    case "least":
      return least(request);
  }
}

const nameOf = ({ target }: SolveRequest) => target.name ?? "the target";

function blank(ask: Intent["ask"], before: Point, membership: Membership): Answer {
  return {
    ask,
    text: "",
    before,
    after: null,
    membership,
    spec: null,
    range: null,
    strip: null,
    proposals: [],
    status: null,
  };
}

function where(request: SolveRequest): Answer {
  const { vector, point } = pointOf(request, request.spec);
  const membership = compileTarget(request.target).membership(vector);
  return { ...blank("where", point, membership), text: whereText(vector, membership, nameOf(request)) };
}

function howMuch(id: string, request: SolveRequest): Answer {
  known(request, id, "/intent/ingredient");
  const target = compileTarget(request.target);
  const strip = doseStrip(id, request);
  const now = pointOf(request, request.spec);
  const best = strip.rungs.find((rung) => rung.ml === strip.bestMl)!;
  const run = best.inside ? insideAround(strip.rungs, best) : null;
  const stays = best.ml === strip.presentMl;
  // Advised: the dose, with its companion where it needs one.
  const { companion } = strip;
  const advised = companion && (companion.holds || !best.inside) ? companion : null;
  const after = advised?.point ?? best.point;
  const isInside = best.inside || advised !== null;
  return {
    ...blank("how-much", now.point, target.membership(toVec(after))),
    after,
    spec: advised?.spec ?? (isInside && !stays ? specWith(request, id, best.ml) : null),
    range: run && { ingredient: id, fromMl: strip.presentMl, ...run },
    strip,
    status: best.inside ? (stays ? "already_inside" : "optimal") : "infeasible",
    text: howMuchText(strip, best, run, request, nameOf(request)),
  };
}

/** The run of neighbouring rungs around one that are all inside. */
function insideAround(rungs: readonly DoseRung[], best: DoseRung): { leastMl: number; mostMl: number } {
  const at = rungs.indexOf(best);
  const low = rungs.findLastIndex((rung, i) => i < at && !rung.inside) + 1;
  const high = rungs.findIndex((rung, i) => i > at && !rung.inside);
  const run = rungs.slice(low, high < 0 ? rungs.length : high);
  return { leastMl: (run[0] ?? best).ml, mostMl: (run.at(-1) ?? best).ml };
}

function whatIf(changes: readonly WhatIfChange[], request: SolveRequest): Answer {
  if (changes.length === 0) fail("/intent/changes", "no change is given", "name at least one change");
  const before = pointOf(request, request.spec);
  const spec = keepMeasuredRatio(
    request,
    changes.reduce<Spec>(
      (s, change, i) => changedBy(change, { ...request, spec: s }, `/intent/changes/${i}`),
      request.spec,
    ),
  );
  const after = pointOf(request, spec);
  const membership = compileTarget(request.target).membership(after.vector);
  return {
    ...blank("what-if", before.point, membership),
    after: after.point,
    spec,
    text: whatIfText(before.vector, after.vector, membership, {
      beforeMl: before.finishedVolumeMl,
      afterMl: after.finishedVolumeMl,
    }),
  };
}

function lean(intent: Extract<Intent, { ask: "lean" }>, request: SolveRequest): Answer {
  const { vector, point } = pointOf(request, request.spec);
  const target = leanTarget(intent, vector);
  const result = leastDisturbing(intent, { ...request, target }, vector);
  const first = result.proposals[0];
  const after = first ? toVec(first.after) : null;
  return {
    ...blank("lean", point, compileTarget(target).membership(after ?? vector)),
    after: first?.after ?? null,
    spec: first?.spec ?? null,
    proposals: result.proposals,
    status: result.status,
    text: leanText(intent, first ?? null, result.explanation, vector),
  };
}

/** The least change into the target, within the habits of the trade. */
function least(request: SolveRequest): Answer {
  const { vector, point } = pointOf(request, request.spec);
  const target = compileTarget(request.target);
  const kept = solveKeeping(request);
  const { proposals, status, explanation } = kept.solved;
  const first = status === "already_inside" ? undefined : proposals[0];
  return {
    ...blank("least", point, target.membership(first ? toVec(first.after) : vector)),
    after: first?.after ?? null,
    spec: first?.spec ?? null,
    proposals,
    status,
    text:
      status === "already_inside"
        ? insideText(vector, chanceInside(request, request.spec, target).chance, nameOf(request))
        : leastText(first ?? null, loosenedIn(kept).includes("holds"), explanation, vector, nameOf(request)),
  };
}

/** Habits that give way, together, where nothing keeps them and leans as asked. */
const GIVING_WAY: ReadonlySet<KeepId> = new Set(["base", "size", "own-kind"]);

/** One way to look for a lean. */
interface LeanTry {
  kept: ReadonlySet<KeepId>;
  additions: readonly string[];
  /** How far the axes nobody spoke of may move, axis scales; undefined: as they come. */
  scales?: number;
}

/**
 * How a lean is looked for, the best way first. Within the habits of the trade, the spirit free where its strength is
 * asked about; by what is poured, or with water let in, as less of one thing is more of the others; then with what
 * any bar has at hand; then with the softer habits let go of.
 */
function leanTries(intent: Extract<Intent, { ask: "lean" }>, request: SolveRequest): LeanTry[] {
  const { additions = [], spec, pantry } = request;
  const byStrength = intent.leans.some(({ lean }) => LEANS[lean].axis === "abv");
  const strict = keepsOf(request).flatMap(({ id, state }) =>
    state === "kept" && id !== "holds" && !(byStrength && id === "base") ? [id] : [],
  );
  const atHand = suggestedAdditions(spec, pantry).filter((id) => !additions.includes(id));
  const water = atHand.filter((id) => pantry.get(id)?.role === "lengthener");
  const softer = new Set(strict.filter((id) => !GIVING_WAY.has(id)));
  const tries = [new Set(strict), softer].flatMap((kept) => {
    const inOrder: [readonly string[], readonly number[]][] = [
      [[], [0.25, 0.5]],
      [water, [0.5]],
      [[], [1]],
      [water, [1]],
      [atHand, [0.25, 0.5, 1]],
      [[], [2]],
    ];
    return inOrder.flatMap(([ids, every]) =>
      every.map((scales) => ({ kept, additions: [...additions, ...ids], scales })),
    );
  });
  return [...tries, { kept: softer, additions: [...additions, ...atHand] }];
}

/**
 * The least change that leans, by the first way that finds one: so the axes nobody spoke of stay as near as can be
 * to where they are. Chances are of the lean alone.
 */
function leastDisturbing(
  intent: Extract<Intent, { ask: "lean" }>,
  request: SolveRequest,
  from: Vec3,
): SolveResult {
  const asked = compileTarget(request.target);
  const tries = leanTries(intent, request);
  const time = shareTime(request, tries.length);
  let result!: SolveResult;
  for (const { kept, additions, scales } of tries) {
    const target = leanTarget(intent, from, scales);
    result = solveWithChance(keeping(time.of({ ...request, additions, target }), kept));
    if (result.proposals.length > 0 || time.isSpent()) break;
  }
  const proposals = result.proposals.map((proposal) => ({
    ...proposal,
    probabilityInside: chanceInside(request, proposal.spec, asked).chance,
  }));
  return { ...result, proposals };
}

/**
 * "Drier without losing acid" as a region: one half-space for each lean, and one or two to keep each axis; those
 * that are neither leant nor kept stay within `others` axis scales of where they are, when that is given.
 */
export function leanTarget(
  intent: Extract<Intent, { ask: "lean" }>,
  from: Vec3,
  others?: number,
): TargetSpec {
  const faces: Pick<HalfSpace, "normal" | "offset">[] = [];
  if (intent.leans.length === 0) fail("/intent/leans", "no way to lean is given", "give one, such as drier");
  const moved = intent.leans.map((step, n) => {
    const { axis, sign } = LEANS[step.lean];
    const i = AXIS_INDEX[axis];
    const by = step.by ?? LEAN_STEP_SCALES * AXIS_SCALE[i];
    if (!(by > 0 && Number.isFinite(by))) {
      fail(
        `/intent/leans/${n}/by`,
        `${by} is not a step above 0`,
        `give how far to go in ${AXES[i].unit}, or leave it out`,
      );
    }
    const goal = from[i] + sign * by;
    if (goal < 0) {
      fail(
        `/intent/leans/${n}/by`,
        from[i] < 0.005
          ? `there is no ${AXES[i].name} in this drink to take away`
          : `${AXES[i].name} is only ${from[i].toFixed(2)} ${AXES[i].unit}`,
        from[i] < 0.005 ? "say what else is wrong with it" : "ask for a smaller step",
      );
    }
    faces.push({ normal: unitAxis(i, -sign), offset: -sign * goal });
    return i;
  });
  if (new Set(moved).size < moved.length) {
    fail("/intent/leans", "two of them move one axis", "give each axis one way to lean");
  }
  intent.keep.forEach(({ axis: kept, how }, k) => {
    const j = AXIS_INDEX[kept];
    if (moved.includes(j)) {
      fail(`/intent/keep/${k}`, `${AXES[j].name} is the axis that is to move`, "keep another axis");
    }
    const slack = how === "same" ? KEEP_TOLERANCE_SCALES * AXIS_SCALE[j] : 0;
    if (how !== "not-more") faces.push({ normal: unitAxis(j, -1), offset: -(from[j] - slack) });
    if (how !== "not-less") faces.push({ normal: unitAxis(j, 1), offset: from[j] + slack });
  });
  const named = new Set([...moved, ...intent.keep.map(({ axis }) => AXIS_INDEX[axis])]);
  for (const k of others === undefined ? [] : AXIS_INDICES.filter((axis) => !named.has(axis))) {
    const slack = (others ?? 0) * AXIS_SCALE[k];
    faces.push({ normal: unitAxis(k, -1), offset: -(from[k] - slack) });
    faces.push({ normal: unitAxis(k, 1), offset: from[k] + slack });
  }
  return {
    kind: "intersection",
    name: `${intent.leans.map((step) => step.lean).join(" and ")} than now`,
    parts: faces.map((face) => ({ kind: "half-space", normal: face.normal, offset: face.offset })),
  };
}
