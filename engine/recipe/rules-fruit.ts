import { DOSES, WEDGE_SD_PERCENT, WEDGES_A_FRUIT } from "./doses.ts";
import {
  COUNTED_UNITS,
  called,
  type Facts,
  isCounted,
  notCounted,
  pour,
  quantityNotes,
  type Said,
  saidBy,
  unread,
} from "./facts.ts";
import { isPour, isWord, type Token, wordsOf } from "./tokens.ts";
import {
  CRUSHED,
  CUT_WORDS,
  FRUIT_COMMENTS,
  FRUITS,
  KIND_WORDS,
  NOT_COUNTED,
  SEASONINGS,
  STOP_WORDS,
  WHOLE_FRUITS,
} from "./vocabulary.ts";
import type { Note } from "./words.ts";

/** "juice", folded. */
export const JUICE = new Set(["juice"]);

/** The fruit that tokens name with nothing else said but how it is cut, or null. */
function fruitOf(tokens: readonly Token[]): string | null {
  const words = wordsOf(tokens);
  const [fruit = null, ...more] = words.filter((w) => FRUITS.has(w));
  if (words.at(-1) === "vert" && fruit === "lemon") return "lime";
  return more.length === 0 && words.every((w) => w === fruit || FRUIT_COMMENTS.has(w)) ? fruit : null;
}

const asWord = (word: string): Token => ({ kind: "word", word, start: 0, end: 0 });
const juiceOf = (fruit: string): Token[] => [asWord(fruit), asWord("juice")];

/** "juice of half a lime", "Saft einer halben Zitrone". */
export function readJuiceOf(facts: Facts): Said | null {
  const { quantity, tokens } = facts;
  const at = tokens.findIndex((t) => t.kind === "word" && !STOP_WORDS.has(t.word));
  if (!isWord(tokens[at], JUICE)) return null;
  const amountAt = tokens.findIndex((t) => isPour(t) && COUNTED_UNITS.includes(t.quantity.unit));
  const fruit = fruitOf(tokens.slice(Math.max(at, amountAt) + 1).filter((t) => t.kind === "word"));
  if (fruit === null || (amountAt >= 0 && amountAt < at)) return null;
  const name = juiceOf(fruit);
  if (quantity && !COUNTED_UNITS.includes(quantity.unit)) return { ...pour(facts), name };
  if (!quantity) return null;
  return { ...pour(facts), name, unit: "piece", fruit: "juice" };
}

/** "2 limes", "half a lemon, cut into wedges", "1 lime, juiced". */
export function readFruit(facts: Facts): Said | null {
  const { quantity } = facts;
  if (!quantity || !COUNTED_UNITS.includes(quantity.unit)) return null;
  const fruit = fruitOf(facts.name);
  if (fruit === null || quantity.amount > MOST_FRUITS) return null;
  const words = wordsOf(facts.name);
  const cutFirst = words.findIndex((w) => w === "wedge" || w === "slice" || w === "wheel");
  if (cutFirst >= 0 && cutFirst <= words.indexOf(fruit) + 1 && !words.includes("cut")) return null;
  const said = saidBy(facts);
  const only = quantity.spelled || words.length > 1 || /^[^,(]*s\s*(?:[,(]|$)/iu.test(facts.piece.text);
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
export function readWedges(facts: Facts): Said | null {
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
export function readNotCounted(facts: Facts): Said | null {
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
export function readWholeFruit(facts: Facts): Said | null {
  const { quantity, words, index } = facts;
  if (!quantity || !COUNTED_UNITS.includes(quantity.unit) || !words.some((w) => WHOLE_FRUITS.has(w)))
    return null;
  if (quantity.unit === null && quantity.amount > MOST_FRUITS) return null;
  // "1 splash cranberry" is a dose of it.
  if (quantity.unit === null && words[0] !== undefined && DOSES.has(words[0])) return null;
  // "1 passion fruit" is a pour where bare numbers are pours, else a piece: read if the pantry has its size.
  if (called(facts.name, index)) return { ...pour(facts), fruit: "maybe" };
  if (words.some((w) => KIND_WORDS.has(w) || JUICE.has(w))) return null;
  return unread({ code: "whole-fruit", said: saidBy(facts) }, facts.name);
}
