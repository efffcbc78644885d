import type { UnitId } from "../types.ts";
import { formatQuantity } from "./format-amount.ts";
import { normaliseText } from "./normalise.ts";
import { type NumberRead, numberAt } from "./numbers.ts";
import { endAt, letterEnd } from "./text-at.ts";
import { type UnitWord, unitAt } from "./unit-words.ts";
import { isStandard, ML_PER_UNIT, UNITS } from "./units.ts";
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
/** What may stand between two numbers, and the signs it may begin with, so that most texts are not searched for it. */
interface Joint {
  signs: string;
  pattern: RegExp;
}
const RANGE: Joint = {
  signs: "-tobàau",
  pattern: / ?(?:-|(?:to|or|bis|oder|à|a|ou|o)(?!\p{L})) ?(?=[\d.,])/uy,
};
const TIMES: Joint = { signs: "x×", pattern: / ?[x×] ?(?=\d)/y };
const PLUS: Joint = { signs: "+pa&", pattern: / ?(?:\+|(?:plus|and|&)(?!\p{L})) ?/uy };
const UNIT_GAP = / ?-(?=[a-z])| of an? | /y;
/** A space behind which no sign and no "of" stands is the gap itself, and most are. */
const WIDE_GAP = "-o";

/** The sign or letter at `at`, a space before it passed over: tells whether a pattern is worth trying there. */
function nextSign(text: string, at: number): string {
  return (text[at] === " " ? text[at + 1] : text[at]) ?? "";
}

/** End of what joins another number at `at`, or `at`. */
function jointEnd({ signs, pattern }: Joint, text: string, at: number): number {
  return signs.includes(nextSign(text, at) || "!") ? endAt(pattern, text, at) : at;
}

function unitAfter(text: string, at: number): (UnitWord & { end: number }) | null {
  const wide = WIDE_GAP.includes(nextSign(text, at) || "!");
  return unitAt(text, at) ?? unitAt(text, wide ? endAt(UNIT_GAP, text, at) : text[at] === " " ? at + 1 : at);
}

/** "20/25 ml" is a range in a metric spec: nobody measures four fifths of a millilitre. */
function asRange({ over }: NumberRead, unit: UnitId | null): readonly [number, number] | null {
  return over && unit === "ml" && over[0] >= 10 && over[1] > over[0] ? over : null;
}

/** One number or range with its unit. */
function termAt(text: string, at: number): Quantity | null {
  let number = numberAt(text, at);
  if (!number) return null;
  const notes = number.note ? [number.note] : [];
  let multiplier = 1;
  const times = jointEnd(TIMES, text, number.end);
  const multiplied = times > number.end ? numberAt(text, times) : null;
  if (multiplied) {
    multiplier = number.value;
    number = multiplied;
    if (number.note) notes.push(number.note);
  }
  let unit = unitAfter(text, number.end);
  let end = unit?.end ?? number.end;
  let amount = number.value;
  let high: number | undefined;
  const mark = jointEnd(RANGE, text, end);
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
    [amount, high] = range;
    notes.push({ code: "over-as-range", said: `${range[0]}/${range[1]}` });
  }
  const factor = multiplier * (unit?.factor ?? 1);
  const read: Quantity = {
    amount: amount * factor,
    unit: unit?.unit ?? null,
    end,
    notes,
    spelled: number.spelled,
  };
  if (high !== undefined) read.high = high * factor;
  return read;
}

/** Volume of a quantity in a unit that a standard defines; null for a range and any other unit. */
export function exactMl({ amount, high, unit }: Quantity): number | null {
  return high === undefined && isStandard(unit) ? amount * ML_PER_UNIT[unit] : null;
}

/** "1 oz + 1 tsp": the second term added to the first, when nothing stands between. */
function withAddend(term: Quantity, text: string): Quantity {
  const plus = jointEnd(PLUS, text, term.end);
  const second = plus > term.end && term.unit !== null ? termAt(text, plus) : null;
  const [a, b] = second ? [exactMl(term), exactMl(second)] : [null, null];
  if (!second || a === null || b === null) return term;
  // "1 oz gin + 1 oz mezcal" has a name between; "1 oz + 1 oz" of one name has not.
  const said = `${formatQuantity(term.amount, term.unit!)} + ${formatQuantity(second.amount, second.unit!)}`;
  const notes: QuantityNote[] = [...term.notes, ...second.notes, { code: "added-up", said }];
  return { ...second, amount: a + b, unit: "ml", notes };
}

/** "a generous dash": a hedge may stand between the number and its unit. */
function withHedgedUnit(term: Quantity, text: string): Quantity {
  if (term.unit !== null) return term;
  const at = text[term.end] === " " ? term.end + 1 : term.end;
  const after = MAY_HEDGE.includes(text[at] ?? "-") ? endAt(HEDGES, text, at) : at;
  const unit = after > at ? unitAt(text, after) : null;
  if (!unit) return term;
  return {
    ...term,
    amount: term.amount * unit.factor,
    ...(term.high !== undefined && { high: term.high * unit.factor }),
    unit: unit.unit,
    end: unit.end,
    notes: [...term.notes, { code: "hedge", said: text.slice(at, after).trim() }],
  };
}

function bareUnitAt(text: string, at: number): Quantity | null {
  if (!BARE_UNITS.has(text.slice(at, letterEnd(text, at)))) return null;
  const unit = unitAt(text, at);
  return (
    unit && { amount: 1, unit: unit.unit, end: unit.end, notes: [{ code: "one-implied" }], spelled: true }
  );
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
  const read = withAddend(withHedgedUnit(plain, text), text);
  if (!Number.isFinite(read.high ?? read.amount)) return null;
  return hedges.length > 0 ? { ...read, notes: [...hedges, ...read.notes] } : read;
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
