import type { Ingredient } from "../types.ts";
import { trigramLikeness, trigrams } from "./fold.ts";
import type { NameWords } from "./names.ts";
import {
  type Entry,
  type PantryIndex,
  type Phrase,
  type Respelling,
  respell,
  type SameName,
  wordsKey,
} from "./pantry-index.ts";
import { remember } from "./remember.ts";
import { COMMENT_WORDS, HEAD_WORDS } from "./vocabulary.ts";

/** A pantry ingredient that a text may name. */
export interface Candidate {
  ingredient: string;
  name: string;
  /** 1 = called so outright; 0 = nothing in common. */
  score: number;
}

const byId = (a: Entry, b: Entry) => (a.ingredient.id < b.ingredient.id ? -1 : 1);

function distinct(phrases: readonly Phrase[]): Entry[] {
  return [...new Set(phrases.map((p) => p.entry))].sort(byId);
}

/** Words in their order, as one text: "cream of coconut" is not "coconut cream". */
const inOrder = (words: readonly string[]) => words.join(" ");

/** The ingredients with these words: those called so in this order if any, outright before shortened names. */
function called(
  phrases: readonly Phrase[],
  words: readonly string[],
  respelt: Respelling[],
): SameName | null {
  const order = inOrder(words);
  const ordered = phrases.filter((p) => inOrder(p.words) === order);
  const pool = ordered.length > 0 ? ordered : phrases.filter((p) => !p.ordered);
  if (pool.length === 0) return null;
  const plain = pool.filter((p) => p.outright && p.statedPercent === null && p.ratio === null);
  const named = distinct(plain.length > 0 ? plain : pool.filter((p) => p.outright));
  const any = named.length > 0 ? named : distinct(pool);
  // Where only strengths tell names apart ("apple brandy", 40 and 50), the one whose id says no more is meant.
  const shortest = plain.length > 0 ? [] : any.filter((e) => e.ingredient.id === words.join("-"));
  const entries = shortest.length === 1 ? shortest : any;
  const others = distinct(phrases).filter((e) => !entries.includes(e));
  return { entries, others, respelt, shortened: false };
}

/**
 * The text holds one of an entry's phrases whole, and its other words are the entry's too: "french dry
 * vermouth". One entry only: two such would be a guess.
 */
function calledByOwnWords(words: readonly string[], index: PantryIndex): SameName | null {
  if (words.length < 2) return null;
  const [first = [], ...rest] = words.map((w) => index.byWord.get(w) ?? []);
  const shared = distinct(first).filter((entry) => rest.every((list) => list.some((p) => p.entry === entry)));
  const found = shared.filter((entry) =>
    entry.phrases.some(
      (p) => p.outright && !p.ordered && p.words.length > 0 && p.words.every((w) => words.includes(w)),
    ),
  );
  return found.length === 1 ? { entries: found, others: [], respelt: [], shortened: false } : null;
}

/** "reposado", "navy strength": all that is missing is the family's own name, and only one entry is meant. */
function calledWithoutHead(words: readonly string[], index: PantryIndex): SameName | null {
  const phrases = (index.byWord.get(words[0] ?? "") ?? []).filter((p) => {
    if (!words.every((w) => p.words.includes(w))) return false;
    const missing = p.words.filter((w) => !words.includes(w));
    return missing.length === 1 && missing.every((w) => HEAD_WORDS.has(w));
  });
  const entries = distinct(phrases);
  return entries.length === 1 ? { entries, others: [], respelt: [], shortened: true } : null;
}

const TWINS: ReadonlyMap<string, string> = new Map([
  ["whisky", "whiskey"],
  ["whiskey", "whisky"],
]);
/** "rye whisky" is "rye whiskey": the two spellings are one word, unless the pantry keeps them apart. */
const inTwin = (words: readonly string[]) => words.map((w) => TWINS.get(w) ?? w);

function calledAs(words: readonly string[], index: PantryIndex, respelt: Respelling[]): SameName | null {
  // A word that no phrase has leaves only "limejuice", written as one.
  const known = words.every((w) => index.byWord.has(w) || TWINS.has(w));
  const same =
    known &&
    (called(index.byWords.get(wordsKey(words)) ?? [], words, respelt) ??
      called(index.byWords.get(wordsKey(inTwin(words))) ?? [], words, respelt));
  if (same) return same;
  const letters = words.join("");
  const spaced = letters.length > 4 ? called(index.byLetters.get(letters) ?? [], words, respelt) : null;
  return spaced ?? (known ? calledByOwnWords(words, index) : null);
}

/** Misspelt words in every way they may be meant; more ways than this are a guess. */
const MOST_SPELLINGS = 6;

function calledRespelt(words: readonly string[], index: PantryIndex): SameName | null {
  let ways: { words: string[]; respelt: Respelling[] }[] = [{ words: [], respelt: [] }];
  for (const word of words) {
    const near = index.byWord.has(word) ? [word] : respell(word, index);
    if (near.length === 0 || near.length * ways.length > MOST_SPELLINGS) return null;
    ways = ways.flatMap((way) =>
      near.map((taken) => ({
        words: [...way.words, taken],
        respelt: taken === word ? way.respelt : [...way.respelt, { typed: word, taken }],
      })),
    );
  }
  const found = ways.flatMap((way) => calledAs(way.words, index, way.respelt) ?? []);
  const [first = null] = found;
  const entries = new Set(found.flatMap((f) => f.entries));
  // Two spellings that name different things are not one misspelling.
  return entries.size === first?.entries.length ? first : null;
}

/**
 * Ingredients called by just these words, in any order and spacing; then without comments ("good", "strained"),
 * then with slips of spelling mended. Null when a word is left over that might make it another product, or
 * none fits: then only `rank` helps.
 */
export function findCalled(words: readonly string[], index: PantryIndex): SameName | null {
  const key = inOrder(words);
  const known = index.seen.get(key);
  if (known !== undefined) return known;
  return remember(index.seen, key, lookUp(words, index));
}

function lookUp(words: readonly string[], index: PantryIndex): SameName | null {
  if (words.length === 0) return null;
  const exact = calledAs(words, index, []);
  if (exact) return exact;
  const telling = words.filter((w) => !COMMENT_WORDS.has(w));
  if (telling.length === 0) return null;
  // However it is praised, a name is one that others wrote too.
  if (telling.length < words.length) return findCalled(telling, index);
  return calledWithoutHead(telling, index) ?? calledRespelt(telling, index);
}

const BEST_INEXACT = 0.98;
/** Called so but for a stated strength. */
const ALMOST = 0.97;
const UNKNOWN_WORD_FACTOR = 0.9;
const LOWEST_SCORE = 0.15;
const TIE_BREAK = 0.02;

/** How alike a phrase is: shared weight of words (Dice), then letters. */
function phraseScore(
  words: readonly string[],
  runs: ReadonlySet<string>,
  phrase: Phrase,
  index: PantryIndex,
) {
  let common = 0;
  let asked = 0;
  let unknown = 0;
  for (const word of words) {
    const weight = index.weight.get(word);
    if (weight === undefined) unknown += 1;
    else {
      asked += weight;
      if (phrase.words.includes(word)) common += weight;
    }
  }
  let offered = 0;
  for (const word of phrase.words) offered += index.weight.get(word) ?? 0;
  const dice = common === 0 ? 0 : (2 * common) / (asked + offered);
  return (
    UNKNOWN_WORD_FACTOR ** unknown *
    Math.min(BEST_INEXACT, 0.98 * dice + TIE_BREAK * trigramLikeness(runs, phrase.runs))
  );
}

/** Pantry ingredients that share a word with the name, misspelt words mended, best first. */
export function rank(name: NameWords, index: PantryIndex): Candidate[] {
  const key = `${inOrder(name.words)}|${name.percent ?? ""}`;
  return index.ranked.get(key) ?? remember(index.ranked, key, ranked(name, index));
}

function ranked(name: NameWords, index: PantryIndex): Candidate[] {
  const same = findCalled(name.words, index);
  const words = name.words.flatMap((w) =>
    index.byWord.has(w) ? [w] : [...respell(w, index).slice(0, 2), w],
  );
  const runs = trigrams(name.words.join(""));
  const scores = new Map<Entry, number>();
  for (const word of words) {
    for (const phrase of index.byWord.get(word) ?? []) {
      const score = phraseScore(words, runs, phrase, index);
      if (score > (scores.get(phrase.entry) ?? LOWEST_SCORE)) scores.set(phrase.entry, score);
    }
  }
  if (same) {
    for (const entry of same.others) scores.set(entry, ALMOST);
    for (const entry of same.entries) scores.set(entry, same.respelt.length > 0 ? ALMOST : 1);
  }
  const found = [...scores].map(([{ ingredient }, score]) => ({
    ingredient: ingredient.id,
    name: ingredient.name,
    score: Number((score * strengthFactor(ingredient, name.percent)).toFixed(4)),
  }));
  return found.sort((a, b) => b.score - a.score || (a.ingredient < b.ingredient ? -1 : 1));
}

/** A stated strength orders names that are otherwise alike. */
function strengthFactor(ingredient: Ingredient, percent: number | null): number {
  const abv = ingredient.abvPercent.value;
  return percent === null || abv === 0 ? 1 : Math.max(0.9, 1 - Math.abs(percent - abv) / 300);
}
