import { endAt, isDigitAt, letterEnd, matchAt } from "./text-at.ts";
import type { QuantityNote } from "./words.ts";

/** A number as written: its value and where it ends. */
export interface NumberRead {
  value: number;
  end: number;
  note: QuantityNote | null;
  /** "2/1" or "20/25": a whole number written over a smaller or larger one, which may mean a ratio or a range. */
  over: readonly [number, number] | null;
  /** Written in words: "half", "two". */
  spelled: boolean;
}

const IN_WORDS: readonly [value: number, words: string][] = [
  [1, "a an one ein eine einen un una une uno um uma"],
  [2, "two zwei deux dos due dois duas"],
  [3, "three drei trois tres tre"],
  [4, "four"],
  [5, "five"],
  [6, "six"],
  [7, "seven"],
  [8, "eight"],
  [9, "nine"],
  [10, "ten"],
  [12, "twelve"],
];
/** Numbers in words, in the languages that specs are written in. */
export const NUMBER_WORDS: ReadonlyMap<string, number> = new Map(
  IN_WORDS.flatMap(([value, words]) => words.split(" ").map((word) => [word, value] as const)),
);

/** A group for each of `FRACTION_VALUES`, and none for a half in other languages. */
const FRACTION_WORDS =
  /(?:(three[\s-]quarters?)|(two[\s-]thirds?)|((?:an?\s+|one[\s-])?half)|((?:an?\s+|one[\s-])?quarter)|((?:an?\s+|one[\s-])third))(?:\s+of)?(?:\s+an?)?(?!\p{L})|(?:(?:ein(?:e[rsnm]?)?|un[ae]?|uno|uma?)\s+)?(?:halbe[rns]?|demi[e]?|medi[oa]|mezz[oa]|mei[oa])(?![\p{L}-])/uy;
const FRACTION_VALUES = [0.75, 2 / 3, 0.5, 0.25, 1 / 3];

const AND_A_HALF = / (?:and|&) (?:a half|1\/2)(?!\p{L})/uy;
const OVER = /(\d{1,3}) ?\/ ?(\d{1,3})(?!\d)/y;
const MIXED = /(\d{1,4})(?: ?- ?| +| ?& ?| and | y | et | e | und )(\d{1,2}) ?\/ ?(\d{1,2})(?!\d)/y;
const DECIMAL = /(\d{1,7})?(?:([.,])(\d{1,12}))?/y;

/** What may not follow a number that is an amount: more digits, a ratio, a strength, an age, an ordinal. */
const NOT_AN_AMOUNT =
  /[\d:/]|[.,]\d|\s*(?:%|°|º)|[\s-]*(?:proof|prf|percent|per cent|abv|vol\b|brix|bx\b|y\.?o\.?(?!\p{L})|yrs?(?!\p{L})|years?(?!\p{L})|años?(?!\p{L})|ans(?!\p{L})|jahre(?!\p{L})|anni(?!\p{L}))|(?:st|nd|rd|th)(?!\p{L})|\s+to\s+\d+\s+(?:simple|sugar|honey|syrup|rich|demerara)/uy;

/** What it may begin with, so that most numbers are not searched. */
const MAY_DENY = "0123456789:/.,%°º-pavbyjtsnr";

/** End of at most so many digits. */
function digitsEnd(text: string, at: number, most: number): number {
  let end = at;
  while (end - at < most && isDigitAt(text, end)) end += 1;
  return end;
}

/** Whether nothing can belong to the number any more: its text ends, or a word follows that joins no fraction to it. */
function endsNumber(text: string, end: number): boolean {
  const next = text[end];
  if (next !== " ") return next === undefined || (next >= "a" && next <= "z");
  const word = text[end + 1] ?? "";
  return word >= "a" && word <= "z" && !JOINS_FRACTION.includes(word);
}
/** First letters of "and", "y", "et", "e" and "und": "one and 1/2". */
const JOINS_FRACTION = "ayeu";

const numberOf = (value: number, end: number, spelled = false): NumberRead => {
  return { value, end, note: null, over: null, spelled };
};

function digitsAt(text: string, at: number): NumberRead | null {
  // Most numbers are whole or have a point: leave the patterns to what needs them.
  let end = digitsEnd(text, at, 7);
  if (end > at && text[end] === "." && isDigitAt(text, end + 1)) end = digitsEnd(text, end + 1, 12);
  if (end > at && endsNumber(text, end)) return numberOf(Number(text.slice(at, end)), end);
  const over = matchAt(OVER, text, at);
  if (over) {
    const [top, bottom] = [Number(over[1]), Number(over[2])];
    if (bottom === 0) return null;
    const read = numberOf(top / bottom, at + over[0].length);
    return top < bottom && bottom <= 16 ? read : { ...read, over: [top, bottom] };
  }
  const mixed = matchAt(MIXED, text, at);
  if (mixed) {
    const part = Number(mixed[2]) / Number(mixed[3]);
    // "1 1/2" and "1-1/2" are one and a half; "2-4/2" is nothing people write.
    if (part > 0 && part < 1) return numberOf(Number(mixed[1]) + part, at + mixed[0].length);
  }
  const decimal = matchAt(DECIMAL, text, at);
  if (!decimal || (decimal[1] === undefined && decimal[3] === undefined)) return null;
  const [all, whole = "0", mark, digits] = decimal;
  end = at + all.length;
  const value = Number(`${whole}.${digits ?? "0"}`);
  if (mark !== ",") return numberOf(value, end);
  // "1,500 ml" is a batch in thousands; "1,125 oz" is nine eighths.
  const inThousands =
    digits?.length === 3 && /^[1-9]/.test(whole) && /^ ?(?:ml|g)(?!\p{L})/u.test(text.slice(end));
  const taken = inThousands ? Number(`${whole}${digits}`) : value;
  const code = inThousands ? "comma-for-thousands" : "decimal-comma";
  return { ...numberOf(taken, end), note: { code, said: all, amount: taken } };
}

function wordsAt(text: string, at: number): NumberRead | null {
  const end = letterEnd(text, at);
  const word = text.slice(at, end);
  const fraction = matchAt(FRACTION_WORDS, text, at);
  if (fraction) {
    const group = fraction.slice(1).findIndex(Boolean);
    return numberOf(FRACTION_VALUES[group] ?? 0.5, at + fraction[0].length, true);
  }
  const value = NUMBER_WORDS.get(word);
  if (value === undefined || text[end] === "'" || text[end] === "’") return null;
  const half = "a&".includes(text[end + 1] ?? "-") ? matchAt(AND_A_HALF, text, end) : null;
  return half ? numberOf(value + 0.5, end + half[0].length, true) : numberOf(value, end, true);
}

/**
 * The number at `at` of normalised lower-case text: digits, mixed fractions, a decimal comma, number words.
 * Null for what is no amount though it begins with digits: a ratio, a strength, an age, an ordinal.
 */
export function numberAt(text: string, at: number): NumberRead | null {
  const c = text.charCodeAt(at);
  const digits = isDigitAt(text, at) || ((c === 44 || c === 46) && isDigitAt(text, at + 1));
  if (!digits) return letterEnd(text, at) > at ? wordsAt(text, at) : null;
  const read = digitsAt(text, at);
  if (!read) return null;
  const next = text[read.end] === " " ? text[read.end + 1] : text[read.end];
  if (next === undefined || !MAY_DENY.includes(next)) return read;
  return endAt(NOT_AN_AMOUNT, text, read.end) > read.end ? null : read;
}
