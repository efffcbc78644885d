import type { Quantity } from "../amounts/parse-quantity.ts";
import { findCalled } from "./match.ts";
import { readName } from "./names.ts";
import type { PantryIndex } from "./pantry-index.ts";
import { isService } from "./service.ts";
import { bareLine, isMark, isPour, isWord, scan, type Token, wordsOf } from "./tokens.ts";
import {
  BITTERS,
  FRUITS,
  HALF_VERBS,
  HEADING,
  JOINERS,
  LABEL,
  NOT_COUNTED,
  RINSE_WORDS,
  SPRAY_WORDS,
  STEP_VERBS,
  TOP_FILLERS,
  TOP_VERBS,
} from "./vocabulary.ts";

/** One thing said on a line: a pour, a garnish, a step. Most lines are one piece. */
export interface Piece {
  /** The line as pasted, or the part of it (fractions and spaces one way) when it holds several. */
  raw: string;
  lineNumber: number;
  /** Normalised, list marks taken off, case kept. */
  text: string;
  tokens: readonly Token[];
  /** The amount, when it was given once for several ("1 oz each of …"). */
  shared: Quantity | null;
  /** It begins as a step does. */
  step: boolean;
  whole: "line" | "part";
}

/** How many brackets each token stands in; none where there is none. */
export function depths(tokens: readonly Token[]): number[] {
  if (!tokens.some((t) => isMark(t, "("))) return [];
  let depth = 0;
  return tokens.map((t) => {
    if (isMark(t, "(")) depth += 1;
    const at = depth;
    if (isMark(t, ")")) depth = Math.max(0, depth - 1);
    return at;
  });
}

const EACH = new Set(["each"]);

/** An amount with its unit, then words: the commonest line, of one piece whatever the words. */
export function isPlain(tokens: readonly Token[]): boolean {
  const [first] = tokens;
  if (first?.kind !== "amount" || first.quantity.unit === null || !first.pour) return false;
  const isName = (t: Token) => t.kind === "word" && !EACH.has(t.word) && !JOINERS.has(t.word);
  return tokens.length > 1 && tokens.every((t, i) => i === 0 || isName(t));
}

/** One pour at most, and no sign or word that could part it from anything else. */
function isOne(tokens: readonly Token[]): boolean {
  let pours = 0;
  for (const t of tokens) {
    if (t.kind === "mark" || isWord(t, JOINERS)) return false;
    if (isPour(t)) pours += 1;
  }
  return pours < 2;
}

/** Amounts that pour something, outside brackets if any are. */
function poursOf(tokens: readonly Token[]): number {
  const pours = tokens.filter(isPour).length;
  if (pours === 0) return 0;
  const depth = depths(tokens);
  const open = tokens.filter((t, i) => isPour(t) && !depth[i]).length;
  return open > 0 ? open : pours;
}

function startsStep(tokens: readonly Token[]): boolean {
  const [first, second] = tokens;
  if (!isWord(first, STEP_VERBS)) return false;
  return !isWord(first, HALF_VERBS) || isWord(second, STEP_VERBS);
}

interface Segment {
  tokens: Token[];
  /** The sign before it: weak ones also join a name and its comment. */
  weak: boolean;
}

/** Whether a line is cut at a token, and if the sign may also join a name and its comment. */
function cutAt(
  t: Token,
  next: Token | undefined,
  text: string,
  before: readonly Token[],
): "weak" | "strong" | null {
  const amountNext =
    next?.kind === "amount" && next.pour && !(next.quantity.spelled && next.quantity.unit === null);
  if (isMark(t, ",.")) return "weak";
  if (isMark(t, ";|") || (isMark(t, "+&") && amountNext)) return "strong";
  if (isMark(t, "/") && (amountNext || text[t.start - 1] === " ")) return "strong";
  return isWord(t, JOINERS) && amountNext && before.some(isPour) ? "strong" : null;
}

/** Cut where signs or joining words part two pours; nothing inside brackets is cut. */
function segments(tokens: readonly Token[], text: string): Segment[] {
  const depth = depths(tokens);
  let last: Segment = { tokens: [], weak: false };
  const out = [last];
  tokens.forEach((t, i) => {
    const cut = !depth[i] ? cutAt(t, tokens[i + 1], text, last.tokens) : null;
    if (cut === null) last.tokens.push(t);
    else {
      last = { tokens: [], weak: cut === "weak" };
      out.push(last);
    }
  });
  return out.filter((s) => s.tokens.length > 0);
}

/** Tokens as they stand behind a comma. */
function afterComma(tokens: readonly Token[]): Token[] {
  const at = tokens[0]?.start ?? 0;
  return [{ kind: "mark", mark: ",", start: at, end: at }, ...tokens];
}

/** Whether any of them can name something. */
export const hasName = (tokens: readonly Token[]) =>
  tokens.some((t) => t.kind === "word" || t.kind === "ratio");

/** A name without an amount that is a piece of its own all the same: a garnish, a rinse, what goes on top. */
function standsAlone(tokens: readonly Token[], index: PantryIndex): boolean {
  const words = wordsOf(tokens);
  if (words.some((w) => RINSE_WORDS.has(w) || SPRAY_WORDS.has(w) || w === "splash" || w === "dash"))
    return true;
  if (words.length < 4 && words.some((w) => NOT_COUNTED.has(w))) return true;
  if (isWord(tokens.at(-1), TOP_VERBS)) return words.length > 1;
  return findCalled(readName(tokens).words, index) !== null;
}

/** An amount by itself goes with the name beside it: "| 60 ml | gin |", "lemon juice, 3/4 oz". */
function joinSegments(found: readonly Segment[], several: boolean, index: PantryIndex): Token[][] {
  const out: { tokens: Token[]; open: "amount" | "name" | null }[] = [];
  for (const { tokens, weak } of found) {
    const last = out.at(-1);
    const pours = tokens.some(isPour);
    const named = hasName(tokens);
    if (last && ((last.open === "amount" && !pours && named) || (last.open === "name" && pours && !named))) {
      last.tokens.push(...tokens);
      last.open = null;
    } else if (weak && last && !pours && !alone(tokens, several, index)) {
      last.tokens.push(...afterComma(tokens));
    } else if (weak && last?.open === "name" && pours && !several) {
      last.tokens.push(...afterComma(tokens));
      last.open = null;
    } else {
      out.push({ tokens: [...tokens], open: !pours ? "name" : named ? null : "amount" });
    }
  }
  return out.map((o) => o.tokens);
}

/** On a line of one pour a name after the comma may be a comment; a step, a glass or a top is not. */
function alone(tokens: readonly Token[], several: boolean, index: PantryIndex): boolean {
  if (startsStep(tokens) || isService(tokens)) return true;
  if (several) return standsAlone(tokens, index);
  const tops = isWord(tokens.at(-1), TOP_VERBS);
  return tops && wordsOf(tokens).some((word) => !TOP_VERBS.has(word) && !TOP_FILLERS.has(word));
}

/** "2oz gin 1oz lemon", "gin 2 oz lemon 1 oz": cut before each amount, or after each when the line ends with one. */
function cutAtAmounts(tokens: readonly Token[]): Token[][] {
  const depth = depths(tokens);
  // A number right behind an amount belongs to the name: "30 ml 151 rum".
  const at = tokens.flatMap((t, i) =>
    isPour(t) && !depth[i] && tokens[i - 1]?.kind !== "amount" ? [i] : [],
  );
  if (at.length < 2) return [[...tokens]];
  const last = tokens.findLastIndex((t, i) => !depth[i] && t.kind !== "mark");
  const amountLast = at.at(-1) === last && at[0] !== 0;
  // A bare number behind a name that has its amount belongs to the name: "60 ml gin 47".
  const trailing = tokens[last];
  if (!amountLast && trailing?.kind === "amount" && trailing.quantity.unit === null && at.length === 2) {
    return [[...tokens]];
  }
  const cuts = [0, ...(amountLast ? at.map((i) => i + 1) : at)];
  return cuts.map((cut, k) => tokens.slice(cut, cuts[k + 1])).filter((part) => part.length > 0);
}

const EQUAL = new Set(["equal"]);
const PART = new Set(["part"]);
const AND = new Set(["and", "und", "et", "y", "e"]);

/** "1 oz each gin, lemon and simple", "equal parts gin and vermouth, 1 oz each": the names, and the amount all of them share. */
function sharedAmount(tokens: readonly Token[]): { shared: Quantity; names: Token[][] } | null {
  const equal = isWord(tokens[0], EQUAL) && isWord(tokens[1], PART);
  const amount = tokens.find(isPour);
  const eachAt = tokens.findIndex((t) => isWord(t, EACH));
  const each = eachAt >= 0 && amount?.kind === "amount" && tokens.filter(isPour).length === 1 ? amount : null;
  if (!equal && !each) return null;
  const rest = tokens.filter(
    (t, i) =>
      (!equal || i > 1) && !(each && (t === each || i === eachAt || (isMark(t, ":") && i === eachAt + 1))),
  );
  let name: Token[] = [];
  const names = [name];
  for (const t of rest) {
    if (isMark(t, ",;/|+&") || isWord(t, AND)) {
      name = [];
      names.push(name);
    } else name.push(t);
  }
  const shared: Quantity = each?.quantity ?? { amount: 1, unit: "part", end: 0, notes: [], spelled: false };
  const told = names.filter(hasName);
  return told.length > 1 ? { shared, names: shared.unit === "dash" ? bittersOfFruit(told) : told } : null;
}

/** "1 dash each orange and aromatic bitters": a dash of a fruit before bitters is of its bitters, not its juice. */
function bittersOfFruit(names: Token[][]): Token[][] {
  const bitters = names.at(-1)?.findLast((t) => t.kind === "word");
  if (!bitters || !isWord(bitters, BITTERS)) return names;
  return names.map((name) => (name.every((t) => isWord(t, FRUITS)) ? [...name, bitters] : name));
}

/** A step is one piece, but what it puts on top or rinses with is another: "shake, strain, top with soda". */
function cutStep(tokens: readonly Token[]): Token[][] {
  const opens = (t: Token | undefined) => isWord(t, TOP_VERBS) || isWord(t, RINSE_WORDS);
  if (!tokens.some(opens)) return [];
  let step: Token[] = [];
  const out = [step];
  tokens.forEach((t, i) => {
    const before = tokens[i - 1];
    const parted = isMark(before, ",.;:") || isWord(before, AND);
    const [first] = step;
    const ends = () => opens(first) && (startsStep(tokens.slice(i)) || isService(tokens.slice(i)));
    if (parted && first && (opens(t) || ends())) {
      step = [];
      out.push(step);
    }
    step.push(t);
  });
  return out.map((part) =>
    part.slice(0, part.findLastIndex((t) => !isMark(t, ",.;:") && !isWord(t, JOINERS)) + 1),
  );
}

/** "Daiquiri: 2 oz rum, …", "#sour 2oz gin …": words before the first of several pours are a name for the whole. */
function cutTitle(parts: Token[][]): Token[][] {
  const [first, ...rest] = parts;
  if (!first || rest.filter((p) => p.some(isPour)).length === 0) return parts;
  const at = first.findIndex(isPour);
  const named = hasName(first.slice(at + 1));
  if (at <= 0 || !named || isWord(first[0], STEP_VERBS)) return parts;
  return [first.slice(0, at), first.slice(at), ...rest];
}

/** How it was mixed, said last: "2 oz rye stirred", "1 oz lime shaken with ice". Not "blended", which scotch is. */
const MIXED = new Set("stirred shaken built thrown swizzled".split(" "));

/** Where such an ending begins behind a name that is poured; −1 for none. */
function mixedFrom(tokens: readonly Token[]): number {
  const at = tokens.findIndex((t, i) => i > 1 && isWord(t, MIXED) && tokens[i - 1]?.kind === "word");
  return at > 0 && isService(tokens.slice(at)) && tokens.slice(0, at).some(isPour) ? at : -1;
}

/** Divide a line into what it says; its bare text is given where it is made already. */
export function splitLine(
  raw: string,
  lineNumber: number,
  index: PantryIndex,
  text = bareLine(raw),
): Piece[] {
  const piece = (tokens: Token[], whole: Piece["whole"], shared: Quantity | null = null): Piece => {
    const start = tokens[0]?.start ?? 0;
    const part = whole === "line" ? text : text.slice(start, Math.max(tokens.at(-1)?.end ?? 0, start));
    const step = startsStep(tokens);
    return { raw: whole === "line" ? raw : part, lineNumber, text: part, tokens, shared, step, whole };
  };
  const tokens = scan(text);
  const mixed = mixedFrom(tokens);
  const first = tokens[mixed];
  if (first) {
    const before = text.slice(0, first.start).trimEnd();
    return [...splitLine(before, lineNumber, index, before), piece(tokens.slice(mixed), "part")];
  }
  if (isOne(tokens)) return [piece(tokens, "line")];
  if (HEADING.test(text) || LABEL.test(text)) return [piece(tokens, "line")];
  const pours = poursOf(tokens);
  const all = (parts: Token[][], shared: Quantity | null = null) => {
    const told = parts.filter((p) => p.length > 0);
    return told.length < 2 && !shared ? [piece(tokens, "line")] : told.map((p) => piece(p, "part", shared));
  };
  if (pours === 0 && startsStep(tokens)) return all(cutStep(tokens));
  const shared = sharedAmount(tokens);
  if (shared) return all(shared.names, shared.shared);
  const several = pours > 1;
  const joined = joinSegments(segments(tokens, text), several, index);
  return all(cutTitle(several ? joined.flatMap(cutAtAmounts) : joined));
}
