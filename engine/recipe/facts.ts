import { exactMl, type Quantity } from "../amounts/parse-quantity.ts";
import type { SpecLine, UnitId } from "../types.ts";
import { findCalled } from "./match.ts";
import { readName } from "./names.ts";
import type { PantryIndex } from "./pantry-index.ts";
import { depths, isPlain, type Piece } from "./pieces.ts";
import type { KnownName } from "./plain-line.ts";
import { isMark, isPour, isWord, type Token, wordsOf } from "./tokens.ts";
import { CONTAINERS, STOP_WORDS } from "./vocabulary.ts";
import type { Note, Reason } from "./words.ts";

/** What a piece turned out to say, before its name is settled against the pantry. */
export type Said =
  | { kind: "blank" }
  | { kind: "instruction"; reason: Reason; notes?: Note[] }
  | { kind: "unread"; reason: Reason; name?: readonly Token[] }
  | PouredName;

/** A name with an amount, or with a word that gives one. */
export interface PouredName {
  kind: "pour";
  name: readonly Token[];
  /** Null: to be filled to the wash line. */
  amount: number | null;
  high?: number;
  unit: UnitId | null;
  /** Standard uncertainty of an amount given in words, percent of it. */
  sdPercent?: number;
  stage?: SpecLine["stage"];
  notes: Note[];
  /** A count of fruit: pieces, unless bare numbers are pours here. "juice" when it can only be pieces. */
  fruit?: "maybe" | "juice";
  /** Must be an ingredient's name for the rule to hold; else the piece is a step or prose. */
  only?: "if-called";
  /** The name of a plain line, which other lines say too. */
  known?: KnownName;
}

/** A piece with its amount and name told apart, once. */
export interface Facts {
  piece: Piece;
  tokens: readonly Token[];
  words: readonly string[];
  index: PantryIndex;
  /** The amount poured, or null. */
  quantity: Quantity | null;
  second: Quantity | null;
  /** Before the amount (a verb, a title, or the name when the amount comes last). */
  before: readonly Token[];
  /** The name's tokens. */
  name: readonly Token[];
}

/** What the user wrote for a name: of the whole piece where no token of it stands in the text. */
export function nameText(facts: Facts, name: readonly Token[]): string {
  const real = name.filter((t) => t.end > t.start);
  return real.length === 0 ? facts.piece.text : saidBy(facts, real);
}
/** What the user wrote for some tokens of a piece. */
export function saidBy(facts: Facts, tokens: readonly Token[] = facts.name): string {
  const [first, last] = [tokens[0], tokens.at(-1)];
  if (!first || !last) return "";
  return facts.piece.text.slice(first.start - shift(facts), last.end - shift(facts));
}
/** Tokens point into the line; a piece's text may begin later. */
const shift = (facts: Facts) => (facts.piece.whole === "line" ? 0 : (facts.piece.tokens[0]?.start ?? 0));

/** A bare number, or pieces. */
export const COUNTED_UNITS: readonly (UnitId | null)[] = [null, "piece"];

/** Not a mark, a number or a small word: it can name something. */
export const telling = (t: Token) =>
  t.kind === "ratio" || t.kind === "brix" || (t.kind === "word" && !STOP_WORDS.has(t.word));

/** Tokens without those at either end that `drop` is true of. */
export function dropEdges(tokens: readonly Token[], drop: (t: Token) => boolean): Token[] {
  const from = tokens.findIndex((t) => !drop(t));
  return from < 0 ? [] : tokens.slice(from, tokens.findLastIndex((t) => !drop(t)) + 1);
}
/** Small words between an amount and its name. */
const OF = new Set(["of", "de", "di", "von", "du", "d", "the"]);
/** Tokens without marks and small words at their ends. */
export const tidy = (tokens: readonly Token[]) =>
  dropEdges(tokens, (t) => (t.kind === "mark" && !isMark(t, "()")) || isWord(t, OF));

/** Where the amounts stand: the first outside brackets, and the first with a unit inside them; −1 for none. */
function amountPlaces(tokens: readonly Token[]): { outer: number; inner: number } {
  const depth = depths(tokens);
  return {
    outer: tokens.findIndex((t, i) => isPour(t) && !depth[i]),
    inner: tokens.findIndex((t, i) => isPour(t) && depth[i] && t.quantity.unit !== null),
  };
}

/** Tell a piece's amount from its name: the amount outside brackets, or the one within. */
export function factsOf(piece: Piece, index: PantryIndex): Facts {
  const { tokens, shared } = piece;
  const facts = (
    quantity: Quantity | null,
    second: Quantity | null,
    name: readonly Token[],
    before: readonly Token[] = [],
  ): Facts => ({ piece, tokens, words: wordsOf(tokens), index, quantity, second, before, name: tidy(name) });
  if (shared) return facts(shared, null, tokens);
  const [first] = tokens;
  if (first?.kind === "amount" && isPlain(tokens))
    return facts(first.quantity, first.second, tokens.slice(1));
  const { outer, inner } = amountPlaces(tokens);
  const outside = tokens[outer];
  // "1 can (330 ml) cola", "juice of ½ lemon (20 ml)": what is in brackets is the measure of what is counted.
  const counted = outside?.kind === "amount" && COUNTED_UNITS.includes(outside.quantity.unit);
  const at = inner >= 0 && (outer < 0 || counted) ? inner : outer;
  const chosen = tokens[at];
  if (chosen?.kind !== "amount") return facts(null, null, tokens);
  const cut = outer >= 0 ? outer : inner;
  const before = tidy(tokens.slice(0, cut));
  const rest = tokens.slice(cut + 1).filter((t) => t !== chosen && !(at !== outer && isWord(t, CONTAINERS)));
  const after = withoutEmptyBrackets(tidy(rest));
  return after.some(telling)
    ? facts(chosen.quantity, chosen.second, after, before)
    : facts(chosen.quantity, chosen.second, withoutEmptyBrackets(before));
}

/** Brackets whose amount was taken out, or that were never closed. */
function withoutEmptyBrackets(tokens: readonly Token[]): Token[] {
  return tokens.filter((t, i) => {
    if (isMark(t, "(")) return tokens[i + 1] !== undefined && !isMark(tokens[i + 1], ")");
    if (isMark(t, ")")) return i > 0 && !isMark(tokens[i - 1], "(");
    return true;
  });
}

/** What the pantry calls by these tokens. */
export const called = (tokens: readonly Token[], index: PantryIndex) =>
  findCalled(readName(tokens).words, index);
/** A line that pours nothing, and why. */
export const instruction = (reason: Reason): Said => ({ kind: "instruction", reason });
/** What nothing can be poured of, and why; with its name, where one was told apart. */
export const unread = (reason: Reason, name?: readonly Token[]): Said => {
  return name ? { kind: "unread", reason, name } : { kind: "unread", reason };
};
/** Of something that feeds no axis, as far as anybody can say. */
export const notCounted = (facts: Facts): Said =>
  instruction({ code: "not-counted", said: saidBy(facts) || facts.piece.text });

/** No unit: a bare number, pieces, or nothing. */
export const isCounted = (facts: Facts) =>
  facts.quantity === null || COUNTED_UNITS.includes(facts.quantity.unit);

/** What is worth saying about an amount: how it was read, and a second one that disagrees. */
export function quantityNotes(q: Quantity, second: Quantity | null): Note[] {
  if (q.notes.length === 0 && !second) return [];
  const notes: Note[] = q.notes.map((note) => ({ code: "amount", note }));
  const [a, b] = [exactMl(q), second ? exactMl(second) : null];
  const agree = a === null || b === null || Math.abs(a - b) <= SAME_POUR * Math.max(a, b);
  if (second && !agree) notes.push({ code: "second-amount", said: echo(second), used: echo(q) });
  return notes;
}
const echo = (q: Quantity) => `${q.amount} ${q.unit ?? ""}`.trim();
/** Two amounts for one pour ("1 oz (30 ml)") agree within this share. */
const SAME_POUR = 0.06;

/** The plain reading: the amount and the name as they stand. */
export function pour({ quantity, second, name }: Facts): PouredName {
  const said: PouredName = {
    kind: "pour",
    name,
    amount: quantity?.amount ?? null,
    unit: quantity?.unit ?? null,
    notes: quantity ? quantityNotes(quantity, second) : [],
  };
  if (quantity?.high !== undefined) said.high = quantity.high;
  return said;
}

/** A pour whose size a word gave. */
export function dosed(
  name: readonly Token[],
  { ml, sdMl }: { ml: number; sdMl: number },
  said: string,
): PouredName {
  return {
    kind: "pour",
    name: [...name],
    amount: ml,
    unit: "ml",
    sdPercent: (100 * sdMl) / ml,
    notes: [{ code: "word-size", said, ml, sdMl }],
  };
}
