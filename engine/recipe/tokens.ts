import { normaliseText } from "../amounts/normalise.ts";
import { type Quantity, quantityAt } from "../amounts/parse-quantity.ts";
import { letterEnd } from "../amounts/unit-words.ts";
import { ML_PER_UNIT } from "../amounts/units.ts";
import { foldWord } from "./fold.ts";
import { POUR_OPENERS, VESSEL_WORDS } from "./vocabulary.ts";

/**
 * What a line is made of. `start` and `end` are places in the normalised line.
 *
 * - `word`: folded for comparing; a word that folds into two gives two tokens.
 * - `amount`: a number with its unit or none; `second` is the same pour in another unit, `pour` is false for
 *   the size of a glass or of the ice.
 * - `ratio`: "2:1", sugar to water. `strength`: % as written, or half the proof; `brix` likewise.
 * - `mark`: one sign that separates or encloses; " -" is a dash with spaces round it.
 * - `aside`: a number that is no amount of anything poured: an age, a time, "2:1:1".
 */
export type Token = { start: number; end: number } & (
  | { kind: "word"; word: string }
  | { kind: "amount"; quantity: Quantity; pour: boolean; second: Quantity | null }
  | { kind: "ratio"; ratio: string }
  | { kind: "strength"; percent: number }
  | { kind: "brix"; brix: number }
  | { kind: "mark"; mark: string }
  | { kind: "aside"; what: "age" | "time" | "chain" }
);

/** Of a method paragraph this much is looked at. */
const MOST_CHARS = 2000;
/** At most this many tokens; nobody writes more on a line. */
const MOST_TOKENS = 400;

const BULLET =
  /^(?:[\s>|•·▪◦‣●○■□☐☑✓✔*–—_~-]|\[[ xX]?\]|\p{Extended_Pictographic}\uFE0F?|\(?(?:1?\d|20)[.)](?= (?!\d+ ?[/.,]?\d* ?$)))+/u;

const CHAIN = /\d{1,4}(?: ?[:/] ?\d{1,4}){2,}(?![\d.,])/y;
const RATIO = /(\d{1,2}(?:[.,]\d)?) ?: ?(\d{1,2}(?:[.,]\d)?)(?![\d:]|[.,]\d)/y;
/** "2 to 1", "2-1": a range runs upwards, so one that does not is a ratio. */
const DOWNWARDS = /(\d|one|two|three|four)(?:-to-|-| to )(one|two|three|four|\d)(?![\d\p{L}/]|[.,]\d)/uy;
const SMALL_NUMBERS: Readonly<Record<string, number>> = { one: 1, two: 2, three: 3, four: 4 };
const IN_PARTS = /(\d) parts? \p{L}+(?: to | and |, ?|: ?| )(\d) parts? (?:of )?water(?!\p{L})/uy;
const STRENGTH =
  /(\d{1,3}(?:[.,]\d+)?)(?: ?(?:%|percent(?!\p{L})|per cent(?!\p{L})|º|°(?! ?b(?:x|rix)))(?: ?(?:vol|abv|alc)(?!\p{L})\.?)?| (?:abv|vol)(?!\p{L}))/uy;
const PROOF = /(\d{2,3}(?:[.,]\d+)?)[ -]?(?:°|degrees?)? ?(?:proof|prf)(?!\p{L})/uy;
const BRIX = /(\d{1,2}(?:[.,]\d+)?) ?°? ?b(?:x|rix)(?!\p{L})/uy;
const AGE =
  /\d{1,3}(?: ?- ?\d{1,3})? ?-?(?:y\.?o\.?|yrs?|years?|jahre|ans|años|anni)(?!\p{L})\.?(?:[ -]old(?!\p{L}))?/uy;
const TIME =
  /\d{1,4}(?: ?(?:-|to) ?\d{1,4})? ?(?:s|secs?|seconds?|mins?|minutes?|hours?|hrs?|times|sekunden|secondes|segundos|°c)(?![\p{L}\d])/uy;

function matchAt(pattern: RegExp, text: string, at: number): RegExpExecArray | null {
  pattern.lastIndex = at;
  return pattern.exec(text);
}

const numberOf = (text = "") => SMALL_NUMBERS[text] ?? Number(text.replace(",", "."));

/** "2:1", "2 to 1", "two-to-one", "2 parts sugar to 1 part water". */
function ratioAt(text: string, at: number): Token | null {
  let found = matchAt(RATIO, text, at) ?? matchAt(IN_PARTS, text, at);
  if (!found) {
    found = matchAt(DOWNWARDS, text, at);
    if (!found || numberOf(found[2]) > numberOf(found[1])) return null;
  }
  const ratio = `${numberOf(found[1])}:${numberOf(found[2])}`;
  return { kind: "ratio", ratio, start: at, end: at + found[0].length };
}

/** What begins with a figure and is no amount: a ratio, a strength, an age, a time, a chain of numbers. */
function figureAt(text: string, at: number): Token | null {
  const chain = matchAt(CHAIN, text, at);
  if (chain) return { kind: "aside", what: "chain", start: at, end: at + chain[0].length };
  const ratio = ratioAt(text, at);
  if (ratio) return ratio;
  const proof = matchAt(PROOF, text, at);
  const strength = proof ?? matchAt(STRENGTH, text, at);
  if (strength) {
    const percent = numberOf(strength[1]) / (proof ? 2 : 1);
    return { kind: "strength", percent, start: at, end: at + strength[0].length };
  }
  const brix = matchAt(BRIX, text, at);
  if (brix) return { kind: "brix", brix: numberOf(brix[1]), start: at, end: at + brix[0].length };
  const age = matchAt(AGE, text, at);
  const aside = age ?? matchAt(TIME, text, at);
  return aside && { kind: "aside", what: age ? "age" : "time", start: at, end: at + aside[0].length };
}

/** A cream by that name, and no amount. */
const HALF_AND_HALF = /half(?: and |-and-| ?& ?)half(?!\p{L})/uy;

/** Words that may begin an amount written out ("two", "half", "dash"), found by asking for one. */
const SPELLED = new Set(
  `a an one two three four five six seven eight nine ten twelve half quarter third dash bar barspoon barspoonful bsp
  tea teaspoon teaspoonful table tablespoon tablespoonful drop about around approx approximately ca circa roughly
  scant short barely generous heaping heaped heavy fat good level full small large big ein eine einen einer eines
  einem zwei drei un una une uno deux trois dos tres due tre um uma dois duas halbe halber halben halbes demi demie
  medio media mezzo mezza meio meia`.split(/\s+/),
);

const ARTICLE = /^(?:an?|ein\p{L}*|un[aeo]?|uma?)$/u;
/** "a lime" is one after these; "garnish with a cherry" pours nothing. */
const BEFORE_ONE = new Set("of add use take muddle squeeze juice de di d von aus plus".split(" "));

/** An amount written out counts where a pour may begin: first, after a sign, after "of", "and", "add". */
function opensPour(before: Token | undefined, word: string): boolean {
  if (before === undefined || before.kind === "mark") return true;
  return before.kind === "word" && (ARTICLE.test(word) ? BEFORE_ONE : POUR_OPENERS).has(before.word);
}

function spelledAmountAt(
  text: string,
  at: number,
  wordEnd: number,
  before: Token | undefined,
): Quantity | null {
  const word = text.slice(at, wordEnd);
  if (!SPELLED.has(word)) return null;
  const read = quantityAt(text, at);
  if (!read) return null;
  // "two dashes" is an amount anywhere; "dash" alone only where a pour may begin: "Lemon Drop" is a name.
  const counted = read.unit !== null && !read.notes.some((note) => note.code === "one-implied");
  return counted || opensPour(before, word) ? read : null;
}

/** What begins with a digit, or with the point of a fraction: an amount or a figure; null where it is none of ours. */
export function numberAt(text: string, at: number): Token | null {
  // "2 oz" is an amount and nothing else; "2 parts sugar to 1 part water" may be a ratio.
  const quantity = quantityAt(text, at);
  const sure = quantity?.unit && quantity.unit !== "part";
  const figure = sure || !isDigit(text, at) ? null : figureAt(text, at);
  if (figure || !quantity) return figure;
  return { kind: "amount", quantity, pour: true, second: null, start: at, end: quantity.end };
}

const FIGURE_OR_LETTER = /[\d\p{L}]/u;
const isDigit = (text: string, at: number) => {
  const c = text.charCodeAt(at);
  return c >= 48 && c <= 57;
};

const MARKS = ",;|/+=&:()[]#.";

/** The sign at `at`, or null where it only joins letters or ends an abbreviation. */
function markAt(text: string, at: number, before: Token | undefined): Token | null {
  const sign = text[at]!;
  const end = at + 1;
  if (sign === "-") {
    const spaced = text[at - 1] === " " && (text[end] === " " || text[end] === undefined);
    return spaced ? { kind: "mark", mark: " -", start: at, end } : null;
  }
  if (!MARKS.includes(sign)) return null;
  // "Gin ..... 2 oz", "50. gin", "v.s.o.p.": a full stop parts two pieces only after a word and before a space.
  if (sign === ".") {
    const ends = before?.kind === "word" && before.end - before.start > 2 && before.end === at;
    return ends && /^(?: |$)/.test(text.slice(end, end + 1))
      ? { kind: "mark", mark: ".", start: at, end }
      : null;
  }
  return { kind: "mark", mark: sign === "[" ? "(" : sign === "]" ? ")" : sign, start: at, end };
}

/** End of the letters, marks and apostrophes at `at`; figures inside a word ("7up") belong to it. */
function wordEndAt(text: string, at: number): number {
  let end = letterEnd(text, at);
  while (end > at && (text[end] === "'" || text[end] === "’")) {
    const next = letterEnd(text, end + 1);
    if (next === end + 1) break;
    end = next;
  }
  return end;
}

/** "d'ananas", "l'orange": the elided article is a word of its own. */
const QUOTES = "'’";
const ELIDED = /^[dl]['’]/u;

/** Push the word and return where it ends. */
function pushWord(tokens: Token[], text: string, start: number, end: number): number {
  const stop =
    QUOTES.includes(text[start + 1] ?? " ") && ELIDED.test(text.slice(start, end)) ? start + 2 : end;
  const folded = foldWord(text.slice(start, stop));
  if (!folded.includes(" ")) {
    if (folded !== "") tokens.push({ kind: "word", word: folded, start, end: stop });
    return stop;
  }
  for (const word of folded.split(" ")) tokens.push({ kind: "word", word, start, end: stop });
  return stop;
}

/** A second reading of the same pour: "60 ml / 2 oz", "2 oz (60 ml)", "2 oz = 60 ml". */
const BETWEEN_READINGS = new Set(["/", "|", "=", "("]);

function mergeSecondReadings(tokens: Token[]): Token[] {
  const out: Token[] = [];
  for (let i = 0; i < tokens.length; i += 1) {
    const token = tokens[i]!;
    out.push(token);
    if (token.kind !== "amount" || token.quantity.unit === null) continue;
    const [mark, second, close] = [tokens[i + 1], tokens[i + 2], tokens[i + 3]];
    const between =
      (mark?.kind === "mark" && BETWEEN_READINGS.has(mark.mark)) ||
      (mark?.kind === "word" && mark.word === "or");
    if (!between || second?.kind !== "amount" || second.quantity.unit === null) continue;
    const enclosed = mark.kind === "mark" && mark.mark === "(";
    if (enclosed && !(close === undefined || (close.kind === "mark" && close.mark === ")"))) continue;
    if (second.quantity.unit === token.quantity.unit) continue;
    token.second = second.quantity;
    i += enclosed && close !== undefined ? 3 : 2;
  }
  return out;
}

/** "a 6 oz coupe", "3 oz ice": the size of a vessel or of the ice is no pour. */
function markVesselSizes(tokens: Token[]): void {
  tokens.forEach((token, i) => {
    if (token.kind !== "amount") return;
    const before = tokens[i - 1];
    // "half a lime, cut into 4 wedges": the wedges are the half over again.
    if (before?.kind === "word" && before.word === "into") {
      token.pour = false;
      return;
    }
    for (let k = i + 1; k <= i + 3; k += 1) {
      const next = tokens[k];
      if (next?.kind !== "word" || !VESSEL_WORDS.has(next.word)) {
        if (next?.kind === "word") continue;
        return;
      }
      const after = tokens[k + 1];
      token.pour = after?.kind === "word" && after.word !== "with" && after.word !== "and";
      return;
    }
  });
}

/** Exact volume of a quantity for comparing two readings of one pour; null when a unit is conventional. */
export function exactMl(q: Quantity): number | null {
  return q.unit !== null && q.unit in ML_PER_UNIT && q.high === undefined
    ? q.amount * ML_PER_UNIT[q.unit as keyof typeof ML_PER_UNIT]
    : null;
}

/** A line that begins with a letter or a number bears no mark. (The build makes a pattern with \p anew where it stands.) */
const UNMARKED = /^(?:\p{L}|\d+(?![.)\d]))/u;

/** Take the marks of a list off a line, and its fractions and spaces one way; the words stay. */
export function bareLine(raw: string): string {
  const normal = normaliseText(raw.length > MOST_CHARS ? raw.slice(0, MOST_CHARS) : raw);
  const unmarked = /[*_`]/.test(normal)
    ? normal
        .replace(/\*\*|__|`/gu, " ")
        .replace(/ {2,}/gu, " ")
        .trim()
    : normal;
  return UNMARKED.test(unmarked) ? unmarked : unmarked.replace(BULLET, "").trim();
}

/**
 * Read a line into what it is made of, once, left to right, its first token given if it is read already. In a name
 * ("half cream") no amount is written out. Never throws; noise gives few or no tokens.
 */
export function scan(text: string, kind: "line" | "name" = "line", first: Token | null = null): Token[] {
  const lower = text.toLowerCase();
  const tokens: Token[] = first ? [first] : [];
  let at = first?.end ?? 0;
  while (at < lower.length && tokens.length < MOST_TOKENS) {
    const c = lower.charCodeAt(at);
    const before = tokens.at(-1);
    if (c === 32) {
      at += 1;
      continue;
    }
    if (isDigit(lower, at) || ((c === 44 || c === 46) && isDigit(lower, at + 1) && lower[at - 1] !== ".")) {
      const number = numberAt(lower, at);
      if (number) tokens.push(number);
      else {
        // Digits that are no figure of ours ("3rd", "99999999"): a word, so that they are not overlooked.
        let end = at + 1;
        while (FIGURE_OR_LETTER.test(lower[end] ?? "")) end += 1;
        tokens.push({ kind: "word", word: lower.slice(at, end), start: at, end });
      }
      at = tokens.at(-1)!.end;
      continue;
    }
    const halves = c === 104 ? matchAt(HALF_AND_HALF, lower, at) : null;
    if (halves) {
      tokens.push({ kind: "word", word: "half-and-half", start: at, end: at + halves[0].length });
      at = tokens.at(-1)!.end;
      continue;
    }
    const wordEnd = wordEndAt(lower, at);
    if (wordEnd > at) {
      const ratio = lower.startsWith("to", wordEnd + 1) ? ratioAt(lower, at) : null;
      const quantity = ratio || kind === "name" ? null : spelledAmountAt(lower, at, wordEnd, before);
      if (ratio) tokens.push(ratio);
      else if (quantity) {
        tokens.push({ kind: "amount", quantity, pour: true, second: null, start: at, end: quantity.end });
      }
      at = ratio?.end ?? quantity?.end ?? pushWord(tokens, lower, at, wordEnd);
      continue;
    }
    const hedged = c === 126 || lower[at] === "≈" ? quantityAt(lower, at) : null;
    if (hedged) {
      tokens.push({ kind: "amount", quantity: hedged, pour: true, second: null, start: at, end: hedged.end });
      at = hedged.end;
      continue;
    }
    const mark = markAt(lower, at, before);
    if (mark) tokens.push(mark);
    at += 1;
  }
  const merged = tokens.length > 3 ? mergeSecondReadings(tokens) : tokens;
  markVesselSizes(merged);
  return merged;
}
