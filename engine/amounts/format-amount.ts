import { fail, requireFinite } from "../errors.ts";
import type { PourLadder, UnitId } from "../types.ts";
import { FRACTIONS } from "./fractions.ts";
import { isOnSeries, rungSeries } from "./ladder.ts";
import { type Amount, type AmountContext, fromVolumeMl, UNITS } from "./units.ts";

/** Decimals shown for units people write in decimals; the rest are written in fractions. */
const DECIMALS: Partial<Record<UnitId, number>> = { ml: 2, cl: 3, g: 2 };

/** Fractions a bartender reads at a glance. */
export const AT_A_GLANCE = FRACTIONS.filter(({ sign }) => "⅛¼⅓⅜½⅝⅔¾⅞".includes(sign));

/** Within this of a fraction (a three-hundredth of a drop in an ounce) the glyph is the number. */
const READ_ALIKE = 1e-6;

/** "0.35", "0" for less than anything measures: at least two significant digits below 0.1, at most `decimals` places otherwise. */
function decimalText(amount: number, decimals: number): string {
  if (amount < READ_ALIKE) return "0";
  if (amount !== 0 && amount < 10 ** -decimals * 10) return String(Number(amount.toPrecision(2)));
  return String(Number(amount.toFixed(decimals)));
}

/** The amount with a fraction glyph where it is one exactly, else null. */
function fractionText(amount: number): string | null {
  const whole = Math.floor(amount + READ_ALIKE);
  const left = amount - whole;
  if (Math.abs(left) <= READ_ALIKE) return String(whole);
  const fraction = AT_A_GLANCE.find(({ value }) => Math.abs(left - value) <= READ_ALIKE);
  return fraction ? `${whole === 0 ? "" : whole}${fraction.sign}` : null;
}

/** An amount and its unit as they are read. */
export interface QuantityText {
  number: string;
  unit: string;
}

/** `formatQuantity` with the number and the unit apart. */
export function quantityText(amount: number, unit: UnitId): QuantityText {
  requireFinite(amount, "/amount");
  if (amount < 0) fail("/amount", `the amount is negative (${amount})`, "use formatDelta for changes");
  const definition = UNITS[unit] ?? fail("/unit", `unknown unit "${String(unit)}"`, "use a known unit");
  const decimals = DECIMALS[unit];
  const text =
    decimals === undefined ? (fractionText(amount) ?? decimalText(amount, 2)) : decimalText(amount, decimals);
  const many = amount > 1 + READ_ALIKE || amount === 0;
  return { number: text, unit: many ? definition.plural : definition.label };
}

/**
 * An amount in its own unit as a bartender reads it: "¾ oz", "1½ bar spoons", "22.5 mL", "2 dashes".
 * Amounts that are no usual fraction are rounded to 2 decimals ("1.01 oz").
 */
export function formatQuantity(amount: number, unit: UnitId): string {
  const text = quantityText(amount, unit);
  return `${text.number} ${text.unit}`;
}

/**
 * The amount and unit in which `ml` is measured on a ladder: the ladder's own unit on its main steps,
 * bar spoons or dashes on the fine rungs, grams for powders; off the ladder, the ladder's own unit.
 */
export function amountOnLadder(ml: number, ladder: PourLadder, ctx: AmountContext = {}): Amount {
  const { ingredient, settings } = ctx;
  const series = rungSeries(ladder, ingredient, settings);
  const powder = series[0]?.tool === "powder";
  let unit: UnitId = powder || ladder.stepG !== undefined ? "g" : ladder.displayUnit;
  if (unit === "g" && !ingredient) unit = "ml";
  if (unit === "piece" && !ingredient?.pieceMl) unit = "ml";
  if (ml > 0) {
    // A spoon is read as a spoon only where the jigger's own marks do not reach it.
    const tool = series.find((s) => (s.tool === "dash" || s.tool === "spoon") && isOnSeries(ml, s))?.tool;
    const onMain = series.some((s) => s.tool === "main" && isOnSeries(ml, s));
    if (tool === "dash" && !onMain) unit = "dash";
    else if (tool === "spoon" && !onMain && isWholeSpoon(ml, ctx)) unit = "barspoon";
  }
  return { amount: fromVolumeMl(ml, unit, ctx), unit };
}

/** An own ladder's fine step may be any size; it is called a bar spoon only when it is one. */
function isWholeSpoon(ml: number, ctx: AmountContext): boolean {
  const spoons = fromVolumeMl(ml, "barspoon", ctx);
  return Math.abs(spoons - Math.round(spoons)) <= READ_ALIKE;
}

/** `ml` mL on a ladder, whose tool chooses the unit, or in a given unit. */
const amountOn = (ml: number, on: PourLadder | UnitId, ctx: AmountContext): Amount =>
  typeof on === "string" ? { amount: fromVolumeMl(ml, on, ctx), unit: on } : amountOnLadder(ml, on, ctx);

/**
 * `ml` mL written for a ladder (the tool that measures it chooses the unit) or in a given unit.
 * `ctx.ingredient` is needed for grams, pieces, dashes of bitters and powders.
 */
export function formatAmount(ml: number, on: PourLadder | UnitId, ctx: AmountContext = {}): string {
  requireFinite(ml, "/volumeMl");
  if (ml < 0) fail("/volumeMl", `the volume is negative (${ml} mL)`, "use formatDelta for changes");
  const { amount, unit } = amountOn(ml, on, ctx);
  return formatQuantity(amount, unit);
}

/**
 * A change of `deltaMl` mL with its sign, in the ladder's unit: "+¼ oz", "−5 mL", and "+0.08 oz" where it is no
 * whole number of the ladder's marks (a bar spoon to ¼ oz).
 */
export function formatDelta(deltaMl: number, on: PourLadder | UnitId, ctx: AmountContext = {}): string {
  requireFinite(deltaMl, "/deltaMl");
  const size = Math.abs(deltaMl);
  const sign = deltaMl < 0 ? "−" : "+";
  const { amount, unit } = amountOn(size, on, ctx);
  // Nobody measures a change finer than the last place it is written in.
  const written = Number(amount.toFixed(DECIMALS[unit] ?? 2));
  return sign + formatQuantity(fractionText(amount) === null && written > 0 ? written : amount, unit);
}
