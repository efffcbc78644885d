import type { Ingredient, Pantry, PourLadder, SpecLine, UnitSettings } from "../types.ts";
import { amountOnLadder } from "./format-amount.ts";
import { isOnLadder, nearestRung, nextRung } from "./ladder.ts";
import { type Amount, toVolumeMl } from "./units.ts";

/** Halves of a piece closer than this are whole numbers of them. */
const SAME_HALVES = 1e-6;

/** Volume of a line at 20 °C and the doubt of its unit, mL; null when its unit has no size for this ingredient. */
export function sizedLine(line: SpecLine, ingredient: Ingredient | undefined, settings: UnitSettings) {
  try {
    return toVolumeMl(line.amount, line.unit, { settings, ingredient });
  } catch {
    return null;
  }
}

/** Volume of a line in mL at 20 °C; null when its unit has no size for this ingredient. */
export const lineVolumeMl = (...line: Parameters<typeof sizedLine>): number | null =>
  sizedLine(...line)?.ml ?? null;

/** The line at an amount that a tool measures: the doubt of words ("a splash") goes with the old amount. */
export function measuredLine(line: SpecLine, { amount, unit }: Amount): SpecLine {
  const { amountSdPercent: _, ...kept } = line;
  return { ...kept, amount, unit };
}

/** The same line at another volume, in the unit its tool measures; halves of a piece stay pieces. */
export function lineAtVolume(
  line: SpecLine,
  ml: number,
  ladder: PourLadder,
  ingredient: Ingredient,
  settings: UnitSettings,
): SpecLine {
  if (line.unit === "piece" && ingredient.pieceMl) {
    const halves = (2 * ml) / ingredient.pieceMl.value;
    if (Math.abs(halves - Math.round(halves)) < SAME_HALVES)
      return measuredLine(line, { amount: Math.round(halves) / 2, unit: line.unit });
  }
  const { amount, unit } = amountOnLadder(ml, ladder, { settings, ingredient });
  return measuredLine(line, { unit, amount: Number(amount.toPrecision(8)) });
}

/** Volume in mL, `steps` rungs (half pieces, for a line in pieces) above or below a line's; never below none. */
export function steppedVolumeMl(
  line: SpecLine,
  steps: number,
  ladder: PourLadder,
  ingredient: Ingredient,
  settings: UnitSettings,
): number {
  let ml = lineVolumeMl(line, ingredient, settings) ?? 0;
  if (line.unit === "piece" && ingredient.pieceMl) {
    return Math.max(0, ml + (steps * ingredient.pieceMl.value) / 2);
  }
  const direction = steps < 0 ? -1 : 1;
  for (let i = 0; i < Math.abs(steps); i += 1) ml = nextRung(ml, ladder, direction, ingredient, settings);
  return ml;
}

/**
 * The lines with every pour moved to the nearest amount the ladder measures, or null when all are there
 * already. Pieces, and lines the pantry does not know, stay as they are; nothing is rounded away to none.
 */
export function linesOnLadder(
  lines: readonly SpecLine[],
  pantry: Pantry,
  ladder: PourLadder,
  settings: UnitSettings,
): SpecLine[] | null {
  let moved = false;
  const rounded = lines.map((line) => {
    const ingredient = pantry.get(line.ingredient);
    const ml = lineVolumeMl(line, ingredient, settings);
    if (!ingredient || ml === null || line.unit === "piece") return line;
    if (isOnLadder(ml, ladder, ingredient, settings)) return line;
    const rung = nearestRung(ml, ladder, ingredient, settings);
    if (rung === 0) return line;
    moved = true;
    return lineAtVolume(line, rung, ladder, ingredient, settings);
  });
  return moved ? rounded : null;
}
