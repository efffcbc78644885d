import { formatAmount, formatQuantity } from "../../engine/amounts/format-amount.ts";
import { isOnLadder } from "../../engine/amounts/ladder.ts";
import { lineVolumeMl } from "../../engine/amounts/line.ts";
import { ML_PER_UNIT } from "../../engine/amounts/units.ts";
import type { Ingredient, MoveKind, Pantry, PourLadder, SpecLine, UnitSettings } from "../../engine/types.ts";

/** How the user measures: what every amount on the page is written with. */
export interface Measures {
  ladder: PourLadder;
  units: "oz" | "ml";
  settings: UnitSettings;
}

/** A volume that no tool measures exactly, near enough to know: "≈ 52 mL", "≈ 1.01 oz". */
function nearly(ml: number, units: "oz" | "ml"): string {
  if (units === "oz") return `≈ ${Number((ml / ML_PER_UNIT.oz).toFixed(2))} oz`;
  return `≈ ${ml < 5 ? Number(ml.toFixed(1)) : Math.round(ml)} mL`;
}

/** A pour as the user's tools measure it; off their ladder it is marked as near enough. */
export function pourWords(ml: number, ingredient: Ingredient | undefined, m: Measures): string {
  if (ml <= 0) return "none";
  if (!ingredient) return nearly(ml, m.units);
  return isOnLadder(ml, m.ladder, ingredient, m.settings)
    ? formatAmount(ml, m.ladder, { settings: m.settings, ingredient })
    : nearly(ml, m.units);
}

/** A line's amount: as it was said, but ounces and millilitres follow the user's choice of unit. */
export function lineWords(line: SpecLine, ingredient: Ingredient | undefined, m: Measures): string {
  const metric = line.unit === "ml" || line.unit === "cl";
  const foreign = m.units === "oz" ? metric : line.unit === "oz" || line.unit === "imperial-oz";
  const ml = foreign ? lineVolumeMl(line, ingredient, m.settings) : null;
  return ml === null ? formatQuantity(line.amount, line.unit) : pourWords(ml, ingredient, m);
}

/** What one change does, as the engine gives it. */
export interface Change {
  kind: MoveKind;
  ingredient: string;
  replaces?: string | undefined;
  fromMl: number;
  toMl: number;
  text: string;
}

/** "Lime juice ⅜ → ⅝ oz". Changes of another kind keep the engine's words. */
export function changeWords(change: Change, pantry: Pantry, m: Measures): string {
  const ingredient = pantry.get(change.ingredient);
  if (!ingredient || !["pour", "add", "drop"].includes(change.kind)) return change.text;
  const from = pourWords(change.fromMl, ingredient, m);
  const to = pourWords(change.toMl, ingredient, m);
  const name = ingredient.name;
  if (change.fromMl <= 0) return `${name}: add ${to}`;
  if (change.toMl <= 0) return `${name}: leave out (was ${from})`;
  const unit = / (oz|mL)$/.exec(to)?.[1];
  return `${name} ${unit ? from.replace(new RegExp(` ${unit}$`), "") : from} → ${to}`;
}

/** A volume to plan a glass with: tenths of an ounce are too coarse, hundredths are not. */
export function volumeWords(ml: number, units: "oz" | "ml"): string {
  return units === "oz" ? `${(ml / ML_PER_UNIT.oz).toFixed(2)} oz` : `${Math.round(ml)} mL`;
}
