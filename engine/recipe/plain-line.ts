import { plainAmount } from "../amounts/plain-amount.ts";
import { type Facts, nameText, pour } from "./facts.ts";
import { MAX_PIECE_CHARS, type ReadPiece, readPiece } from "./line-rules.ts";
import type { PantryIndex } from "./pantry-index.ts";
import { splitLine } from "./pieces.ts";
import { remember } from "./remember.ts";
import type { Settled } from "./settle.ts";
import { bareLine } from "./tokens.ts";
import { CUT_WORDS, NOT_COUNTED } from "./vocabulary.ts";

/*
 * Most lines of most texts are an amount, its unit and a name, and a bar writes the same few hundred names. What such a
 * line says is what stands behind its amount, whatever the amount, so that a name read once is known. So is a line that
 * pours nothing: "shake with ice and strain" stands under half of a bar's drinks.
 */

/**
 * What stands behind the amount of such a line, read once for every line that ends so. The places of its tokens are
 * those of the line that was read first.
 */
export interface KnownName extends Pick<Facts, "tokens" | "name" | "words"> {
  /** As typed, without what is no word at its ends. */
  text: string;
  /** What it stands for, once something has asked. */
  settled: Settled | null;
}

/** Read a line of a text into `out`, piece by piece. */
export function readLine(raw: string, lineNumber: number, index: PantryIndex, out: ReadPiece[]): void {
  const asPasted = readKnown(raw, lineNumber, raw, index) ?? readStep(raw, lineNumber, index);
  const text = asPasted ? raw : bareLine(raw);
  const known = text === raw ? asPasted : readKnown(raw, lineNumber, text, index);
  if (known) {
    out.push(known);
    return;
  }
  const pieces = splitLine(raw, lineNumber, index, text);
  for (const piece of pieces) {
    const read = readPiece(piece, index);
    out.push(read);
    if (pieces.length > 1) continue;
    keepName(read, index);
    if (read.said.kind === "instruction" && raw.length <= MAX_PIECE_CHARS) keepStep(raw, index);
  }
}

/** A line that pours nothing and was read before, at its place in this text; null for all others. */
function readStep(raw: string, lineNumber: number, index: PantryIndex): ReadPiece | null {
  const step = index.steps.get(raw);
  if (!step) return null;
  const { facts, said, rule } = step;
  return { facts: { ...facts, piece: { ...facts.piece, lineNumber } }, said, rule };
}

/** Remember a line that pours nothing, read from a copy of its own. */
function keepStep(raw: string, index: PantryIndex): void {
  const own = copied(raw);
  for (const piece of splitLine(own, 0, index)) remember(index.steps, own, readPiece(piece, index));
}

/** A line whose name is known; null for all others. `text` is the line, or the line without its list marks. */
function readKnown(raw: string, lineNumber: number, text: string, index: PantryIndex): ReadPiece | null {
  const first = plainAmount(text);
  const tail = first && text.slice(first.end);
  const known = tail && index.known.get(tail);
  if (!known || first.head.length + tail.length > MAX_PIECE_CHARS) return null;
  const { tokens, name, words } = known;
  const { amount, unit, head } = first;
  const quantity = { amount, unit, end: head.length, notes: [], spelled: false };
  const facts: Facts = {
    piece: { raw, lineNumber, text: head + tail, tokens, shared: null, step: false, whole: "line" },
    tokens,
    words,
    index,
    quantity,
    second: null,
    before: [],
    name,
  };
  const said = pour(facts);
  said.known = known;
  return { facts, said, rule: "plain" };
}

/** Copied letter by letter: a part of a text would keep the whole text in memory. */
const copied = (part: string) => [...part].join("");

/** Remember a name if all that its line says hangs on it: not on its unit, or on how much of another there is. */
function keepName({ facts, said, rule }: ReadPiece, index: PantryIndex): void {
  const { piece, quantity, tokens, words, name } = facts;
  const [first, ...rest] = tokens;
  if (said.kind !== "pour" || first?.kind !== "amount" || !quantity?.unit || quantity.unit === "piece")
    return;
  if (first.quantity !== quantity || first.second) return;
  if (rest.some((t) => t.kind === "amount" && t.quantity.unit)) return;
  // A dash of sauce is seasoning and an ounce of it is not.
  const counted = rule === "pour" && !words.some((w) => NOT_COUNTED.has(w) || CUT_WORDS.has(w));
  if (rule !== "plain" && !counted) return;
  said.known = { text: copied(nameText(facts, name)), tokens, name, words, settled: null };
  remember(index.known, copied(piece.text.slice(quantity.end)), said.known);
}
