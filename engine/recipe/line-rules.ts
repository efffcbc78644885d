import { COUNTS, DOSES } from "./doses.ts";
import { called, type Facts, factsOf, instruction, pour, type Said, unread } from "./facts.ts";
import type { PantryIndex } from "./pantry-index.ts";
import { hasName, isPlain, type Piece } from "./pieces.ts";
import { readDose, readNoSize } from "./rules-dose.ts";
import { JUICE, readFruit, readJuiceOf, readNotCounted, readWedges, readWholeFruit } from "./rules-fruit.ts";
import { readRinse, readTop, TOPPING } from "./rules-top.ts";
import { detectMethod, hintedMethod, isService, SERVICE_CORE } from "./service.ts";
import { wordsOf } from "./tokens.ts";
import {
  CRUSHED,
  CUT_WORDS,
  FRUITS,
  HEADING,
  LABEL,
  NO_SIZE,
  NOT_COUNTED,
  RINSE_WORDS,
  SEASONINGS,
  SPRAY_WORDS,
  STEP_VERBS,
  STOP_WORDS,
  TOP_VERBS,
  WHOLE_FRUITS,
} from "./vocabulary.ts";

/** A rule of the table: the first that says something decides. `example` is read by it, and tested so. */
export interface Rule {
  id: string;
  example: string;
  /** It has an answer only where one of these words is; without them it is always asked. */
  words?: ReadonlySet<string>;
  reads: (facts: Facts) => Said | null;
}

/** An amount and a name, either first; what stands before both is a verb, a title or prose. */
function readPour(facts: Facts): Said | null {
  const { quantity, name, before, index } = facts;
  if (!quantity) return null;
  const lead = wordsOf(before);
  const idle = before.every(
    (t) =>
      t.kind === "mark" ||
      (t.kind === "word" && (STEP_VERBS.has(t.word) || STOP_WORDS.has(t.word) || OPENERS.has(t.word))),
  );
  if (!idle && lead.length > 0) {
    // "Rum 2 oz aged": a name on both sides of its amount.
    const both = [...before, ...name];
    if (called(both, index)) return pour({ ...facts, name: both });
    if (!called(name, index)) return unread({ code: "prose" }, name);
  }
  return hasName(name) ? pour(facts) : unread({ code: "no-name" });
}
const PROSE = unread({ code: "prose" });
const OPENERS = new Set("with and of for in to into".split(" "));

/** An egg white needs no number; soda that ends a long drink fills it. */
function readNameAlone(facts: Facts): Said | null {
  const { tokens, index, words } = facts;
  if (words.includes("taste")) return unread({ code: "to-taste", said: facts.piece.text }, tokens);
  const same = called(tokens, index);
  const ingredient = same?.entries[0]?.ingredient;
  if (!ingredient) return null;
  if (ingredient.role === "egg" && ingredient.pieceMl) {
    return { ...pour(facts), amount: 1, unit: "piece", notes: [{ code: "one-implied" }] };
  }
  if (ingredient.role === "lengthener" && ingredient.addAfterDilution)
    return { ...pour(facts), stage: "top" };
  return unread({ code: "no-amount", said: facts.piece.text }, tokens);
}

/** Nothing but signs, or what is no word of any language. */
function readWordless({ tokens, piece }: Facts): Said | null {
  if (tokens.some((t) => t.kind !== "mark")) return null;
  return /[\p{L}\p{N}]/u.test(piece.raw) ? unread({ code: "no-words" }) : { kind: "blank" };
}

const isWhole =
  (pattern: RegExp) =>
  ({ piece }: Facts) =>
    piece.whole === "line" && pattern.test(piece.text);
const isRim = ({ words, quantity }: Facts) => RIM.has(words.at(-1) ?? "") && !quantity?.unit;
const isChain = ({ tokens }: Facts) => tokens.some((t) => t.kind === "aside" && t.what === "chain");
const isStep = ({ piece, quantity, name }: Facts) => piece.step && !(quantity && name.length > 0);
const isServed = ({ tokens }: Facts) => isService(tokens);
const isLong = ({ piece }: Facts) => piece.text.length > MAX_PIECE_CHARS;
const isMixed = ({ piece }: Facts) => detectMethod(piece.text) !== null || hintedMethod(piece.text) !== null;

/** Says the same of every piece of which `is` holds. */
const where =
  (is: (facts: Facts) => boolean, said: Said): Rule["reads"] =>
  (facts) =>
    is(facts) ? said : null;
/** Such a piece pours nothing. */
const step = (code: "heading" | "label" | "rim" | "step" | "service", is: (facts: Facts) => boolean) =>
  where(is, instruction({ code }));

/** A longer piece is prose. */
export const MAX_PIECE_CHARS = 240;
const RIM = new Set(["rim", "rimmed"]);

const union = (...sets: readonly Iterable<string>[]) => new Set(sets.flatMap((words) => [...words]));
const RINSING = union(RINSE_WORDS, SPRAY_WORDS);
const TOPPING_WORDS = union(TOP_VERBS, TOPPING);
const NOT_COUNTED_WORDS = union(NOT_COUNTED, CUT_WORDS);
const DOSE_WORDS = union(DOSES.keys(), COUNTS.keys());

/** Words that another rule than the plain pour reads. */
const TELLING_WORDS = union(RINSING, TOPPING_WORDS, NOT_COUNTED_WORDS, SEASONINGS, CRUSHED, STEP_VERBS, RIM);

/** An amount, its unit and a name, with no word that says more: most lines. */
function readPlain(facts: Facts): Said | null {
  if (facts.quantity?.unit === "piece" || facts.piece.text.length > MAX_PIECE_CHARS || !isPlain(facts.tokens))
    return null;
  return facts.words.some((w) => TELLING_WORDS.has(w)) || facts.words[0] === "juice" ? null : pour(facts);
}

/** The rules, in the order they are asked. */
export const RULES: readonly Rule[] = [
  { id: "plain", example: "2 oz gin", reads: readPlain },
  { id: "blank", example: "———", reads: readWordless },
  { id: "heading", example: "Ingredients:", reads: step("heading", isWhole(HEADING)) },
  { id: "label", example: "Glass: coupe", reads: step("label", isWhole(LABEL)) },
  { id: "rim", example: "Salt rim", words: RIM, reads: step("rim", isRim) },
  {
    id: "chain",
    example: "2:1:1 gin lemon simple",
    reads: where(isChain, unread({ code: "chain-of-numbers" })),
  },
  { id: "rinse", example: "absinthe rinse", words: RINSING, reads: readRinse },
  { id: "top", example: "top with soda", words: TOPPING_WORDS, reads: readTop },
  { id: "step", example: "Shake hard, fine strain", reads: step("step", isStep) },
  {
    id: "service",
    example: "in a wine glass with ice",
    words: SERVICE_CORE,
    reads: step("service", isServed),
  },
  { id: "too-long", example: "so ".repeat(90), reads: where(isLong, unread({ code: "too-long" })) },
  { id: "wedges", example: "4 lime wedges, muddled", words: FRUITS, reads: readWedges },
  { id: "juice-of", example: "juice of half a lime", words: JUICE, reads: readJuiceOf },
  { id: "fruit", example: "2 limes", words: FRUITS, reads: readFruit },
  { id: "not-counted", example: "8 mint leaves", words: NOT_COUNTED_WORDS, reads: readNotCounted },
  { id: "whole-fruit", example: "4 pineapple chunks", words: WHOLE_FRUITS, reads: readWholeFruit },
  { id: "dose", example: "a few dashes of bitters", words: DOSE_WORDS, reads: readDose },
  { id: "no-size", example: "1 jigger gin", words: NO_SIZE, reads: readNoSize },
  { id: "pour", example: "gin 2 oz", reads: readPour },
  { id: "name-alone", example: "egg white", reads: readNameAlone },
  { id: "step-inside", example: "everything gets a long shake", reads: step("step", isMixed) },
  { id: "prose", example: "as my aunt made it", reads: () => PROSE },
];

/** A piece with what it says. */
export interface ReadPiece {
  facts: Facts;
  said: Said;
  /** Id of the rule that said so. */
  rule: string;
}

/** Word → the rules that ask for it, a bit each; and those that ask for none. */
const ASKING = new Map<string, number>();
let always = 0;
for (const [i, { words }] of RULES.entries()) {
  if (!words) always |= 1 << i;
  for (const word of words ?? []) ASKING.set(word, (ASKING.get(word) ?? 0) | (1 << i));
}

/** What a piece says: the first rule that has an answer. */
export function readPiece(piece: Piece, index: PantryIndex): ReadPiece {
  const facts = factsOf(piece, index);
  let asked = always;
  for (const word of facts.words) asked |= ASKING.get(word) ?? 0;
  for (let i = 0; i < RULES.length; i += 1) {
    const rule = asked & (1 << i) ? RULES[i] : null;
    const said = rule?.reads(facts);
    if (rule && said) return { said, rule: rule.id, facts };
  }
  return { said: PROSE, rule: "prose", facts };
}
