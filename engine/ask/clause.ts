import { parseQuantity } from "../amounts/parse-quantity.ts";
import { DEFAULT_UNIT_SETTINGS } from "../amounts/units.ts";
import { nameText } from "../recipe/facts.ts";
import { readPiece } from "../recipe/line-rules.ts";
import { indexPantry } from "../recipe/pantry-index.ts";
import { splitLine } from "../recipe/pieces.ts";
import { readPoured } from "../recipe/read-line.ts";
import { wordsOf } from "../recipe/tokens.ts";
import type { Method } from "../types.ts";
import type { Finder, NameTrouble } from "./find-ingredient.ts";
import type { Intent, SaidAmount, WhatIfChange } from "./intent.ts";

/** Why a clause was not read, as facts; `words.ts` has the sentences. */
export type Trouble =
  | NameTrouble
  /** No form of question begins or reads so. */
  | { code: "form" }
  /** A change without an amount that can be poured. */
  | { code: "no-amount"; said: string }
  /** "a bar spoon less": of what? */
  | { code: "of-what" }
  /** "use honey instead": of what? */
  | { code: "instead-of-what"; id: string }
  /** A concentrated acid in the place of what is poured by the ounce. */
  | { code: "too-strong"; id: string }
  /** The pantry has no thinner (or richer) syrup of the kind, or none of that ratio. */
  | { code: "no-such-syrup"; id: string; wanted: string }
  | { code: "no-syrup"; id: string }
  /** A change takes from what the drink does not hold. */
  | { code: "not-in-drink"; id: string }
  /** No axis to keep. */
  | { code: "no-axis"; said: string }
  /** Drier and sweeter at once. */
  | { code: "contrary" }
  /** Several questions that one answer cannot hold. */
  | { code: "several"; parts: string[] };

/** A question, and the words of the range it names; null for the range that is chosen. */
export interface Asked {
  intent: Intent;
  targetWords: string | null;
}

/** What one clause asks, or why it was not read. */
export type Clause = Asked | Trouble;

/** One form of question: the first rule of a table whose pattern fits and that reads something decides. */
export interface ClauseRule {
  id: string;
  /** What it reads, in a drink with rum, lime, honey syrup and bitters; tested so. */
  example: string;
  pattern: RegExp;
  /** Null: after all, it is no such clause. */
  read: (groups: readonly string[], find: Finder) => Clause | null;
}

/** A form of question from its first word to its last; what it is put together from are groups of words. */
export const form = (text: TemplateStringsArray, ...groups: readonly string[]): RegExp =>
  new RegExp(`^(?:${String.raw(text, ...groups)})$`);

/** What the words are, by the first pattern of a table that fits them; null where none does. */
export function pick<T extends string>(table: Readonly<Record<T, RegExp>>, said: string): T | null {
  return (Object.keys(table) as T[]).find((id) => table[id].test(said)) ?? null;
}

/** A clause that changes pours. */
export const changes = (...list: WhatIfChange[]): Asked => ({
  intent: { ask: "what-if", changes: list },
  targetWords: null,
});

/** Go on with the ingredient a name stands for, or say why it stands for none. */
export function withFound(said: string, find: Finder, go: (id: string) => Clause): Clause {
  const found = find(said);
  return "id" in found ? go(found.id) : found;
}

/** An amount that was said, and the name beside it. */
export interface Dose {
  amount: SaidAmount;
  rest: string;
}

/** "¼ oz of lime juice": the amount and the name behind it; null without an amount with a unit. */
export function amountFirst(said: string): Dose | null {
  const read = parseQuantity(said);
  if (!read?.unit || read.high !== undefined) return null;
  return { amount: { amount: read.amount, unit: read.unit }, rest: read.rest };
}

/** "¼ oz" and nothing behind it, said of `rest`; null for anything else. */
export function doseOf(rest: string, said: string): Dose | null {
  const dose = amountFirst(said);
  return dose?.rest === "" ? { ...dose, rest } : null;
}

/** The reader's rules that give an amount: a size that a word has, a count of fruit, of eggs or of cubes. */
const DOSED = new Set(["dose", "fruit", "juice-of", "pour"]);

/** "¼ oz of lime juice", and what a recipe's reader gives a size: "a splash of soda", "half a lemon", "an egg white". */
export function doseFirst(said: string, { pantry }: Finder): Dose | null {
  const measured = amountFirst(said);
  // "Half the lemon" is half of what is poured, and no half of a fruit.
  if (measured || /^half (?!an? )/.test(said)) return measured;
  const index = indexPantry(pantry);
  const [piece, ...others] = splitLine(said, 1, index);
  if (!piece || others.length > 0) return null;
  const { said: poured, facts, rule } = readPiece(piece, index);
  // Words before the amount are another change, or a verb that some other rule knows.
  const isFirst = rule === "dose" || rule === "juice-of" || (facts.quantity && facts.before.length === 0);
  if (poured.kind !== "pour" || !DOSED.has(rule) || !isFirst) return null;
  const settings = DEFAULT_UNIT_SETTINGS;
  const ctx = { index, settings, implied: null, barePours: false, made: new Map() };
  const { line } = readPoured(poured, facts, ctx);
  const isTyped = poured.name.some((t) => t.end > t.start);
  const rest = isTyped ? nameText(facts, poured.name) : wordsOf(poured.name).join(" ");
  return line ? { amount: { amount: line.amount, unit: line.unit }, rest } : null;
}

/** "the lime to 1 oz", "lime 1 oz": the name and the amount behind it; null without one. */
export function amountLast(said: string): Dose | null {
  const words = said.split(" ");
  for (let i = 1; i < words.length; i += 1) {
    const before = words.slice(0, i).join(" ");
    const rest = before.replace(/(?: (?:was|were|is))?(?: (?:up to|down to|back to|to|at|be|by|with))?$/, "");
    const dose = doseOf(rest, words.slice(i).join(" "));
    if (dose) return rest === "" ? null : dose;
  }
  return null;
}

const NUMBER_WORDS: ReadonlyMap<string, number> = new Map(
  Object.entries({ once: 1, single: 1, twice: 2, thrice: 3, double: 2, triple: 3, half: 0.5 }),
);

/** "two", "1.5", "twice"; null for what is no number above 0. */
export function readNumber(said: string): number | null {
  const known = NUMBER_WORDS.get(said);
  if (known !== undefined) return known;
  const read = parseQuantity(said);
  return read && read.unit === null && read.rest === "" && read.amount > 0 ? read.amount : null;
}

/** Verbs for mixing, and what else a clause about mixing may say. */
const METHOD_VERBS = {
  shaken: /^shak(?:e|en|ing)$/,
  stirred: /^stir(?:red|ring)?$/,
  built: /^(?:build|built|building)$/,
  thrown: /^throw(?:n|ing)?$/,
  blended: /^blend(?:ed|ing)?$/,
  crushed: /^swizzl(?:e|ed|ing)$/,
} satisfies Partial<Record<Method, RegExp>>;
const METHOD_FILLERS = new Set(
  "it this the drink instead make serve mix be was were with over ice in a blender glass one them".split(" "),
);

/** "stir it instead of shaking": the method wanted; null where anything else is said. */
export function methodOf(said: string): Method | null {
  const wanted = said.replace(/ (?:instead of|rather than|not) .+$/, "").replace(/,/g, "");
  if (/^(?:make it |serve it |this |it )?(?:over|on|with) crushed ice$/.test(wanted)) return "crushed";
  const [verb = "", ...others] = wanted.split(" ").filter((word) => !METHOD_FILLERS.has(word));
  return others.length === 0 ? pick(METHOD_VERBS, verb) : null;
}
