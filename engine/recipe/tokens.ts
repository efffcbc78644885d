import { normaliseText } from "../amounts/normalise.ts";
import { NUMBER_WORDS } from "../amounts/numbers.ts";
import { type Quantity, quantityAt } from "../amounts/parse-quantity.ts";
import { isDigitAt, letterEnd, matchAt } from "../amounts/text-at.ts";
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
export type Token = { start: number; end: number } & Figure;
type Figure =
  | { kind: "word"; word: string }
  | { kind: "amount"; quantity: Quantity; pour: boolean; second: Quantity | null }
  | { kind: "ratio"; ratio: string }
  | { kind: "strength"; percent: number }
  | { kind: "brix"; brix: number }
  | { kind: "mark"; mark: string }
  | { kind: "aside"; what: "age" | "time" | "chain" };

/** Whether a token is one of the words. */
export const isWord = (t: Token | undefined, words: { has(word: string): boolean }): boolean =>
  t?.kind === "word" && words.has(t.word);
/** Whether a token is one of the signs. */
export const isMark = (t: Token | undefined, marks: string): boolean =>
  t?.kind === "mark" && marks.includes(t.mark);
/** An amount that is poured. */
export const isPour = (t: Token): t is Extract<Token, { kind: "amount" }> => t.kind === "amount" && t.pour;
/** The words among tokens. */
export function wordsOf(tokens: readonly Token[]): string[] {
  const words: string[] = [];
  for (const t of tokens) if (t.kind === "word") words.push(t.word);
  return words;
}

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
const IN_PARTS = /(\d) parts? \p{L}+(?: to | and |, ?|: ?| )(\d) parts? (?:of )?water(?!\p{L})/uy;
const STRENGTH =
  /(\d{1,3}(?:[.,]\d+)?)(?: ?(?:%|percent(?!\p{L})|per cent(?!\p{L})|º|°(?! ?b(?:x|rix)))(?: ?(?:vol|abv|alc)(?!\p{L})\.?)?| (?:abv|vol)(?!\p{L}))/uy;
const PROOF = /(\d{2,3}(?:[.,]\d+)?)[ -]?(?:°|degrees?)? ?(?:proof|prf)(?!\p{L})/uy;
const BRIX = /(\d{1,2}(?:[.,]\d+)?) ?°? ?b(?:x|rix)(?!\p{L})/uy;
const AGE =
  /\d{1,3}(?: ?- ?\d{1,3})? ?-?(?:y\.?o\.?|yrs?|years?|jahre|ans|años|anni)(?!\p{L})\.?(?:[ -]old(?!\p{L}))?/uy;
const TIME =
  /\d{1,4}(?: ?(?:-|to) ?\d{1,4})? ?(?:s|secs?|seconds?|mins?|minutes?|hours?|hrs?|times|sekunden|secondes|segundos|°c)(?![\p{L}\d])/uy;

const numberOf = (text = "") => NUMBER_WORDS.get(text) ?? Number(text.replace(",", "."));

type ReadFigure = (text: string, at: number) => Token | null;

/** "2:1", "2 to 1", "two-to-one", "2 parts sugar to 1 part water". */
const ratioAt: ReadFigure = (text, start) => {
  let found = matchAt(RATIO, text, start) ?? matchAt(IN_PARTS, text, start);
  if (!found) {
    found = matchAt(DOWNWARDS, text, start);
    if (!found || numberOf(found[2]) > numberOf(found[1])) return null;
  }
  const ratio = `${numberOf(found[1])}:${numberOf(found[2])}`;
  return { kind: "ratio", ratio, start, end: start + found[0].length };
};

/** What a pattern finds, its number read. */
const figure =
  (pattern: RegExp, read: (found: number) => Figure): ReadFigure =>
  (text, start) => {
    const found = matchAt(pattern, text, start);
    return found && { ...read(numberOf(found[1])), start, end: start + found[0].length };
  };

/** What begins with digits and is no amount, in the order it is asked, by the signs one of which stands behind them. */
const FIGURES: readonly [signs: string, read: ReadFigure][] = [
  [":/", figure(CHAIN, () => ({ kind: "aside", what: "chain" }))],
  [":-tp", ratioAt],
  ["-°dp", figure(PROOF, (proof) => ({ kind: "strength", percent: proof / 2 }))],
  ["%pº°av", figure(STRENGTH, (percent) => ({ kind: "strength", percent }))],
  ["°b", figure(BRIX, (brix) => ({ kind: "brix", brix }))],
  ["-yja", figure(AGE, () => ({ kind: "aside", what: "age" }))],
  ["-tsmh°", figure(TIME, () => ({ kind: "aside", what: "time" }))],
];
const DIGITS = /\d+(?:[.,]\d+)? ?/y;

/** What begins with a figure and is no amount: a ratio, a strength, an age, a time, a chain of numbers. */
function figureAt(text: string, at: number): Token | null {
  DIGITS.lastIndex = at;
  const sign = DIGITS.test(text) ? text[DIGITS.lastIndex] : undefined;
  if (sign === undefined) return null;
  for (const [signs, read] of FIGURES) {
    const found = signs.includes(sign) ? read(text, at) : null;
    if (found) return found;
  }
  return null;
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

const ARTICLE = new Set("a an ein eine einen einer eines einem un una une uno um uma".split(" "));
/** "a lime" is one after these; "garnish with a cherry" pours nothing. */
const BEFORE_ONE = new Set("of add use take muddle squeeze juice de di d von aus plus".split(" "));

/** An amount written out counts where a pour may begin: first, after a sign, after "of", "and", "add". */
function opensPour(before: Token | undefined, word: string): boolean {
  const openers = ARTICLE.has(word) ? BEFORE_ONE : POUR_OPENERS;
  return before === undefined || before.kind === "mark" || isWord(before, openers);
}

/** What begins with a word of `SPELLED`: "2 to 1" in words, an amount (none in a name), a cream by that name. */
function spelledAt(
  text: string,
  at: number,
  word: string,
  before: Token | undefined,
  inName: boolean,
): Token | null {
  const halves = word === "half" ? matchAt(HALF_AND_HALF, text, at) : null;
  if (halves) return { kind: "word", word: "half-and-half", start: at, end: at + halves[0].length };
  const next = at + word.length + 1;
  const ratio = text.startsWith("to", next) ? ratioAt(text, at) : null;
  // "A few" and "a couple" are more than one.
  const isFew = text.startsWith("few ", next) || text.startsWith("couple ", next);
  const read = ratio || inName || isFew ? null : quantityAt(text, at);
  if (!read) return ratio;
  // "two dashes" is an amount anywhere; "dash" alone only where a pour may begin: "Lemon Drop" is a name.
  const counted = read.unit !== null && !read.notes.some((note) => note.code === "one-implied");
  return counted || opensPour(before, word) ? amountToken(read, at) : null;
}

/** What begins with a digit, or with the point of a fraction: an amount or a figure; null where it is none of ours. */
function numberAt(text: string, at: number): Token | null {
  // "2 oz" is an amount and nothing else; "2 parts sugar to 1 part water" may be a ratio.
  const quantity = quantityAt(text, at);
  const sure = quantity?.unit && quantity.unit !== "part";
  const found = sure || !isDigitAt(text, at) ? null : figureAt(text, at);
  return found ?? (quantity && amountToken(quantity, at));
}

const FIGURE_OR_LETTER = /[\d\p{L}]/u;
const TILDE = 126;
/** ".75", not the last of several points. */
const isPointed = (text: string, at: number) =>
  (text[at] === "." || text[at] === ",") && isDigitAt(text, at + 1) && text[at - 1] !== ".";

const MARKS = ",;|/+=&:()[]#.";

/** The sign at `at`, or null where it only joins letters or ends an abbreviation. */
function markAt(text: string, at: number, before: Token | undefined): Token | null {
  const sign = text.charAt(at);
  const end = at + 1;
  if (sign === "-") {
    const spaced = text[at - 1] === " " && (text[end] === " " || text[end] === undefined);
    return spaced ? { kind: "mark", mark: " -", start: at, end } : null;
  }
  if (!MARKS.includes(sign)) return null;
  // "Gin ..... 2 oz", "50. gin", "v.s.o.p.": a full stop parts two pieces only after a word and before a space.
  if (sign === ".") {
    const ends = before?.kind === "word" && before.end - before.start > 2 && before.end === at;
    return ends && (text[end] ?? " ") === " " ? { kind: "mark", mark: sign, start: at, end } : null;
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
const ELIDED = /^[dl]['’]/u;
const QUOTES = "'’";

const amountToken = (quantity: Quantity, start: number): Token => ({
  kind: "amount",
  quantity,
  pour: true,
  second: null,
  start,
  end: quantity.end,
});

/** Push what begins with digits; those that are no figure of ours ("3rd") are a word, so that they are not overlooked. */
function pushNumber(tokens: Token[], text: string, start: number): void {
  const number = numberAt(text, start);
  let end = start + 1;
  if (!number) while (FIGURE_OR_LETTER.test(text[end] ?? "")) end += 1;
  tokens.push(number ?? { kind: "word", word: text.slice(start, end), start, end });
}

/** Push what begins with letters: a word, the two that it folds into, or what is spelled out with it. */
function pushWord(tokens: Token[], text: string, start: number, letters: number, inName: boolean): void {
  const word = text.slice(start, letters);
  const spelled = SPELLED.has(word) ? spelledAt(text, start, word, tokens.at(-1), inName) : null;
  if (spelled) {
    tokens.push(spelled);
    return;
  }
  const end = QUOTES.includes(word[1] ?? " ") && ELIDED.test(word) ? start + 2 : letters;
  const folded = foldWord(end === letters ? word : text.slice(start, end));
  if (folded.includes(" ")) {
    for (const part of folded.split(" ")) tokens.push({ kind: "word", word: part, start, end });
  } else if (folded !== "") tokens.push({ kind: "word", word: folded, start, end });
}

/** A second reading of the same pour: "60 ml / 2 oz", "2 oz (60 ml)", "2 oz = 60 ml". */
const BETWEEN_READINGS = "/|=(";
const OR = new Set(["or"]);

function mergeSecondReadings(tokens: Token[]): Token[] {
  const out: Token[] = [];
  for (let i = 0; i < tokens.length; i += 1) {
    const token = tokens[i];
    if (token) out.push(token);
    if (token?.kind !== "amount" || token.quantity.unit === null) continue;
    const [mark, second, close] = [tokens[i + 1], tokens[i + 2], tokens[i + 3]];
    const between = isMark(mark, BETWEEN_READINGS) || isWord(mark, OR);
    if (!between || second?.kind !== "amount" || second.quantity.unit === null) continue;
    const enclosed = isMark(mark, "(");
    if (enclosed && close && !isMark(close, ")")) continue;
    if (second.quantity.unit === token.quantity.unit) continue;
    token.second = second.quantity;
    i += enclosed && close ? 3 : 2;
  }
  return out;
}

const INTO = new Set(["into"]);
const WITH = new Set(["with", "and"]);

/** "a 6 oz coupe", "3 oz ice": the size of a vessel or of the ice is no pour. */
function markVesselSizes(tokens: Token[]): void {
  tokens.forEach((token, i) => {
    if (token.kind !== "amount") return;
    // "half a lime, cut into 4 wedges": the wedges are the half over again.
    if (isWord(tokens[i - 1], INTO)) {
      token.pour = false;
      return;
    }
    let at = i + 1;
    while (at < i + 3 && tokens[at]?.kind === "word" && !isWord(tokens[at], VESSEL_WORDS)) at += 1;
    const after = tokens[at + 1];
    if (isWord(tokens[at], VESSEL_WORDS)) token.pour = after?.kind === "word" && !WITH.has(after.word);
  });
}

/** A line that begins with a letter or a number bears no mark. (The build makes a pattern with \p anew where it stands.) */
const UNMARKED = /^(?:\p{L}|\d+(?![.)\d]))/u;

/** Begins with a letter, single spaces, and nothing that is no plain character or that emphasis is written with. */
const BARE = /^[A-Za-z](?:[!-)+-^a-~]| (?! ))*$(?<! )/;

/** Take the marks of a list off a line, and its fractions and spaces one way; the words stay. */
export function bareLine(raw: string): string {
  if (raw.length <= MOST_CHARS && BARE.test(raw)) return raw;
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
 * Read a line into what it is made of, once, left to right. In a name ("half cream") no amount is written out. Never
 * throws; noise gives few or no tokens.
 */
export function scan(text: string, kind: "line" | "name" = "line"): Token[] {
  const lower = text.toLowerCase();
  const tokens: Token[] = [];
  let at = 0;
  while (at < lower.length && tokens.length < MOST_TOKENS) {
    const c = lower.charCodeAt(at);
    if (c === 32) {
      at += 1;
      continue;
    }
    const count = tokens.length;
    const letters = wordEndAt(lower, at);
    if (letters > at) pushWord(tokens, lower, at, letters, kind === "name");
    else if (isDigitAt(lower, at) || isPointed(lower, at)) pushNumber(tokens, lower, at);
    else {
      const hedged = c === TILDE || lower[at] === "≈" ? quantityAt(lower, at) : null;
      const sign = hedged ? amountToken(hedged, at) : markAt(lower, at, tokens.at(-1));
      if (sign) tokens.push(sign);
    }
    at = tokens.length > count ? (tokens.at(-1)?.end ?? 0) : Math.max(at + 1, letters);
  }
  if (!tokens.some((t) => t.kind === "amount")) return tokens;
  const merged = mergeSecondReadings(tokens);
  markVesselSizes(merged);
  return merged;
}
