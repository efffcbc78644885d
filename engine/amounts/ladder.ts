import { fail, requireFinite } from "../errors.ts";
import type { NAMED_LADDER_IDS } from "../ids.ts";
import { densityOf } from "../mix/coefficients.ts";
import type { Ingredient, PourLadder, UnitSettings } from "../types.ts";
import { DEFAULT_UNIT_SETTINGS, ML_PER_UNIT } from "./units.ts";

/**
 * Two amounts closer than this are the same rung: far below a drop, far above the rounding of
 * a double at any volume that fits a glass.
 */
const SAME_RUNG_ML = 1e-6;

/** More rungs than this in one range is a mistyped step, not a tool. */
const MAX_RUNGS = 20_000;

/** Dash rungs for bitters end here; a sour built on bitters is poured with the jigger. */
const DASHES_UP_TO_ML = ML_PER_UNIT.oz / 4;

/** Acids are weighed on a 0.1 g scale whatever pours the rest. */
const POWDER_STEP_G = 0.1;

/** The built-in ladders for a bar with these spoon and dash sizes. */
export function laddersFor(settings: UnitSettings): Record<(typeof NAMED_LADDER_IDS)[number], PourLadder> {
  return {
    "us-jigger": {
      id: "us-jigger",
      name: "US jigger, ⅛ oz steps",
      stepMl: ML_PER_UNIT.oz / 8,
      fineStepMl: settings.barspoonMl,
      fineBelowMl: ML_PER_UNIT.oz / 4,
      displayUnit: "oz",
    },
    "metric-jigger": {
      id: "metric-jigger",
      name: "Metric jigger, 2.5 mL steps",
      stepMl: 2.5,
      fineStepMl: settings.barspoonMl,
      fineBelowMl: 7.5,
      displayUnit: "ml",
    },
    scale: { id: "scale", name: "Scale, 0.5 g steps", stepMl: 0.5, stepG: 0.5, displayUnit: "g" },
  };
}

/** The built-in ladders with the default bar spoon. */
export const LADDERS = laddersFor(DEFAULT_UNIT_SETTINGS);

/** What rungs hang on: besides the ladder what is poured, and the size of spoon and dash. */
type Tools = [ladder: PourLadder, ingredient?: Ingredient, settings?: UnitSettings];

/** One run of equally spaced rungs: every whole multiple of `stepMl` up to `belowMl`. */
interface Series {
  stepMl: number;
  belowMl: number;
  tool: "main" | "spoon" | "dash" | "powder";
}

/**
 * The runs of rungs that hold for this ingredient on this ladder. Besides the ladder's own steps:
 * bitters also come in dashes (below ¼ oz); acid and sugar powders come in 0.1 g instead of jigger
 * steps, and sugar also in bar spoons where the ladder has one. Scale steps without an ingredient
 * count 1 g as 1 mL.
 */
export function rungSeries(...[ladder, ingredient, settings = DEFAULT_UNIT_SETTINGS]: Tools): Series[] {
  const role = ingredient?.role;
  const isPowder = role === "acid" || role === "sugar";
  const mlPerG = () => 1 / (ingredient ? densityOf(ingredient) : 1);
  const series: Series[] = [];
  const run = (tool: Series["tool"], stepMl: number, belowMl = Number.POSITIVE_INFINITY) => {
    if (!(stepMl > SAME_RUNG_ML && Number.isFinite(stepMl)) || Number.isNaN(belowMl)) {
      fail("/ladder/stepMl", `a ${tool} step of ${stepMl} mL cannot be poured`, "give a step above zero");
    }
    series.push({ stepMl, belowMl, tool });
  };
  if (isPowder) run("powder", POWDER_STEP_G * mlPerG());
  else run("main", ladder.stepG === undefined ? ladder.stepMl : ladder.stepG * mlPerG());
  if (ladder.fineStepMl !== undefined && role !== "acid") {
    run("spoon", ladder.fineStepMl, isPowder ? undefined : (ladder.fineBelowMl ?? 0));
  }
  if (role === "bitters") run("dash", settings.dashMl, DASHES_UP_TO_ML);
  return series;
}

/** True when `ml` is a whole multiple of the run's step and below the run's end. */
export function isOnSeries(ml: number, s: Series): boolean {
  if (ml < -SAME_RUNG_ML || ml >= s.belowMl - SAME_RUNG_ML) return false;
  return Math.abs(ml - Math.round(ml / s.stepMl) * s.stepMl) <= SAME_RUNG_ML;
}

/** Whether the user's tools can measure `ml` mL of the ingredient, up to floating-point noise. */
export function isOnLadder(ml: number, ...tools: Tools): boolean {
  requireFinite(ml, "/volumeMl");
  return rungSeries(...tools).some((s) => isOnSeries(ml, s));
}

/**
 * The rungs in [minMl, maxMl] in mL, ascending, without repeats, ends included; 0 is a rung.
 * Empty when the range holds none. Throws EngineError when the range would hold more than 20 000.
 */
export function rungsBetween(minMl: number, maxMl: number, ...tools: Tools): number[] {
  const from = Math.max(0, requireFinite(minMl, "/minMl"));
  requireFinite(maxMl, "/maxMl");
  const found: number[] = [];
  for (const { stepMl, belowMl } of rungSeries(...tools)) {
    const to = Math.min(maxMl + SAME_RUNG_ML, belowMl - SAME_RUNG_ML);
    const first = Math.ceil((from - SAME_RUNG_ML) / stepMl);
    const last = Math.floor(to / stepMl);
    if (last - first >= MAX_RUNGS) {
      fail("/ladder/stepMl", `steps of ${stepMl} mL give over ${MAX_RUNGS} rungs`, "use a larger step");
    }
    for (let k = Math.max(0, first); k <= last; k += 1) found.push(k * stepMl);
  }
  found.sort((a, b) => a - b);
  return found.filter((ml, i) => i === 0 || ml - found[i - 1]! > SAME_RUNG_ML);
}

/** The rung closest to `ml` (the lower of two equally close; 0 for negative volumes). */
export function nearestRung(ml: number, ...tools: Tools): number {
  requireFinite(ml, "/volumeMl");
  const series = rungSeries(...tools);
  const below = rungFrom(ml + SAME_RUNG_ML, -1, series);
  const above = rungFrom(ml - SAME_RUNG_ML, 1, series);
  return above - ml < ml - below - SAME_RUNG_ML ? above : below;
}

/** The next rung strictly above (1) or below (−1) `ml`; 0 has none below and returns 0. */
export function nextRung(
  ml: number,
  ladder: PourLadder,
  direction: 1 | -1,
  ingredient?: Ingredient,
  settings?: UnitSettings,
): number {
  requireFinite(ml, "/volumeMl");
  return rungFrom(ml + direction * SAME_RUNG_ML, direction, rungSeries(ladder, ingredient, settings));
}

/** The first rung at `ml` or beyond it, upwards (1) or downwards (−1); 0 where there is none below. */
function rungFrom(ml: number, direction: 1 | -1, series: readonly Series[]): number {
  let best = direction === 1 ? Number.POSITIVE_INFINITY : 0;
  for (const { stepMl, belowMl } of series) {
    if (direction === 1) {
      const rung = Math.max(0, Math.ceil(ml / stepMl)) * stepMl;
      if (rung < belowMl - SAME_RUNG_ML) best = Math.min(best, rung);
    } else {
      const lastInRun = Math.ceil((belowMl - SAME_RUNG_ML) / stepMl) - 1;
      best = Math.max(best, Math.min(lastInRun, Math.floor(ml / stepMl)) * stepMl);
    }
  }
  return best;
}
