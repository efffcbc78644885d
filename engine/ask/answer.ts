import { AXES, AXIS_INDEX, AXIS_INDICES, AXIS_SCALE, type AxisIndex, toVec, unitAxis } from "../axes.ts";
import { fail } from "../errors.ts";
import { suggestedAdditions } from "../explore/additions.ts";
import { checkRequest, shareTime } from "../explore/asking.ts";
import { chanceInside, solveWithChance } from "../explore/chance.ts";
import { keepMeasuredRatio, type PlacedSpec, pointOf } from "../explore/changed-spec.ts";
import { idsOf, keeping, keepsOf } from "../explore/keeps.ts";
import { solveKeeping } from "../explore/solve-keeping.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { type CompiledTarget, compileTarget } from "../targets/compile-target.ts";
import type { KeepId, Membership, Point, Proposal, Spec, TargetSpec, Vec3 } from "../types.ts";
import { changedBy, known, specWith } from "./changed.ts";
import { type DoseRung, type DoseStrip, doseStrip } from "./dose-strip.ts";
import {
  type Intent,
  KEEP_TOLERANCE_SCALES,
  LEAN_STEP_SCALES,
  LEANS,
  type LeanIntent,
  type WhatIfChange,
} from "./intent.ts";
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

/** What a question adds to the answer that nothing changes. */
type Told = Pick<Answer, "text"> & Partial<Answer>;

/**
 * Answer a structured question about the request's spec, on its pour ladder and target.
 *
 * @throws EngineError for an ingredient that is not in the pantry, or a change to one not in the drink
 */
export function answer(intent: Intent, request: SolveRequest): Answer {
  const { target } = checkRequest(request);
  const now = pointOf(request, request.spec);
  return {
    ask: intent.ask,
    before: now.point,
    after: null,
    membership: target.membership(now.vector),
    spec: null,
    range: null,
    strip: null,
    proposals: [],
    status: null,
    ...told(intent, request, target, now),
  };
}

function told(intent: Intent, request: SolveRequest, target: CompiledTarget, now: PlacedSpec): Told {
  switch (intent.ask) {
    case "where":
      return { text: whereText(now.vector, target.membership(now.vector), nameOf(request)) };
    case "how-much":
      return howMuch(intent.ingredient, request, target);
    case "what-if":
      return whatIf(intent.changes, request, target, now);
    case "lean":
      return lean(intent, request, now);
    case "least":
      return least(request, target, now);
  }
}

const nameOf = ({ target }: SolveRequest) => target.name ?? "the target";

function howMuch(id: string, request: SolveRequest, target: CompiledTarget): Told {
  known(request, id, "/intent/ingredient");
  const strip = doseStrip(id, request);
  const best = strip.rungs.find((rung) => rung.ml === strip.bestMl)!;
  const run = best.inside ? insideAround(strip.rungs, best) : null;
  const stays = best.ml === strip.presentMl;
  // Advised: the dose, with its companion where it needs one.
  const { companion } = strip;
  const advised = companion && (companion.holds || !best.inside) ? companion : null;
  const after = advised?.point ?? best.point;
  const isInside = best.inside || advised !== null;
  return {
    membership: target.membership(toVec(after)),
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

function whatIf(
  changes: readonly WhatIfChange[],
  request: SolveRequest,
  target: CompiledTarget,
  before: PlacedSpec,
): Told {
  if (changes.length === 0) fail("/intent/changes", "no change is given", "name at least one change");
  const changed = changes.reduce<Spec>(
    (spec, change, i) => changedBy(change, { ...request, spec }, `/intent/changes/${i}`),
    request.spec,
  );
  const spec = keepMeasuredRatio(request, changed);
  const after = pointOf(request, spec);
  const membership = target.membership(after.vector);
  return { membership, after: after.point, spec, text: whatIfText(before, after, membership) };
}

function lean(intent: LeanIntent, request: SolveRequest, { vector }: PlacedSpec): Told {
  const target = leanTarget(intent, vector);
  const found = leastDisturbing(intent, { ...request, target }, vector);
  const text = leanText(intent, found.proposals[0] ?? null, found.explanation, vector);
  return proposed(found, compileTarget(target), vector, text);
}

/** What was found, and where the first proposal leads; where there is none the drink stays. */
function proposed({ proposals, status }: SolveResult, target: CompiledTarget, now: Vec3, text: string): Told {
  const [first] = proposals;
  const membership = target.membership(first ? toVec(first.after) : now);
  return { text, after: first?.after ?? null, spec: first?.spec ?? null, membership, proposals, status };
}

/** The least change into the target, within the habits of the trade. */
function least(request: SolveRequest, target: CompiledTarget, { vector }: PlacedSpec): Told {
  const { solved, keeps } = solveKeeping(request);
  const { proposals, status, explanation } = solved;
  const name = nameOf(request);
  const isUnsure = idsOf(keeps, "loosened").includes("holds");
  const text =
    status === "already_inside"
      ? insideText(vector, chanceInside(request, request.spec, target).chance, name)
      : leastText(proposals[0] ?? null, isUnsure, explanation, vector, name);
  return proposed(solved, target, vector, text);
}

/** Habits that give way, together, where nothing keeps them and leans as asked. */
const GIVING_WAY: ReadonlySet<KeepId> = new Set(["base", "size", "own-kind"]);

/**
 * How a lean is looked for, the best way first. Within the habits of the trade, the spirit free where its strength is
 * asked about; by what is poured, or with water let in, as less of one thing is more of the others; then with what
 * any bar has at hand; then with the softer habits let go of. The axes nobody spoke of may move so many axis scales, in
 * the last way as they come.
 */
function leanTries(intent: LeanIntent, request: SolveRequest) {
  const { additions = [], spec, pantry } = request;
  const byStrength = intent.leans.some(({ lean }) => LEANS[lean].axis === "abv");
  const strict = idsOf(keepsOf(request), "kept").filter(
    (id) => id !== "holds" && !(byStrength && id === "base"),
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
  return [...tries, { kept: softer, additions: [...additions, ...atHand], scales: undefined }];
}

/**
 * The least change that leans, by the first way that finds one: so the axes nobody spoke of stay as near as can be
 * to where they are. Chances are of the lean alone.
 */
function leastDisturbing(intent: LeanIntent, request: SolveRequest, from: Vec3): SolveResult {
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
export function leanTarget(intent: LeanIntent, from: Vec3, others?: number): TargetSpec {
  if (intent.leans.length === 0) fail("/intent/leans", "no way to lean is given", "give one, such as drier");
  const parts: TargetSpec[] = [];
  /** At most the end on an axis with 1, at least with −1. */
  const limit = (k: AxisIndex, sign: 1 | -1, end: number) =>
    parts.push({ kind: "half-space", normal: unitAxis(k, sign), offset: sign * end });
  const moved = intent.leans.map((step, n) => {
    const { axis, sign } = LEANS[step.lean];
    const i = AXIS_INDEX[axis];
    const { name, unit } = AXES[i];
    const pointer = `/intent/leans/${n}/by`;
    const by = step.by ?? LEAN_STEP_SCALES * AXIS_SCALE[i];
    if (!(by > 0 && Number.isFinite(by))) {
      fail(pointer, `${by} is not a step above 0`, `give how far to go in ${unit}, or leave it out`);
    }
    const goal = from[i] + sign * by;
    if (goal < 0 && from[i] < 0.005) {
      fail(pointer, `there is no ${name} in this drink to take away`, "say what else is wrong with it");
    }
    if (goal < 0) fail(pointer, `${name} is only ${from[i].toFixed(2)} ${unit}`, "ask for a smaller step");
    limit(i, sign === 1 ? -1 : 1, goal);
    return i;
  });
  if (new Set(moved).size < moved.length) {
    fail("/intent/leans", "two of them move one axis", "give each axis one way to lean");
  }
  const kept = intent.keep.map(({ axis, how }, n) => {
    const k = AXIS_INDEX[axis];
    if (moved.includes(k)) {
      fail(`/intent/keep/${n}`, `${AXES[k].name} is the axis that is to move`, "keep another axis");
    }
    const slack = how === "same" ? KEEP_TOLERANCE_SCALES * AXIS_SCALE[k] : 0;
    if (how !== "not-more") limit(k, -1, from[k] - slack);
    if (how !== "not-less") limit(k, 1, from[k] + slack);
    return k;
  });
  if (others !== undefined) {
    for (const k of AXIS_INDICES.filter((axis) => ![...moved, ...kept].includes(axis))) {
      limit(k, -1, from[k] - others * AXIS_SCALE[k]);
      limit(k, 1, from[k] + others * AXIS_SCALE[k]);
    }
  }
  return {
    kind: "intersection",
    name: `${intent.leans.map((step) => step.lean).join(" and ")} than now`,
    parts,
  };
}
