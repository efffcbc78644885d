import { amountOnLadder, formatAmount, formatQuantity } from "../../engine/amounts/format-amount.ts";
import { toVolumeMl } from "../../engine/amounts/units.ts";
import type { Ingredient, PourLadder, SpecLine, UnitSettings } from "../../engine/types.ts";

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
