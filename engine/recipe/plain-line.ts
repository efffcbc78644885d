import { type Facts, nameText, pour } from "./facts.ts";
import { MAX_PIECE_CHARS, type ReadPiece, readPiece } from "./line-rules.ts";
import type { PantryIndex } from "./pantry-index.ts";
import { type Piece, splitLine } from "./pieces.ts";
import type { Settled } from "./settle.ts";
import { bareLine, numberAt, type Token } from "./tokens.ts";

/*
 * Most lines of most texts are plain: an amount, its unit, a name, and a bar writes the same few hundred names. What
 * stands behind the amount makes a line plain or not, whatever the amount, so that a name read once is known.
 */

/** What stands behind the amount of a plain line, read once for every line that ends so. */
export interface KnownName {
  /** As typed, without what is no word at its ends. */
  text: string;
  /** The line's tokens and those of the name, their places those of the line that was read first. */
  tokens: Token[];
  name: readonly Token[];
  words: readonly string[];
  /** What it stands for, once something has asked. */
  settled: Settled | null;
}

/** Names known; a bar's own specs use a few hundred. */
const MOST_KNOWN = 2000;

/** Read a line of a text into `out`, piece by piece. */
export function readLine(raw: string, lineNumber: number, index: PantryIndex, out: ReadPiece[]): void {
  const text = bareLine(raw);
  const first = BEGINS_WITH_DIGIT.test(text) ? numberAt(text.toLowerCase(), 0) : null;
  const unit = first?.kind === "amount" ? first.quantity.unit : null;
  const known = unit !== null && unit !== "piece" && index.known.get(text.slice(first!.end));
  if (known && first?.kind === "amount" && text.length <= MAX_PIECE_CHARS) {
    out.push(readKnown({ raw, lineNumber, text }, first, known, index));
    return;
  }
  for (const piece of splitLine(raw, lineNumber, index, text, first)) {
    const read = readPiece(piece, index);
    out.push(read);
    if (read.rule === "plain" && piece.whole === "line") keepName(read, index);
  }
}
const BEGINS_WITH_DIGIT = /^\d/;

function readKnown(
  line: Pick<Piece, "raw" | "lineNumber" | "text">,
  { quantity }: Extract<Token, { kind: "amount" }>,
  known: KnownName,
  index: PantryIndex,
): ReadPiece {
  const { tokens, name, words } = known;
  const { raw, lineNumber, text } = line;
  const piece: Piece = { raw, lineNumber, text, tokens, shared: null, step: false, whole: "line" };
  const facts: Facts = { piece, tokens, words, index, quantity, second: null, before: [], name };
  const said = pour(facts);
  said.known = known;
  return { facts, said, rule: "plain" };
}

/** Copied letter by letter: a part of a text would keep the whole text in memory. */
const copied = (part: string) => [...part].join("");

function keepName({ facts, said }: ReadPiece, index: PantryIndex): void {
  const { piece, quantity, second, words, name } = facts;
  // Of two readings of one pour the second stands behind the first.
  if (said.kind !== "pour" || !quantity || second) return;
  said.known = { text: copied(nameText(facts, name)), tokens: piece.tokens, name, words, settled: null };
  if (index.known.size >= MOST_KNOWN) index.known.clear();
  index.known.set(copied(piece.text.slice(quantity.end)), said.known);
}
