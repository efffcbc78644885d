import {
  amountOnLadder,
  formatQuantity,
  type QuantityText,
  quantityText,
} from "../../engine/amounts/format-amount.ts";
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
function nearly(ml: number, units: "oz" | "ml"): QuantityText {
  if (units === "oz") return { number: `≈ ${Number((ml / ML_PER_UNIT.oz).toFixed(2))}`, unit: "oz" };
  return { number: `≈ ${ml < 5 ? Number(ml.toFixed(1)) : Math.round(ml)}`, unit: "mL" };
}

const wordsOf = ({ number, unit }: QuantityText) => `${number} ${unit}`;

function pourParts(ml: number, ingredient: Ingredient | undefined, m: Measures): QuantityText {
  const { settings } = m;
  if (!ingredient || !isOnLadder(ml, m.ladder, ingredient, settings)) return nearly(ml, m.units);
  const { amount, unit } = amountOnLadder(ml, m.ladder, { settings, ingredient });
  return quantityText(amount, unit);
}

/** A pour as the user's tools measure it; off their ladder it is marked as near enough. */
export function pourWords(ml: number, ingredient: Ingredient | undefined, m: Measures): string {
  return ml <= 0 ? "none" : wordsOf(pourParts(ml, ingredient, m));
}

/** A line's amount: as it was said, but ounces and millilitres follow the user's choice of unit. */
export function lineWords(line: SpecLine, ingredient: Ingredient | undefined, m: Measures): string {
  const metric = line.unit === "ml" || line.unit === "cl";
  const foreign = m.units === "oz" ? metric : line.unit === "oz" || line.unit === "imperial-oz";
  const ml = foreign ? lineVolumeMl(line, ingredient, m.settings) : null;
  return ml === null ? formatQuantity(line.amount, line.unit) : pourWords(ml, ingredient, m);
}

/** Units that need be said only once: "⅜ → ⅝ oz". */
const BARE_UNITS: readonly string[] = ["oz", "mL"];

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
  const from = pourParts(change.fromMl, ingredient, m);
  const to = pourParts(change.toMl, ingredient, m);
  const name = ingredient.name;
  if (change.fromMl <= 0) return `${name}: add ${wordsOf(to)}`;
  if (change.toMl <= 0) return `${name}: leave out (was ${wordsOf(from)})`;
  return `${name} ${from.unit === to.unit && BARE_UNITS.includes(to.unit) ? from.number : wordsOf(from)} → ${wordsOf(to)}`;
}

/** A volume to plan a glass with: tenths of an ounce are too coarse, hundredths are not. */
export function volumeWords(ml: number, units: "oz" | "ml"): string {
  return units === "oz" ? `${(ml / ML_PER_UNIT.oz).toFixed(2)} oz` : `${Math.round(ml)} mL`;
}
