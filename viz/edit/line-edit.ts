import { amountOnLadder, formatAmount, formatQuantity } from "../../engine/amounts/format-amount.ts";
import { isOnLadder, nearestRung } from "../../engine/amounts/ladder.ts";
import { toVolumeMl } from "../../engine/amounts/units.ts";
import type { Ingredient, Pantry, PourLadder, SpecLine, UnitSettings } from "../../engine/types.ts";

/** Volume of a line in mL; null when its unit has no size for this ingredient. */
export function lineVolumeMl(
  line: SpecLine,
  ingredient: Ingredient | undefined,
  settings: UnitSettings,
): number | null {
  try {
    return toVolumeMl(line.amount, line.unit, { settings, ...(ingredient && { ingredient }) }).ml;
  } catch {
    return null;
  }
}

/** The same line at another volume, in the unit its tool measures; halves of a piece stay pieces. */
export function withVolume(
  line: SpecLine,
  ml: number,
  ladder: PourLadder,
  ingredient: Ingredient,
  settings: UnitSettings,
): SpecLine {
  if (line.unit === "piece" && ingredient.pieceMl) {
    const halves = (2 * ml) / ingredient.pieceMl.value;
    if (Math.abs(halves - Math.round(halves)) < 1e-6) return { ...line, amount: Math.round(halves) / 2 };
  }
  const { amount, unit } = amountOnLadder(ml, ladder, { settings, ingredient });
  return { ...line, unit, amount: Number(amount.toPrecision(8)) };
}

/** The line's amount in words: as it was said, but ounces and millilitres follow the user's choice of unit. */
export function amountWords(
  line: SpecLine,
  ingredient: Ingredient | undefined,
  units: "oz" | "ml",
  settings: UnitSettings,
): string {
  const metric = line.unit === "ml" || line.unit === "cl";
  const switchUnit = units === "oz" ? metric : line.unit === "oz" || line.unit === "imperial-oz";
  const ml = switchUnit ? lineVolumeMl(line, ingredient, settings) : null;
  return ml === null ? formatQuantity(line.amount, line.unit) : formatAmount(ml, units, { settings });
}

/**
 * The lines with every pour moved to the nearest amount the ladder measures, or null when all are there
 * already. Pieces, and lines the pantry does not know, stay as they are; nothing is rounded away to none.
 */
export function onLadder(
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
    return withVolume(line, rung, ladder, ingredient, settings);
  });
  return moved ? rounded : null;
}
