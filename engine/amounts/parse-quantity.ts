import type { UnitId } from "../types.ts";
import { formatQuantity } from "./format-amount.ts";
import { normaliseText } from "./normalise.ts";
import { type NumberRead, numberAt } from "./numbers.ts";
import { letterEnd, type UnitWord, unitAt } from "./unit-words.ts";
import { ML_PER_UNIT, UNITS } from "./units.ts";
import type { QuantityNote } from "./words.ts";

/** An amount read from text. */
export interface Quantity {
  /** The amount, or the lower end of a range. In `unit`. */
  amount: number;
  /** The upper end of a range ("1-2 dashes"). */
  high?: number;
  /** Null when the text gives a bare number. */
  unit: UnitId | null;
  /** Where it ends in the text. */
  end: number;
  notes: QuantityNote[];
  /** The number is written in words ("half a lime"). */
  spelled: boolean;
}

/** An amount at the start of a text, and what follows it. */
export interface ParsedQuantity extends Omit<Quantity, "end"> {
  /** What follows the quantity, connecting "of" removed. */
  rest: string;
  /** What was understood, written back: "0.75 oz" for "0,75 oz". */
  echo: string;
}

const HEDGES =
  /(?:~|≈|about(?!\p{L})|around(?!\p{L})|approx(?:imately|\.)?(?!\p{L})|ca\.?(?!\p{L})|circa(?!\p{L})|(?:roughly|scant|short|barely|generous|heaping|heaped|heavy|fat|good|level|full|small|large|big)(?!\p{L}))\s*/uy;
/** The letters and signs a hedge may begin with, so that most texts are not searched for one. */
const MAY_HEDGE = "~≈acrsbghfl";
/** Units that may stand without a number: "dash of absinthe" is one dash. */
const BARE_UNITS = new Set(
  "dash barspoon barspoonful bar bsp teaspoon teaspoonful tea tablespoon tablespoonful table drop".split(" "),
);
const CONNECTOR = /(?:(?:of|de|di|du|des|del|da|do|von)(?!\p{L})|d['’])\s*(?:(?:the|an?)\s+)?/uy;
const RANGE_MARK = / ?(?:-|(?:to|or|bis|oder|à|a|ou|o)(?!\p{L})) ?(?=[\d.,])/uy;
const TIMES = / ?[x×] ?(?=\d)/y;
const PLUS = / ?(?:\+|(?:plus|and|&)(?!\p{L})) ?/uy;
const UNIT_GAP = / ?-(?=[a-z])| of an? | /y;
/** A space behind which no sign and no "of" stands is the gap itself, and most are. */
const WIDE_GAP = "-o";

/** The sign or letter at `at`, a space before it passed over: tells whether a pattern is worth trying there. */
function nextSign(text: string, at: number): string {
  return (text[at] === " " ? text[at + 1] : text[at]) ?? "";
}

/** End of what `pattern` matches at `at`, or `at`. */
function endAt(pattern: RegExp, text: string, at: number): number {
  pattern.lastIndex = at;
  return pattern.test(text) ? pattern.lastIndex : at;
}

function unitAfter(text: string, at: number): (UnitWord & { end: number }) | null {
  const sign = nextSign(text, at);
  const wide = WIDE_GAP.includes(sign || "!");
  return unitAt(text, at) ?? unitAt(text, wide ? endAt(UNIT_GAP, text, at) : text[at] === " " ? at + 1 : at);
}

interface Term {
  low: number;
  high?: number;
  unit: UnitId | null;
  end: number;
  notes: QuantityNote[];
  spelled: boolean;
}

/** "20/25 ml" is a range in a metric spec: nobody measures four fifths of a millilitre. */
function asRange({ over }: NumberRead, unit: UnitId | null): readonly [number, number] | null {
  return over && unit === "ml" && over[0] >= 10 && over[1] > over[0] ? over : null;
}

/** One number or range with its unit. */
function termAt(text: string, at: number): Term | null {
  let number = numberAt(text, at);
  if (!number) return null;
  const notes = number.note ? [number.note] : [];
  let multiplier = 1;
  const times = "x×".includes(nextSign(text, number.end) || "-")
    ? endAt(TIMES, text, number.end)
    : number.end;
  const multiplied = times > number.end ? numberAt(text, times) : null;
  if (multiplied) {
    multiplier = number.value;
    number = multiplied;
    if (number.note) notes.push(number.note);
  }
  let unit = unitAfter(text, number.end);
  let end = unit?.end ?? number.end;
  let low = number.value;
  let high: number | undefined;
  const mark = "-tobàau".includes(nextSign(text, end) || "!") ? endAt(RANGE_MARK, text, end) : end;
  const second = mark > end ? numberAt(text, mark) : null;
  if (second && second.value > number.value) {
    const secondUnit = unitAfter(text, second.end);
    if (!unit || secondUnit?.unit === unit.unit) {
      high = second.value;
      unit = secondUnit;
      end = secondUnit?.end ?? second.end;
      if (second.note) notes.push(second.note);
    }
  }
  const range = high === undefined ? asRange(number, unit?.unit ?? null) : null;
  if (range) {
    [low, high] = range;
    notes.push({ code: "over-as-range", said: `${range[0]}/${range[1]}` });
  }
  const factor = multiplier * (unit?.factor ?? 1);
  const term: Term = { low: low * factor, unit: unit?.unit ?? null, end, notes, spelled: number.spelled };
  if (high !== undefined) term.high = high * factor;
  return term;
}

/** Exact units that can be added to each other without asking anything. */
function inMl(term: Term): number | null {
  if (term.unit === null || term.high !== undefined || !(term.unit in ML_PER_UNIT)) return null;
  return term.low * ML_PER_UNIT[term.unit as keyof typeof ML_PER_UNIT];
}

/** "1 oz + 1 tsp": the second term added to the first, when nothing stands between. */
function withAddend(term: Term, text: string): Term {
  if (!"+pa&".includes(nextSign(text, term.end) || "!")) return term;
  const plus = endAt(PLUS, text, term.end);
  const second = plus > term.end && term.unit !== null ? termAt(text, plus) : null;
  const [a, b] = second ? [inMl(term), inMl(second)] : [null, null];
  if (!second || a === null || b === null) return term;
  // "1 oz gin + 1 oz mezcal" has a name between; "1 oz + 1 oz" of one name has not.
  const said = `${formatQuantity(term.low, term.unit!)} + ${formatQuantity(second.low, second.unit!)}`;
  return {
    ...second,
    low: a + b,
    unit: "ml",
    notes: [...term.notes, ...second.notes, { code: "added-up", said }],
  };
}

/** "a generous dash": a hedge may stand between the number and its unit. */
function withHedgedUnit(term: Term, text: string): Term {
  if (term.unit !== null) return term;
  const at = text[term.end] === " " ? term.end + 1 : term.end;
  const after = MAY_HEDGE.includes(text[at] ?? "-") ? endAt(HEDGES, text, at) : at;
  const unit = after > at ? unitAt(text, after) : null;
  if (!unit) return term;
  return {
    ...term,
    low: term.low * unit.factor,
    ...(term.high !== undefined && { high: term.high * unit.factor }),
    unit: unit.unit,
    end: unit.end,
    notes: [...term.notes, { code: "hedge", said: text.slice(at, after).trim() }],
  };
}

function bareUnitAt(text: string, at: number): Term | null {
  if (!BARE_UNITS.has(text.slice(at, letterEnd(text, at)))) return null;
  const unit = unitAt(text, at);
  return unit && { low: 1, unit: unit.unit, end: unit.end, notes: [{ code: "one-implied" }], spelled: true };
}

/**
 * The amount at `at` of normalised lower-case text, or null when none starts there. Reads mixed fractions,
 * a decimal comma, ranges, sums, number words, hedges, and a unit or none. Never throws.
 */
export function quantityAt(text: string, at: number): Quantity | null {
  const hedges: QuantityNote[] = [];
  let start = at;
  while (MAY_HEDGE.includes(text[start] ?? "-")) {
    const end = endAt(HEDGES, text, start);
    if (end === start) break;
    hedges.push({ code: "hedge", said: text.slice(start, end).trim() });
    start = end;
  }
  const plain = termAt(text, start) ?? bareUnitAt(text, start);
  if (!plain) return null;
  const { low, high, unit, end, spelled, notes } = withAddend(withHedgedUnit(plain, text), text);
  if (!Number.isFinite(low) || (high !== undefined && !Number.isFinite(high))) return null;
  const read: Quantity = { amount: low, unit, end, notes, spelled };
  if (high !== undefined) read.high = high;
  if (hedges.length > 0) read.notes = [...hedges, ...notes];
  return read;
}

/**
 * Read an amount at the start of `text`. Null when the text does not start with one (a ratio, a strength, an
 * age such as "2:1", "40 %", "80 proof" or "7 year" is none). Never throws.
 */
export function parseQuantity(text: string): ParsedQuantity | null {
  const normal = normaliseText(text);
  const lower = normal.toLowerCase();
  const read = quantityAt(lower, 0);
  if (!read) return null;
  const { end, ...quantity } = read;
  // Case folding may change a length; then the words are given as folded.
  const whole = lower.length === normal.length ? normal : lower;
  const after = endAt(/\s*/y, lower, end);
  const rest = whole.slice(endAt(CONNECTOR, lower, after)).trim();
  return { ...quantity, rest, echo: echoOf(quantity) };
}

/** What was understood, written back: "20–25 mL". */
export function echoOf({ amount, high, unit }: Pick<Quantity, "amount" | "high" | "unit">): string {
  const plain = (x: number) => String(Number(x >= 100 ? x.toFixed(1) : x.toPrecision(4)));
  const range = high === undefined ? plain(amount) : `${plain(amount)}–${plain(high)}`;
  if (unit === null) return range;
  return `${range} ${(high ?? amount) > 1 ? UNITS[unit].plural : UNITS[unit].label}`;
}
