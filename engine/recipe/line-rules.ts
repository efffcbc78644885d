import type { Quantity } from "../amounts/parse-quantity.ts";
import { unitAt } from "../amounts/unit-words.ts";
import type { SpecLine, UnitId } from "../types.ts";
import { COUNTS, DOSES, FLOAT, RINSE, SPRAY, WEDGE_SD_PERCENT, WEDGES_A_FRUIT } from "./doses.ts";
import { findCalled } from "./match.ts";
import { readName } from "./names.ts";
import type { PantryIndex } from "./pantry-index.ts";
import { isMark, isPlain, isWord, type Piece } from "./pieces.ts";
import type { Note, Reason } from "./remarks.ts";
import { detectMethod, isService } from "./service.ts";
import { exactMl, type Token } from "./tokens.ts";
import {
  CONTAINERS,
  CRUSHED,
  CUT_WORDS,
  FRUIT_COMMENTS,
  FRUITS,
  HEADING,
  KIND_WORDS,
  LABEL,
  NO_SIZE,
  NOT_COUNTED,
  RINSE_WORDS,
  SEASONINGS,
  SPRAY_WORDS,
  STEP_VERBS,
  STOP_WORDS,
  TOP_FILLERS,
  TOP_VERBS,
  WHOLE_FRUITS,
} from "./vocabulary.ts";

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

function wordsOf(tokens: readonly Token[]): string[] {
  const words: string[] = [];
  for (const t of tokens) if (t.kind === "word") words.push(t.word);
  return words;
}
const saidBy = (facts: Facts, tokens: readonly Token[] = facts.name) =>
  tokens.length === 0
    ? ""
    : facts.piece.text.slice(tokens[0]!.start - shift(facts), tokens.at(-1)!.end - shift(facts));
/** Tokens point into the line; a piece's text may begin later. */
const shift = (facts: Facts) => (facts.piece.whole === "line" ? 0 : (facts.piece.tokens[0]?.start ?? 0));

/** A bare number, or pieces. */
const COUNTED_UNITS: readonly (UnitId | null)[] = [null, "piece"];

const isAmount = (t: Token): t is Extract<Token, { kind: "amount" }> => t.kind === "amount" && t.pour;
const telling = (t: Token) =>
  t.kind === "ratio" || t.kind === "brix" || (t.kind === "word" && !STOP_WORDS.has(t.word));

function dropEdges(tokens: readonly Token[], drop: (t: Token) => boolean): Token[] {
  let from = 0;
  let to = tokens.length;
  while (from < to && drop(tokens[from]!)) from += 1;
  while (to > from && drop(tokens[to - 1]!)) to -= 1;
  return tokens.slice(from, to);
}
const OF = new Set(["of", "de", "di", "von", "du", "d", "the"]);
const tidy = (tokens: readonly Token[]) =>
  dropEdges(tokens, (t) => (t.kind === "mark" && t.mark !== "(" && t.mark !== ")") || isWord(t, OF));

/** Where the amounts stand: the first outside brackets, and the first with a unit inside them; −1 for none. */
function amountPlaces(tokens: readonly Token[]): { outer: number; inner: number } {
  let [depth, outer, inner] = [0, -1, -1];
  tokens.forEach((t, i) => {
    if (t.kind === "mark" && t.mark === "(") depth += 1;
    else if (t.kind === "mark" && t.mark === ")") depth = Math.max(0, depth - 1);
    else if (isAmount(t)) {
      if (depth === 0 && outer < 0) outer = i;
      if (depth > 0 && inner < 0 && t.quantity.unit !== null) inner = i;
    }
  });
  return { outer, inner };
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

const called = (tokens: readonly Token[], index: PantryIndex) => findCalled(readName(tokens).words, index);
const instruction = (reason: Reason): Said => ({ kind: "instruction", reason });
const notCounted = (facts: Facts): Said =>
  instruction({ code: "not-counted", said: saidBy(facts) || facts.piece.text });

/** A rule of the table: the first that says something decides. `example` is read by it, and tested so. */
export interface Rule {
  id: string;
  example: string;
  reads: (facts: Facts) => Said | null;
}

const isCounted = (facts: Facts) => facts.quantity === null || COUNTED_UNITS.includes(facts.quantity.unit);

function quantityNotes(q: Quantity, second: Quantity | null): Note[] {
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

function pour({ quantity, second, name }: Facts): PouredName {
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

function dosed(name: readonly Token[], { ml, sdMl }: { ml: number; sdMl: number }, said: string): PouredName {
  return {
    kind: "pour",
    name: [...name],
    amount: ml,
    unit: "ml",
    sdPercent: (100 * sdMl) / ml,
    notes: [{ code: "word-size", said, ml, sdMl }],
  };
}

const SERVED_IN = new Set(
  "glass coupe rock highball the in with a of chilled your each serving from an atomiser".split(" "),
);

/** "absinthe rinse", "rinse the glass with absinthe", "spray of peated scotch". */
function readRinse(facts: Facts): Said | null {
  const word = facts.words.find((w) => RINSE_WORDS.has(w) || SPRAY_WORDS.has(w));
  if (word === undefined || facts.quantity?.unit) return null;
  const name = facts.tokens.filter(
    (t) => t.kind === "strength" || (t.kind === "word" && t.word !== word && !SERVED_IN.has(t.word)),
  );
  if (!called(name, facts.index)) return null;
  const said: Said = dosed(name, RINSE_WORDS.has(word) ? RINSE : SPRAY, word);
  return { ...said, stage: "top" };
}

const TO = new Set(["to", "on", "a", "as", "for"]);

/** Words of "to top", "top up", "floated" at the end of a name, taken off; null when there are none. */
function withoutTopEnding(tokens: readonly Token[]): Token[] | null {
  const at = tokens.findLastIndex((t) => isWord(t, TOP_VERBS) || isWord(t, TOPPING));
  if (at < 1 || tokens.slice(at + 1).some((t) => t.kind === "word" && !TOP_FILLERS.has(t.word))) return null;
  return dropEdges(tokens.slice(0, at), (t) => isWord(t, TO) || (t.kind === "mark" && t.mark !== ")"));
}
const TOPPING = new Set(["topping"]);

/** "top with soda", "float ½ oz red wine", "ginger beer to top". */
function readTop(facts: Facts): Said | null {
  const { tokens, index } = facts;
  const [first] = tokens;
  const leads = isWord(first, TOP_VERBS) || (isWord(first, MIT) && isWord(tokens.at(-1), TOP_VERBS));
  const ending = leads ? null : withoutTopEnding(facts.name.length > 0 ? facts.name : tokens);
  if (!leads && (!ending || facts.piece.step)) return null;
  const float = facts.words.some((w) => w.startsWith("float"));
  const trimmed = leads
    ? dropEdges(
        facts.quantity ? facts.name : tokens,
        (t) => isWord(t, TOP_VERBS) || isWord(t, TOP_FILLERS) || t.kind === "mark",
      )
    : ending!;
  const name = beforeStep(tidy(trimmed));
  if (!name.some(telling)) return leads ? instruction({ code: "step" }) : null;
  if (facts.quantity && !COUNTED_UNITS.includes(facts.quantity.unit))
    return { ...pour(facts), name, stage: "top" };
  const dose = DOSES.get(name[0]?.kind === "word" ? name[0].word : "");
  if (dose)
    return { ...dosed(tidy(name.slice(1)), dose, wordsOf(name)[0]!), stage: "top", only: "if-called" };
  const words = wordsOf(name);
  if (words.some((w) => NOT_COUNTED.has(w)) && !called(name, index)) return notCounted({ ...facts, name });
  if (float) return { ...dosed(name, FLOAT, "float"), stage: "top", only: "if-called" };
  return { ...pour({ ...facts, quantity: null, name }), stage: "top", only: "if-called" };
}
const MIT = new Set(["mit"]);

/** "top with soda and garnish": what follows a joining word and a verb is another step. */
function beforeStep(tokens: readonly Token[]): Token[] {
  const at = tokens.findIndex((t, i) => i > 0 && isWord(t, STEP_VERBS) && !isWord(t, TOP_VERBS));
  return at < 0
    ? [...tokens]
    : tidy(tokens.slice(0, at).filter((t, i, all) => i < all.length - 1 || !isWord(t, AND)));
}
const AND = new Set(["and", "then"]);

const JUICE = new Set(["juice"]);

/** The fruit that tokens name with nothing else said but how it is cut, or null. */
function fruitOf(tokens: readonly Token[]): string | null {
  const words = wordsOf(tokens);
  const fruits = words.filter((w) => FRUITS.has(w));
  if (words.at(-1) === "vert" && fruits[0] === "lemon") return "lime";
  return fruits.length === 1 && words.every((w) => FRUITS.has(w) || FRUIT_COMMENTS.has(w))
    ? fruits[0]!
    : null;
}

const asWord = (word: string): Token => ({ kind: "word", word, start: 0, end: 0 });
const juiceOf = (fruit: string): Token[] => [asWord(fruit), asWord("juice")];

/** "juice of half a lime", "Saft einer halben Zitrone". */
function readJuiceOf(facts: Facts): Said | null {
  const { quantity, tokens } = facts;
  const at = tokens.findIndex((t) => t.kind === "word" && !STOP_WORDS.has(t.word));
  if (!isWord(tokens[at], JUICE)) return null;
  const amountAt = tokens.findIndex((t) => isAmount(t) && COUNTED_UNITS.includes(t.quantity.unit));
  const fruit = fruitOf(tokens.slice(Math.max(at, amountAt) + 1).filter((t) => t.kind === "word"));
  if (fruit === null || (amountAt >= 0 && amountAt < at)) return null;
  const name = juiceOf(fruit);
  if (quantity && !COUNTED_UNITS.includes(quantity.unit)) return { ...pour(facts), name };
  if (!quantity) return null;
  return { ...pour(facts), name, unit: "piece", fruit: "juice" };
}

/** "2 limes", "half a lemon, cut into wedges", "1 lime, juiced". */
function readFruit(facts: Facts): Said | null {
  const { quantity } = facts;
  if (!quantity || !COUNTED_UNITS.includes(quantity.unit)) return null;
  const fruit = fruitOf(facts.name);
  if (fruit === null || quantity.amount > MOST_FRUITS) return null;
  const words = wordsOf(facts.name);
  const cutFirst = words.findIndex((w) => w === "wedge" || w === "slice" || w === "wheel");
  if (cutFirst >= 0 && cutFirst <= words.indexOf(fruit) + 1 && !words.includes("cut")) return null;
  const said = saidBy(facts);
  const only =
    quantity.spelled || words.length > 1 || /s$/iu.test(facts.piece.text.split(/[,(]/u)[0]!.trim());
  return {
    ...pour(facts),
    name: juiceOf(fruit),
    fruit: only ? "juice" : "maybe",
    notes: [...quantityNotes(quantity, null), { code: "as-juice", said }],
  };
}
/** "30 lime" is a pour whose unit was left out, not thirty limes. */
const MOST_FRUITS = 8;

/** "4 lime wedges, muddled": a wedge is an eighth of a fruit. */
function readWedges(facts: Facts): Said | null {
  const { quantity, words } = facts;
  const fruit = words.find((w) => FRUITS.has(w));
  const crushed = words.some((w) => CRUSHED.has(w)) && words.includes("wedge");
  if (!quantity || quantity.unit !== null || fruit === undefined || !crushed) return null;
  const notes: Note[] = [{ code: "wedges", count: quantity.amount }];
  const amount = quantity.amount / WEDGES_A_FRUIT;
  return {
    ...pour(facts),
    name: juiceOf(fruit),
    amount,
    unit: "piece",
    sdPercent: WEDGE_SD_PERCENT,
    notes,
    fruit: "juice",
  };
}

/** "8 mint leaves", "lemon twist", "pinch of salt", "3 dashes hot sauce". */
function readNotCounted(facts: Facts): Said | null {
  const { words, quantity, index } = facts;
  if (!words.some((w) => NOT_COUNTED.has(w) || CUT_WORDS.has(w))) return null;
  const seasoned = words.some((w) => SEASONINGS.has(w));
  const small = quantity !== null && ["dash", "drop", "tsp", "barspoon", "g"].includes(quantity.unit ?? "");
  if (!isCounted(facts) && !(small && seasoned)) return null;
  // "mint ice cream", "cherry juice" are poured, whatever their first word is.
  const cut = words.some((w) => CUT_WORDS.has(w));
  if (!cut && words.some((w) => KIND_WORDS.has(w) || JUICE.has(w))) return null;
  return cut || !called(facts.name, index) ? notCounted(facts) : null;
}

/** "1 passion fruit", "4 pineapple chunks", "3 raspberries": they feed the drink, and nobody knows how much. */
function readWholeFruit(facts: Facts): Said | null {
  const { quantity, words, index } = facts;
  if (!quantity || !COUNTED_UNITS.includes(quantity.unit) || !words.some((w) => WHOLE_FRUITS.has(w)))
    return null;
  if (quantity.unit === null && quantity.amount > MOST_FRUITS) return null;
  // "1 passion fruit" is a pour where bare numbers are pours, else a piece: read if the pantry has its size.
  if (called(facts.name, index)) return { ...pour(facts), fruit: "maybe" };
  if (words.some((w) => KIND_WORDS.has(w) || JUICE.has(w))) return null;
  return { kind: "unread", reason: { code: "whole-fruit", said: saidBy(facts) }, name: [...facts.name] };
}

/** "splash of soda", "a few dashes of bitters", "squeeze of lime". */
function readDose(facts: Facts): Said | null {
  const { quantity } = facts;
  if (quantity && (quantity.unit !== null || quantity.high !== undefined)) return null;
  const name = facts.name.filter((t) => t.kind !== "mark");
  const at = name.findIndex((t) => t.kind === "word" && !STOP_WORDS.has(t.word));
  const first = name[at];
  if (first?.kind !== "word") return null;
  const times = quantity?.amount ?? 1;
  const dose = DOSES.get(first.word);
  if (dose) {
    const sized = { ml: times * dose.ml, sdMl: times * dose.sdMl };
    return dosed(tidy(name.slice(at + 1)), sized, first.word);
  }
  const few = COUNTS.get(first.word);
  const next = name.slice(at + 1).find((t) => t.kind === "word" && !OF.has(t.word));
  const unit = few && next?.kind === "word" ? unitAt(next.word, 0) : null;
  if (!few || !unit || unit.end !== (next as { word: string }).word.length) return null;
  return {
    ...pour(facts),
    name: tidy(name.slice(name.indexOf(next!) + 1)),
    amount: few.count * unit.factor,
    unit: unit.unit,
    sdPercent: (100 * few.sd) / few.count,
    notes: [{ code: "few", said: first.word, count: few.count }],
  };
}

/** "1 shot vodka", "a handful of mint", "rest tonic": sizes nobody agrees on. */
function readNoSize(facts: Facts): Said | null {
  const { quantity, index } = facts;
  if (quantity && quantity.unit !== null) return null;
  const at = facts.name.findIndex((t) => t.kind === "word" && !STOP_WORDS.has(t.word));
  const first = facts.name[at];
  if (first?.kind !== "word" || !NO_SIZE.has(first.word)) return null;
  const name = tidy(facts.name.slice(at + 1));
  // "1 shot of espresso": a shot of that has a size.
  const entry = quantity
    ? (called(facts.name, index)?.entries[0] ?? called(name, index)?.entries[0])
    : undefined;
  if (first.word === "shot" && entry?.ingredient.pieceMl && entry.ingredient.role === "tea-coffee") {
    return { ...pour(facts), name, unit: "piece" };
  }
  return { kind: "unread", reason: { code: "no-size", said: first.word }, name };
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
    if (!called(name, index)) return { kind: "unread", reason: { code: "prose" }, name: [...name] };
  }
  if (!name.some((t) => t.kind === "word" || t.kind === "ratio"))
    return { kind: "unread", reason: { code: "no-name" } };
  return pour(facts);
}
const OPENERS = new Set("with and of for in to into".split(" "));

/** An egg white needs no number; soda that ends a long drink fills it. */
function readNameAlone(facts: Facts): Said | null {
  const { tokens, index, words } = facts;
  if (words.includes("taste"))
    return { kind: "unread", reason: { code: "to-taste", said: facts.piece.text }, name: [...tokens] };
  const same = called(tokens, index);
  const ingredient = same?.entries[0]?.ingredient;
  if (!ingredient) return null;
  if (ingredient.role === "egg" && ingredient.pieceMl) {
    return { ...pour(facts), amount: 1, unit: "piece", notes: [{ code: "one-implied" }] };
  }
  if (ingredient.role === "lengthener" && ingredient.addAfterDilution)
    return { ...pour(facts), stage: "top" };
  return { kind: "unread", reason: { code: "no-amount", said: facts.piece.text }, name: [...tokens] };
}

const hasText = (facts: Facts) => facts.tokens.some((t) => t.kind !== "mark");

/** A longer piece is prose. */
const MAX_PIECE_CHARS = 240;
const RIM = new Set(["rim", "rimmed"]);

/** Words that another rule than the plain pour reads. */
const TELLING_WORDS = new Set(
  [
    TOP_VERBS,
    RINSE_WORDS,
    SPRAY_WORDS,
    NOT_COUNTED,
    CUT_WORDS,
    SEASONINGS,
    CRUSHED,
    STEP_VERBS,
    RIM,
    TOPPING,
  ].flatMap((words) => [...words]),
);

/** An amount, its unit and a name, with no word that says more: most lines. */
function readPlain(facts: Facts): Said | null {
  if (facts.quantity?.unit === "piece" || facts.piece.text.length > MAX_PIECE_CHARS || !isPlain(facts.tokens))
    return null;
  return facts.words.some((w) => TELLING_WORDS.has(w)) || facts.words[0] === "juice" ? null : pour(facts);
}

/** The rules, in the order they are asked. */
export const RULES: readonly Rule[] = [
  { id: "plain", example: "2 oz gin", reads: readPlain },
  {
    id: "blank",
    example: "———",
    reads: (f) =>
      hasText(f)
        ? null
        : /[\p{L}\p{N}]/u.test(f.piece.raw)
          ? { kind: "unread", reason: { code: "no-words" } }
          : { kind: "blank" },
  },
  {
    id: "heading",
    example: "Ingredients:",
    reads: (f) =>
      f.piece.whole === "line" && HEADING.test(f.piece.text) ? instruction({ code: "heading" }) : null,
  },
  {
    id: "label",
    example: "Glass: coupe",
    reads: (f) =>
      f.piece.whole === "line" && LABEL.test(f.piece.text) ? instruction({ code: "label" }) : null,
  },
  {
    id: "rim",
    example: "Salt rim",
    reads: (f) =>
      isWord(
        f.tokens.findLast((t) => t.kind === "word"),
        RIM,
      ) && !f.quantity?.unit
        ? instruction({ code: "rim" })
        : null,
  },
  {
    id: "chain",
    example: "2:1:1 gin lemon simple",
    reads: (f) =>
      f.tokens.some((t) => t.kind === "aside" && t.what === "chain")
        ? { kind: "unread", reason: { code: "chain-of-numbers" } }
        : null,
  },
  { id: "rinse", example: "absinthe rinse", reads: readRinse },
  { id: "top", example: "top with soda", reads: readTop },
  {
    id: "step",
    example: "Shake hard, fine strain",
    reads: (f) => (f.piece.step && !(f.quantity && f.name.length > 0) ? instruction({ code: "step" }) : null),
  },
  {
    id: "service",
    example: "in a wine glass with ice",
    reads: (f) => (isService(f.tokens) ? instruction({ code: "service" }) : null),
  },
  {
    id: "too-long",
    example: "so ".repeat(90),
    reads: (f) =>
      f.piece.text.length > MAX_PIECE_CHARS ? { kind: "unread", reason: { code: "too-long" } } : null,
  },
  { id: "wedges", example: "4 lime wedges, muddled", reads: readWedges },
  { id: "juice-of", example: "juice of half a lime", reads: readJuiceOf },
  { id: "fruit", example: "2 limes", reads: readFruit },
  { id: "not-counted", example: "8 mint leaves", reads: readNotCounted },
  { id: "whole-fruit", example: "4 pineapple chunks", reads: readWholeFruit },
  { id: "dose", example: "a few dashes of bitters", reads: readDose },
  { id: "no-size", example: "1 jigger gin", reads: readNoSize },
  { id: "pour", example: "gin 2 oz", reads: readPour },
  { id: "name-alone", example: "egg white", reads: readNameAlone },
  {
    id: "step-inside",
    example: "everything gets a long shake",
    reads: (f) => (detectMethod(f.piece.text) !== null ? instruction({ code: "step" }) : null),
  },
  {
    id: "prose",
    example: "as my aunt made it",
    reads: () => ({ kind: "unread", reason: { code: "prose" } }),
  },
];

/** What a piece says: the first rule that has an answer. */
export function readPiece(piece: Piece, index: PantryIndex): { said: Said; rule: string; facts: Facts } {
  const facts = factsOf(piece, index);
  for (const { id, reads } of RULES) {
    const said = reads(facts);
    if (said) return { said, rule: id, facts };
  }
  return { said: { kind: "unread", reason: { code: "prose" } }, rule: "prose", facts };
}
