import { FRACTIONS } from "./fractions.ts";
import { isDigit } from "./text-at.ts";
import { plainUnit } from "./unit-words.ts";

/*
 * The amounts most lines begin with, told by their characters alone: "2 oz", "22.5 ml", "1 1/2 oz", "¾ oz". What is
 * written in any other way is left to `quantityAt`, which reads these too, and the same unless another amount follows
 * ("1 oz + 1 tsp", "1 oz - 2 oz").
 */

interface PlainNumber {
  value: number;
  end: number;
  /** As `normaliseText` has it, where that is not as it stands. */
  spelled: string | null;
}

const SPACE = 32;
const POINT = 46;
const SLASH = 47;
/** Numbers of more digits are left to be read in full; those of these are what their digits make. */
const MOST_WHOLE = 4;
const MOST_SCALE = 1e8;

/** Of an ASCII letter of either case. */
const isLetter = (c: number) => (c | 32) >= 97 && (c | 32) <= 122;

const BY_SIGN = new Map(FRACTIONS.map((fraction) => [fraction.sign, fraction]));
const BY_SPELLING = new Map(FRACTIONS.map((fraction) => [fraction.spelled, fraction]));

/** The number with the fraction at `at`, a sign or three characters. */
function withShare(text: string, wholeEnd: number, whole: number, at: number): PlainNumber | null {
  const sign = BY_SIGN.get(text.charAt(at));
  const share = sign ?? BY_SPELLING.get(text.slice(at, at + 3));
  if (!share) return null;
  const value = whole + share.value;
  if (!sign) return { value, end: at + 3, spelled: null };
  const { spelled } = sign;
  return { value, end: at + 1, spelled: wholeEnd > 0 ? `${text.slice(0, wholeEnd)} ${spelled}` : spelled };
}

function plainNumber(text: string): PlainNumber | null {
  let end = 0;
  let value = 0;
  let c = text.charCodeAt(0);
  for (; isDigit(c) && end < MOST_WHOLE; c = text.charCodeAt(end)) {
    value = 10 * value + c - 48;
    end += 1;
  }
  if (c === SLASH) return withShare(text, 0, 0, 0);
  if (c > 127) return withShare(text, end, value, end);
  if (end === 0) return null;
  if (c === POINT) {
    let scale = 1;
    c = text.charCodeAt(end + 1);
    for (end += 1; isDigit(c) && scale < MOST_SCALE; c = text.charCodeAt(end)) {
      value = 10 * value + c - 48;
      scale *= 10;
      end += 1;
    }
    return scale === 1 ? null : { value: value / scale, end, spelled: null };
  }
  const next = c === SPACE ? text.charCodeAt(end + 1) : SPACE;
  if (isDigit(next) || next > 127) return withShare(text, end, value, end + 1);
  return { value, end, spelled: null };
}

/**
 * The amount a text begins with, where it is plain and more follows, else null: `end` is where it ends, at a space, and
 * `head` the text up to there, as `normaliseText` has it.
 */
export function plainAmount(text: string) {
  const number = plainNumber(text);
  if (!number) return null;
  const { spelled } = number;
  const at = text.charCodeAt(number.end) === SPACE ? number.end + 1 : number.end;
  let end = at;
  while (isLetter(text.charCodeAt(end))) end += 1;
  const word = plainUnit(text.slice(at, end));
  if (!word) return null;
  if (text.charCodeAt(end) === POINT) end += 1;
  if (text.charCodeAt(end) !== SPACE) return null;
  const head = spelled === null ? text.slice(0, end) : `${spelled} ${text.slice(at, end)}`;
  return { amount: number.value * word.factor, unit: word.unit, end, head };
}
