import type { Ingredient, Pantry } from "../types.ts";
import { type Hints, type NameWords, readName, trigramLikeness, trigrams } from "./words.ts";

export interface Candidate {
  ingredient: string;
  name: string;
  /** 1 = the pantry's own name or alias, with every hint agreeing; 0 = nothing in common. */
  score: number;
}

/** Candidates and what the comparison could not use. */
export interface Match {
  candidates: Candidate[];
  /** Words of the text that the best candidate does not have. */
  unusedWords: string[];
  /** Those of them that change what is in the glass ("cordial"), or that other pantry names use. */
  weightyWords: string[];
  /** Misspelt words and what they were taken for. */
  respelt: string[];
  hints: Hints;
  /** The best candidate has the same words; only words that change nothing are left over. */
  sameWords: boolean;
}

/** Praise that some pantry names carry too: leaving it unused changes nothing. */
const SOFT_WORDS = new Set(["pure", "raw", "clear", "standard", "strong", "hot", "brewed", "plain"]);

/** A phrase equal to the text word for word scores this; anything less stays below. */
export const EXACT_SCORE = 1;
const BEST_INEXACT = 0.98;
/** Same words, but the pantry's phrase also states a strength or ratio that the text does not. */
const EXACT_BUT_FOR_STRENGTH = 0.97;
/** A word the pantry has never seen costs this much. */
const UNKNOWN_WORD_FACTOR = 0.9;
const WRONG_RATIO_FACTOR = 0.6;
const RATIO_ON_NO_SYRUP_FACTOR = 0.8;
/** Misspellings must share at least this much. */
const LEAST_LIKENESS = 0.6;
/** A strength within this is the same bottle for our purpose; further off counts against. */
const SAME_STRENGTH_PERCENT = 1.5;
/** How much of what is missing from its score a right strength makes up. */
const RIGHT_STRENGTH_SHARE = 0.4;
const LOWEST_SCORE = 0.15;

/** Kinds of thing: a word here that the match leaves unused makes it a different ingredient. */
const KIND_WORDS = new Set(
  `cordial liqueur syrup sirup cream creme infused infusion spiced flavoured flavored schnapp soda zest peel
  tonic oleo powder powdered vinegar shrub milk sorbet puree nectar wine beer cider brandy tincture cola tea
  coffee foam concentrate acid adjusted clarified washed salted smoked sweetened unsweetened dry sweet
  solution saline jam marmalade sherbet float essence extract water alcohol free zero`.split(/\s+/),
);

interface Phrase extends NameWords {
  joined: string;
  runs: Set<string>;
  /** The most that having the same words as this phrase can score. */
  most: number;
}

interface Entry {
  ingredient: Ingredient;
  phrases: Phrase[];
}

interface Prepared {
  ingredients: readonly Ingredient[];
  entries: Entry[];
  /** Word → how telling it is: rare words weigh more. */
  weight: Map<string, number>;
  runs: Map<string, Set<string>>;
}

/** A pantry prepared for comparing, with what one text has asked so far. */
export interface PantryIndex extends Prepared {
  /** Text → match, so that repeated lines cost nothing. */
  seen: Map<string, Match>;
  respelling: Map<string, { word: string; likeness: number } | null>;
}

function toPhrase(text: string, most = EXACT_SCORE): Phrase {
  const words = readName(text);
  const joined = words.tokens.join("");
  return { ...words, joined, runs: trigrams(joined), most };
}

/** "Gin (43 % vol)" shortened to "Gin": it still states its strength, and other words left out count. */
function shortName(name: string): Phrase {
  const whole = readName(name);
  const short = toPhrase(name.replace(/\([^)]*\)/gu, " "));
  const most = whole.tokens.length > short.tokens.length ? BEST_INEXACT : EXACT_SCORE;
  return { ...short, hints: whole.hints, most };
}

/** Ids are made for telling entries apart, so only a one-word id ("gin") is what people call the thing. */
function idPhrase(id: string): Phrase {
  return toPhrase(id.replaceAll("-", " "), id.includes("-") ? BEST_INEXACT : EXACT_SCORE);
}

function prepare(ingredients: readonly Ingredient[]): Prepared {
  const entries = ingredients.map((ingredient) => ({
    ingredient,
    phrases: [
      toPhrase(ingredient.name),
      shortName(ingredient.name),
      ...ingredient.aliases.map((alias) => toPhrase(alias)),
      idPhrase(ingredient.id),
    ].filter((p) => p.tokens.length > 0),
  }));
  const count = new Map<string, number>();
  for (const { phrases } of entries) {
    for (const t of new Set(phrases.flatMap((p) => p.tokens))) count.set(t, (count.get(t) ?? 0) + 1);
  }
  const weight = new Map([...count].map(([t, n]) => [t, Math.log(1 + entries.length / n)]));
  const runs = new Map([...count.keys()].map((t) => [t, trigrams(t)]));
  return { ingredients, entries, weight, runs };
}

const prepared = new WeakMap<Pantry, Prepared>();

/** The pantry's names prepared for comparing. Kept per pantry while its ingredients are the same objects. */
export function indexPantry(pantry: Pantry): PantryIndex {
  const ingredients = [...pantry.values()];
  let ready = prepared.get(pantry);
  const current =
    ready?.ingredients.length === ingredients.length &&
    ready.ingredients.every((x, i) => x === ingredients[i]);
  if (!ready || !current) {
    ready = prepare(ingredients);
    prepared.set(pantry, ready);
  }
  return { ...ready, seen: new Map(), respelling: new Map() };
}

/** The pantry word a misspelt one most likely stands for, or null. Ties go to the alphabet. */
function respell(token: string, index: PantryIndex): { word: string; likeness: number } | null {
  const known = index.respelling.get(token);
  if (known !== undefined) return known;
  let best: { word: string; likeness: number } | null = null;
  if (token.length >= 4 && !/\d/u.test(token)) {
    const own = trigrams(token);
    for (const [word, runs] of index.runs) {
      if (word.length < 4 || Math.abs(word.length - token.length) > 2) continue;
      const likeness = trigramLikeness(own, runs);
      if (likeness < LEAST_LIKENESS) continue;
      if (!best || likeness > best.likeness || (likeness === best.likeness && word < best.word)) {
        best = { word, likeness };
      }
    }
  }
  index.respelling.set(token, best);
  return best;
}

interface Query extends Omit<Phrase, "most"> {
  /** Pantry words standing for the text's, with how sure each is. */
  known: Map<string, number>;
  unknown: string[];
}

interface PhraseScore {
  score: number;
  /** Every word that counts is the same; only words that change nothing are left over. */
  sameWords: boolean;
  /** Every word of the text that counts is in the phrase. */
  holdsAll: boolean;
}

function phraseScore(
  query: Query,
  phrase: Phrase,
  index: PantryIndex,
  skip: ReadonlySet<string>,
): PhraseScore {
  const weightOf = (t: string) => index.weight.get(t) ?? 0;
  let common = 0;
  let asked = 0;
  let offered = 0;
  let sameWords = true;
  let holdsAll = true;
  let idle = query.unknown.length;
  for (const [token, sure] of query.known) {
    if (skip.has(token)) continue;
    if (phrase.tokens.includes(token)) {
      common += sure * weightOf(token);
      asked += weightOf(token);
      if (sure < 1) sameWords = false;
    } else if (SOFT_WORDS.has(token)) idle += 1;
    else {
      asked += weightOf(token);
      sameWords = false;
      holdsAll = false;
    }
  }
  // "limejuice": the same letters, spaced otherwise.
  if (query.joined.length > 4 && query.joined === phrase.joined && common === 0) {
    return { score: BEST_INEXACT, sameWords: true, holdsAll: true };
  }
  if (common === 0) return { score: 0, sameWords: false, holdsAll: false };
  for (const token of phrase.tokens) {
    if (skip.has(token)) continue;
    offered += weightOf(token);
    if (!query.known.has(token)) sameWords = false;
  }
  const factor = UNKNOWN_WORD_FACTOR ** idle;
  if (sameWords) {
    const stated = phrase.hints.ratio !== null || phrase.hints.abvPercent !== null;
    const { ratio, abvPercent, minAbvPercent } = query.hints;
    const asksStrength = ratio !== null || abvPercent !== null || minAbvPercent !== null;
    const exact = Math.min(phrase.most, stated && !asksStrength ? EXACT_BUT_FOR_STRENGTH : EXACT_SCORE);
    return { score: factor * exact, sameWords, holdsAll };
  }
  const dice = (2 * common) / (asked + offered);
  const tieBreak = 0.02 * trigramLikeness(query.runs, phrase.runs);
  return { score: factor * Math.min(BEST_INEXACT, 0.98 * dice + tieBreak), sameWords, holdsAll };
}

const RICH = new Set(["rich"]);
const NONE: ReadonlySet<string> = new Set();

/** Sugar over water of "2:1" or "1:1 v/v"; NaN for "pure", which agrees with no ratio. */
function ratioNumber(ratio: string): number {
  const [a, b] = ratio.split(":");
  return Number(a) / Number.parseFloat(b ?? "");
}

/** The stated strength, when it is this ingredient's, makes up for words its name has and the text lacks. */
function withRightStrength(score: number, ingredient: Ingredient, hints: Hints): number {
  const abv = ingredient.abvPercent.value;
  const right =
    hints.abvPercent !== null && abv > 0 && Math.abs(hints.abvPercent - abv) <= SAME_STRENGTH_PERCENT;
  return right ? score + RIGHT_STRENGTH_SHARE * Math.max(0, BEST_INEXACT - score) : score;
}

/** How well the ingredient's own strength agrees with what the text says: a factor on its score. */
function strengthFactor(ingredient: Ingredient, hints: Hints): number {
  let factor = 1;
  const abv = ingredient.abvPercent.value;
  if (hints.abvPercent !== null && abv > 0) {
    const off = Math.abs(hints.abvPercent - abv);
    if (off > SAME_STRENGTH_PERCENT) factor *= Math.max(0.5, 1 - off / 30);
  }
  if (hints.minAbvPercent !== null && abv > 0 && abv < hints.minAbvPercent) factor *= 0.7;
  if (hints.ratio !== null || hints.rich) {
    if (!ingredient.syrup) factor *= hints.ratio === null ? 1 : RATIO_ON_NO_SYRUP_FACTOR;
    else {
      const own = ratioNumber(ingredient.syrup.ratio);
      const agrees =
        hints.ratio === null ? own >= 1.5 : Math.abs(own - ratioNumber(hints.ratio)) < 0.05 * own;
      if (!agrees) factor *= WRONG_RATIO_FACTOR;
    }
  }
  return factor;
}

/** Compare a name with the whole pantry. Deterministic; equal scores are ordered by id. */
export function matchName(text: string, index: PantryIndex): Match {
  const before = index.seen.get(text);
  if (before) return before;
  const words = readName(text);
  const joined = words.tokens.join("");
  const query: Query = { ...words, joined, runs: trigrams(joined), known: new Map(), unknown: [] };
  const respelt: string[] = [];
  const standsFor = new Map<string, string>();
  for (const token of words.tokens) {
    if (index.weight.has(token)) {
      query.known.set(token, 1);
      continue;
    }
    const near = respell(token, index);
    if (near && !query.known.has(near.word)) {
      query.known.set(near.word, near.likeness);
      standsFor.set(token, near.word);
    } else query.unknown.push(token);
  }
  const { hints } = words;
  const strengthAsked = hints.ratio !== null || hints.rich;
  const candidates: Candidate[] = [];
  const best = { score: 0, words: new Set<string>(), joined: "", sameWords: false };
  for (const { ingredient, phrases } of index.entries) {
    const family = strengthAsked ? ingredient.syrup?.family : undefined;
    const skip = family === undefined ? NONE : RICH;
    let score = 0;
    let sameWords = false;
    let spelled = "";
    const consider = (phrase: Phrase, most: number) => {
      const read = phraseScore(query, phrase, index, skip);
      if (read.holdsAll) read.score = withRightStrength(read.score, ingredient, hints);
      if (Math.min(most, read.score) <= score) return;
      score = Math.min(most, read.score);
      sameWords = read.sameWords;
      spelled = phrase.joined;
    };
    for (const phrase of phrases) consider(phrase, EXACT_SCORE);
    // A stated ratio chooses within the syrup's family, whichever member the words name.
    for (const other of family === undefined ? [] : index.entries) {
      if (other.ingredient.syrup?.family !== family) continue;
      for (const phrase of other.phrases) consider(phrase, BEST_INEXACT);
    }
    score *= strengthFactor(ingredient, hints);
    if (score < LOWEST_SCORE) continue;
    candidates.push({ ingredient: ingredient.id, name: ingredient.name, score: Number(score.toFixed(4)) });
    if (score > best.score) {
      const relatives = index.entries.filter(
        (e) => family !== undefined && e.ingredient.syrup?.family === family,
      );
      const own = [...phrases, ...relatives.flatMap((e) => e.phrases)].flatMap((p) => p.tokens);
      Object.assign(best, { score, words: new Set([...own, ...skip]), joined: spelled, sameWords });
    }
  }
  candidates.sort((a, b) => b.score - a.score || (a.ingredient < b.ingredient ? -1 : 1));
  const sameLetters = best.joined === joined;
  const unusedWords = sameLetters ? [] : words.tokens.filter((t) => !best.words.has(standsFor.get(t) ?? t));
  for (const [token, word] of sameLetters ? [] : standsFor) {
    if (best.words.has(word)) respelt.push(`“${token}” read as “${word}”`);
  }
  const match: Match = {
    candidates,
    unusedWords,
    weightyWords: unusedWords.filter((t) => !SOFT_WORDS.has(t) && (KIND_WORDS.has(t) || index.weight.has(t))),
    respelt,
    sameWords: best.sameWords,
    hints,
  };
  index.seen.set(text, match);
  return match;
}

/** Pantry ingredients that the text may name, best first. Empty when nothing is alike. Never throws. */
export function matchIngredient(text: string, pantry: Pantry): Candidate[] {
  return matchName(text, indexPantry(pantry)).candidates;
}
