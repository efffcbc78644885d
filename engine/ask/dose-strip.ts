import { amountOnLadder } from "../amounts/format-amount.ts";
import { AXIS_INDEX, AXIS_SCALE, toVec } from "../axes.ts";
import { chanceAtLeast } from "../doubt/chance-at-least.ts";
import { chanceOf } from "../explore/chance.ts";
import { pouredMl, rungsOf } from "../explore/changed-spec.ts";
import { HOLDS_CHANCE } from "../explore/keeps.ts";
import { doubtedPoint } from "../place/doubted-point.ts";
import type { SolveRequest } from "../solve/request.ts";
import { type CompiledTarget, compileTarget } from "../targets/compile-target.ts";
import { SAME_POUR_ML } from "../tolerances.ts";
import type { FaceViolation, Point, UnitId } from "../types.ts";
import { specWith } from "./changed.ts";
import { ACCENTS, type Companion, findCompanion, type Search } from "./companion.ts";

/** One dose of the ingredient, and where the drink lands with it. */
export interface DoseRung {
  ml: number;
  /** The same as the tool measures it. */
  amount: number;
  unit: UnitId;
  point: Point;
  inside: boolean;
  /** What is out of range with it; empty inside. */
  out: Pick<FaceViolation, "measure" | "side" | "by" | "unit">[];
  /** Chance, 0–1, that a real glass of it is inside. */
  chance: number;
}

/** Doses, from the first rung to the last, at which one measure is in range. */
export interface DoseSpan {
  measure: FaceViolation["measure"];
  fromMl: number;
  toMl: number;
}

/** Every dose of one ingredient, everything else held, and what each does. */
export interface DoseStrip {
  ingredient: string;
  /** What the drink holds of it, mL; 0 when it is no part of it. */
  presentMl: number;
  /** Every rung of the pour ladder within reach, and the present amount; ascending. */
  rungs: DoseRung[];
  /** Where sugar, acid, ABV, and whatever else the target limits, are in range, by measure and then dose. */
  spans: DoseSpan[];
  /** The best dose, mL: the least change that holds; else the surest; else the nearest. */
  bestMl: number;
  /** Chance asked for: the request's own, or four real glasses of five. */
  sure: number;
  /** Whether the best dose reaches that chance by itself. */
  holds: boolean;
  /** Where it does not: one other change that finishes the job, or null when none does. */
  companion: Companion | null;
}

/** Furthest a dose is tried above the present amount, mL; more is another drink. */
const REACH_ML = 90;
/** The same of an accent, which is dashed: a quarter of an ounce. */
const ACCENT_REACH_ML = 7.5;
/** Most rungs shown: a finer ladder is shown around what matters. */
const MOST_RUNGS = 64;
/** A chance less than this is none. */
const NO_CHANCE = 0.005;

/**
 * Every rung of one ingredient with where it lands: what is in range, how sure that is, the best dose even when
 * no dose suffices, and then the one companion that finishes the job.
 *
 * Amounts in mL at 20 °C, points in axis units. Deterministic. Cost: one placement and one chance a rung, then at
 * most a few hundred of each for the companion.
 *
 * @throws EngineError for a spec or target that cannot be read
 */
export function doseStrip(id: string, request: SolveRequest): DoseStrip {
  const target = compileTarget(request.target);
  const sure = request.minProbability ?? HOLDS_CHANCE;
  const search: Search = { id, request, target, sure };
  const presentMl = pouredMl(request, id);
  const tried = dosesOf(search, presentMl).flatMap((ml) => rungAt(search, ml) ?? []);
  const shown = aroundWhatMatters(tried, presentMl);
  const best = bestOf(shown, presentMl, sure);
  const rungs = shown.map(({ distance: _, ...rung }): DoseRung => rung);
  const holds = best.inside && best.chance >= sure;
  return {
    ingredient: id,
    presentMl,
    rungs,
    spans: spansOf(rungs, target),
    bestMl: best.ml,
    sure,
    holds,
    companion: holds ? null : findCompanion(search, best.ml, rungs),
  };
}

/** The ladder's rungs within reach and the request's own bounds, and the amount the drink has. */
function dosesOf({ id, request }: Search, presentMl: number): number[] {
  const ingredient = request.pantry.get(id);
  const reachMl = ingredient && ACCENTS.has(ingredient.role) ? ACCENT_REACH_ML : REACH_ML;
  const rungs = rungsOf(request, id, 0, presentMl + reachMl);
  const isRung = rungs.some((ml) => Math.abs(ml - presentMl) < SAME_POUR_ML);
  return isRung ? rungs : [...rungs, presentMl].sort((a, b) => a - b);
}

/** A rung, and how far out (in is negative) the drink is with it, axis-scale units. */
type Tried = DoseRung & { distance: number };

/** Where the drink lands with a dose; null where nothing is left of it. */
function rungAt({ id, request, target }: Search, ml: number): Tried | null {
  const { pantry, ladder, unitSettings: settings } = request;
  const spec = specWith(request, id, ml);
  if (spec.lines.length === 0) return null;
  const placed = doubtedPoint(spec, pantry, request);
  const at = toVec(placed.point);
  const { inside, violations, signedDistance } = target.membership(at);
  // The integral only where anybody would notice.
  const hasChance = chanceAtLeast(target, at, placed.covariance, NO_CHANCE);
  return {
    ml,
    ...amountOnLadder(ml, ladder, { settings, ingredient: pantry.get(id) }),
    point: placed.point,
    inside,
    out: violations.map(({ measure, side, by, unit }) => ({ measure, side, by, unit })),
    chance: hasChance ? chanceOf(placed, target) : 0,
    distance: signedDistance,
  };
}

/** As many rungs as can be shown, around the present amount and those that are inside or have a chance. */
function aroundWhatMatters(rungs: Tried[], presentMl: number): Tried[] {
  if (rungs.length <= MOST_RUNGS) return rungs;
  const nearest = rungs.reduce((a, b) => (b.distance < a.distance ? b : a));
  const matters = rungs.flatMap((r, i) =>
    r.chance > 0 || r === nearest || Math.abs(r.ml - presentMl) < SAME_POUR_ML ? [i] : [],
  );
  const middle = Math.round((matters[0]! + matters.at(-1)!) / 2);
  const from = Math.max(0, Math.min(middle - MOST_RUNGS / 2, rungs.length - MOST_RUNGS));
  return rungs.slice(from, from + MOST_RUNGS);
}

/** The least change that holds; else the surest; else the nearest. */
function bestOf(rungs: readonly Tried[], presentMl: number, sure: number): Tried {
  const change = (r: Tried) => Math.abs(r.ml - presentMl);
  const least = (list: readonly Tried[], by: (r: Tried) => number) =>
    list.reduce((a, b) =>
      by(b) < by(a) - SAME_POUR_ML || (by(b) < by(a) + SAME_POUR_ML && change(b) < change(a)) ? b : a,
    );
  const holding = rungs.filter((r) => r.inside && r.chance >= sure);
  if (holding.length > 0) return least(holding, change);
  if (rungs.some((r) => r.chance > 0)) return least(rungs, (r) => -r.chance);
  return least(rungs, (r) => r.distance);
}

const MEASURES: readonly FaceViolation["measure"][] = ["sugar", "acid", "abv", "ratio", "face"];

/** Less than this, in axis-scale units, is on the edge of an axis's range. */
const ON_EDGE = 1e-6;

/**
 * For each axis, and each other measure that is ever out, the runs of doses at which it is in range. An axis is
 * so where the target reaches that far on it, whatever the others do.
 */
function spansOf(rungs: readonly DoseRung[], { boundingBox: [low, high] }: CompiledTarget): DoseSpan[] {
  return MEASURES.flatMap((measure, k) => {
    const isOut = (r: DoseRung) => {
      if (measure === "ratio" || measure === "face") return r.out.some((o) => o.measure === measure);
      const i = AXIS_INDEX[measure];
      const slack = ON_EDGE * AXIS_SCALE[i];
      const at = toVec(r.point)[i];
      return at < low[i] - slack || at > high[i] + slack;
    };
    if (k > 2 && !rungs.some(isOut)) return [];
    const spans: DoseSpan[] = [];
    for (const [i, rung] of rungs.entries()) {
      if (isOut(rung)) continue;
      const last = spans.at(-1);
      if (last && i > 0 && !isOut(rungs[i - 1]!)) last.toMl = rung.ml;
      else spans.push({ measure, fromMl: rung.ml, toMl: rung.ml });
    }
    return spans;
  });
}
