import { once, onceFor } from "../once.ts";
import type { Ingredient, Pantry } from "../types.ts";
import { trigrams } from "./fold.ts";
import type { ReadPiece } from "./line-rules.ts";
import type { Candidate } from "./match.ts";
import { type NameWords, readName } from "./names.ts";
import type { KnownName } from "./plain-line.ts";
import { remember } from "./remember.ts";
import { scan } from "./tokens.ts";

/** One thing people call an ingredient. */
export interface Phrase extends NameWords {
  entry: Entry;
  /** The words without spaces, and their runs of three letters, for likeness. */
  letters: string;
  runs: Set<string>;
  /**
   * False for a shortened name or an id of several words: it names the entry only where no other entry is
   * called so outright.
   */
  outright: boolean;
  /** Its words stand in one order only: "cream of coconut" is no coconut cream. */
  ordered: boolean;
  /** The strength (% vol, or % by weight of what has no alcohol) that the phrase states, or null. */
  statedPercent: number | null;
}

/** An ingredient with the words people use for it. */
export interface Entry {
  ingredient: Ingredient;
  phrases: Phrase[];
  /** Every word of its phrases. */
  words: Set<string>;
}

/** A misspelt word and the pantry word it was taken for. */
export interface Respelling {
  typed: string;
  taken: string;
}

/** Ingredients that are called just so, and what had to be supposed for it. */
export interface SameName {
  /** Called so outright; sorted by id. At least one. */
  entries: Entry[];
  /** Called so but for a strength or ratio that their name states and the text does not; sorted by id. */
  others: Entry[];
  respelt: Respelling[];
  /** The text leaves out a word that adds nothing ("reposado" for "reposado tequila"). */
  shortened: boolean;
}

/** A pantry's names, prepared once: looking a name up costs no more in a larger pantry. */
export class PantryIndex {
  readonly pantry: Pantry;
  readonly entries: readonly Entry[];
  /** Words in alphabetical order, joined by spaces → the phrases of just those words. */
  readonly byWords = new Map<string, Phrase[]>();
  /** Letters without spaces → phrases: "limejuice", "eggwhite". */
  readonly byLetters = new Map<string, Phrase[]>();
  /** Word → phrases that hold it. */
  readonly byWord = new Map<string, Phrase[]>();
  /** Syrups by family. */
  readonly families = new Map<string, Ingredient[]>();
  /** Word → how telling it is: rare words weigh more. */
  readonly weight = new Map<string, number>();
  /** Names looked up before. */
  readonly seen = new Map<string, SameName | null>();
  /** What names without an ingredient are like, best first. */
  readonly ranked = new Map<string, Candidate[]>();
  /** What plain lines end with, by how it was typed. */
  readonly known = new Map<string, KnownName>();
  /** Lines that pour nothing, as pasted. */
  readonly steps = new Map<string, ReadPiece>();
  /** Misspelt words looked up before. */
  readonly respelt = new Map<string, string[]>();
  /** Every pantry word, and it with a letter left out → the words it may be. */
  readonly misspelt = once(() => misspellings(this.byWord.keys()));

  constructor(pantry: Pantry) {
    this.pantry = pantry;
    this.entries = [...pantry.values()].map(entryOf);
    for (const { ingredient, phrases, words } of this.entries) {
      for (const phrase of phrases) {
        push(this.byWords, wordsKey(phrase.words), phrase);
        push(this.byLetters, phrase.letters, phrase);
        for (const word of new Set(phrase.words)) push(this.byWord, word, phrase);
      }
      if (ingredient.syrup) push(this.families, ingredient.syrup.family, ingredient);
      for (const word of words) this.weight.set(word, (this.weight.get(word) ?? 0) + 1);
    }
    for (const [word, n] of this.weight) this.weight.set(word, Math.log(1 + this.entries.length / n));
  }
}

/** Words in one order, as `byWords` has them. */
export function wordsKey(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? "") : [...words].sort().join(" ");
}

/** A number in a name states a strength when it is near the entry's own ("gin 47"). */
const NEAR_PERCENT = 0.6;

/** "Gin (40 % vol)" also names the entry as "gin". */
const BRACKETS = /\([^)]*\)/gu;

/** An ingredient's entry. */
const entryOf = onceFor((ingredient: Ingredient): Entry => {
  const entry: Entry = { ingredient, phrases: [], words: new Set() };
  const abv = ingredient.abvPercent.value;
  const add = (text: string, outright: boolean) => {
    const name = readName(scan(text, "name"));
    const words = [...name.words];
    let statedPercent = name.percent;
    // "gin 47", "lactic acid 88": a bare number in a name is a strength where it can be one.
    const bare = words.findIndex((w) => /^\d+(?:\.\d+)?$/.test(w));
    if (bare >= 0 && (abv === 0 || Math.abs(Number(words[bare]) - abv) <= NEAR_PERCENT)) {
      statedPercent = Number(words[bare]);
      words.splice(bare, 1);
    }
    const letters = words.join("");
    if (letters === "" && name.ratio === null) return;
    const isSame = (p: Phrase) =>
      p.letters === letters && p.ratio === name.ratio && p.statedPercent === statedPercent;
    if (entry.phrases.some(isSame)) return;
    const ordered = text.includes(" of ");
    entry.phrases.push({
      ...name,
      words,
      letters,
      runs: trigrams(letters),
      outright,
      ordered,
      statedPercent,
      entry,
    });
    for (const w of words) entry.words.add(w);
  };
  for (const alias of ingredient.aliases) add(alias, true);
  add(ingredient.name, true);
  if (!ingredient.id.includes("-")) add(ingredient.id, true);
  add(ingredient.name.replace(BRACKETS, " "), false);
  return entry;
});

function push<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const held = map.get(key);
  if (held) held.push(value);
  else map.set(key, [value]);
}

const prepared = new WeakMap<Pantry, PantryIndex>();

/**
 * The pantry's names, prepared for looking up. Kept for as long as the pantry is; a pantry that is changed in
 * place must change its size to be noticed (ours are made anew).
 */
export function indexPantry(pantry: Pantry): PantryIndex {
  const known = prepared.get(pantry);
  if (known?.entries.length === pantry.size) return known;
  const index = new PantryIndex(pantry);
  prepared.set(pantry, index);
  return index;
}

/** Shortest word that may be a misspelling; shorter ones are too like each other. */
const SHORTEST_MISSPELT = 4;
/** No pantry word is longer; what is, is noise. */
const LONGEST_MISSPELT = 24;

function withoutOneLetter(word: string): string[] {
  return [...word].map((_, i) => word.slice(0, i) + word.slice(i + 1));
}

/** What is left of two words behind the letters that both begin with. */
function behindStart(a: string, b: string): [string, string] {
  let i = 0;
  while (i < a.length && a[i] === b[i]) i += 1;
  return [a.slice(i), b.slice(i)];
}

/** True when one letter left out, put in, changed or two neighbours swapped makes `a` into `b`. */
function oneSlip(a: string, b: string): boolean {
  const [restA, restB] = behindStart(a, b);
  if (restA.length === restB.length) {
    return restA.slice(1) === restB.slice(1) || (swaps(restA, restB) && restA.slice(2) === restB.slice(2));
  }
  return restA.slice(1) === restB || restA === restB.slice(1);
}

/** Whether two words begin with the same two letters, the other way round. */
const swaps = (a: string, b: string) => a[0] === b[1] && a[1] === b[0];

/** Four letters are near many words: there only a letter left out or two swapped is a slip. */
function likelySlip(typed: string, word: string): boolean {
  if (typed.length > SHORTEST_MISSPELT || word.length > typed.length) return true;
  return [...typed].sort().join("") === [...word].sort().join("");
}

/** A word this long may have two slips. */
const LONG_WORD = 8;

/** True when two slips, one after the other, make `a` into `b`. */
function twoSlips(a: string, b: string): boolean {
  if (Math.abs(a.length - b.length) > 2 || a[0] !== b[0]) return false;
  const [restA, restB] = behindStart(a, b);
  return (
    oneSlip(restA.slice(1), restB.slice(1)) ||
    oneSlip(restA.slice(1), restB) ||
    oneSlip(restA, restB.slice(1)) ||
    (swaps(restA, restB) && oneSlip(restA.slice(2), restB.slice(2)))
  );
}

/**
 * Pantry words that `typed` most likely stands for: those one slip away, or two in a long word that is like no
 * other. Empty when it is too short or like nothing.
 */
export function respell(typed: string, index: PantryIndex): string[] {
  if (typed.length < SHORTEST_MISSPELT || typed.length > LONGEST_MISSPELT || /\d/.test(typed)) return [];
  return index.respelt.get(typed) ?? remember(index.respelt, typed, nearWords(typed, index.misspelt()));
}

function misspellings(words: Iterable<string>): ReadonlyMap<string, string[]> {
  const misspelt = new Map<string, string[]>();
  for (const word of words) {
    if (word.length < SHORTEST_MISSPELT) continue;
    for (const key of new Set([word, ...withoutOneLetter(word)])) push(misspelt, key, word);
  }
  return misspelt;
}

function nearWords(typed: string, misspelt: ReadonlyMap<string, string[]>): string[] {
  const words = (keys: readonly string[]) => new Set(keys.flatMap((key) => misspelt.get(key) ?? []));
  const shorter = withoutOneLetter(typed);
  const close = [...words([typed, ...shorter])].filter((w) => oneSlip(typed, w) && likelySlip(typed, w));
  if (close.length > 0 || typed.length < LONG_WORD) return close.sort();
  // Two slips leave what two letters fewer here and one fewer there have in common.
  const far = words(shorter.flatMap((part) => [part, ...withoutOneLetter(part)]));
  return [...far].filter((word) => word.length >= LONG_WORD - 1 && twoSlips(typed, word)).sort();
}
