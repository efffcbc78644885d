import { UNIT_IDS } from "../ids.ts";
import type { UnitId } from "../types.ts";
import { isDigit, letterEnd } from "./text-at.ts";

/** What a unit word stands for: "dl" is 100 of `ml`. */
export interface UnitWord {
  unit: UnitId;
  factor: number;
}

/**
 * Spellings in English, German, French, Spanish, Italian and Portuguese specs: lower case, full stops left
 * out, one space for a space or hyphen. "(s)" stands for both numbers.
 */
const SPELLINGS: Readonly<Record<UnitId, string>> = {
  "imperial-oz":
    "imp oz|imp ounce(s)|imp fl oz|imp fluid oz|imp fluid ounce(s)|imperial oz|imperial ounce(s)|imperial fl oz|imperial fluid ounce(s)|uk oz|uk fl oz|uk ounce(s)|british oz|british fl oz",
  oz: "oz(s)|ounce(s)|onza(s)|unze|unzen|once(s)|oncia|fl|fl oz(s)|fluid oz|fluid ounce(s)|fl ounce(s)|us oz|us fl oz|us fluid ounce(s)|us ounce(s)",
  ml: "ml(s)|milliliter(s)|millilitre(s)|millilitro(s)|millilitri|mililitro(s)|mililiter(s)|mil(s)|cc|c c",
  cl: "cl(s)|centiliter(s)|centilitre(s)|centilitro(s)|centilitri",
  barspoon:
    "barspoon(s)|barspoonful(s)|bar spoon(s)|bar spoonful(s)|bar sp|barsp|bsp(s)|bspn(s)|bs|barlöffel|barloeffel|bl|cuillère(s) de bar|cuillere(s) de bar|cuchara(s) de bar|cucharada(s) de bar|cucharilla(s)|colher bailarina|colheres bailarinas",
  tsp: "tsp(s)|teasp|teaspoon(s)|teaspoonful(s)|tea spoon(s)|tl|teelöffel|teeloeffel|cuillère(s) à café|cuillere(s) a cafe|càc|c à c|cac|c a c|cucharadita(s)|cucchiaino|cucchiaini|colher de chá|colheres de chá|colher de cha|colheres de cha",
  tbsp: "tbsp(s)|tblsp(s)|tbs|tbl|tablespoon(s)|tablespoonful(s)|table spoon(s)|el|esslöffel|essloeffel|cuillère(s) à soupe|cuillere(s) a soupe|càs|c à s|c a s|cucharada(s)|cucchiaio|cucchiai|colher de sopa|colheres de sopa",
  dash: "dash|dashes|dashs|ds|dsh|spritzer|trait(s)|golpe(s)",
  drop: "drop(s)|tropfen|goutte(s)|gota(s)|goccia|gocce",
  part: "part(s)|teil|teile|parte|partes|parti|measure(s)",
  g: "g|gr|gm(s)|gram(s)|gramme(s)|gramm|gramo(s)|grammo|grammi",
  piece: "piece(s)|pc(s)|whole|stück|stueck|pièce(s)",
};
/** The same of what is so many of a unit. */
const MULTIPLES: readonly [factor: number, UnitId, spellings: string][] = [
  [100, "ml", "dl|deciliter(s)|decilitre(s)|decilitro(s)|decilitri"],
  [1000, "ml", "l|liter(s)|litre(s)|litro(s)|litri"],
  [8, "oz", "cup(s)"],
  [1000, "g", "kg|kilo(s)|kilogram(s)|kilogramme(s)"],
  [0.001, "g", "mg|milligram(s)|milligramme(s)"],
];

/** First word → what may follow it (the longest first), with the unit; "" for the word alone. */
const BY_FIRST_WORD = new Map<string, [rest: string, word: UnitWord][]>();
const addSpellings = (factor: number, unit: UnitId, spellings: string) => {
  for (const spelling of spellings.split("|")) {
    for (const plural of spelling.includes("(s)") ? ["", "s"] : [""]) {
      const [first = "", ...rest] = spelling.replaceAll("(s)", plural).split(" ");
      const known = BY_FIRST_WORD.get(first) ?? [];
      known.push([rest.join(" "), { unit, factor }]);
      known.sort(([a], [b]) => b.length - a.length);
      BY_FIRST_WORD.set(first, known);
    }
  }
};
for (const unit of UNIT_IDS) addSpellings(1, unit, SPELLINGS[unit]);
for (const multiple of MULTIPLES) addSpellings(...multiple);

/** Words that are a unit by themselves and begin no other's spelling; not pieces, which are sizes of what follows. */
const ALONE = new Map<string, UnitWord>();
for (const [first, [only, ...others]] of BY_FIRST_WORD) {
  if (only?.[0] === "" && others.length === 0 && only[1].unit !== "piece") ALONE.set(first, only[1]);
}

/** The unit that a word is whatever follows it, in either case: "ml", not "bar" and not "fl". */
export const plainUnit = (word: string): UnitWord | undefined =>
  ALONE.get(word) ?? ALONE.get(word.toLowerCase());

/** End of `words` at `at`, each after a space or hyphen and perhaps with a full stop; −1 when not there. */
function endOf(words: string, text: string, at: number): number {
  let end = at;
  for (const word of words.split(" ")) {
    if (text[end] === ".") end += 1;
    if (text[end] === " " || text[end] === "-") end += 1;
    if (!text.startsWith(word, end)) return -1;
    end += word.length;
    if (letterEnd(text, end) > end) return -1;
  }
  return end;
}

/** "2d bitters": one letter for dashes, right behind the number; "2 d'ananas" has an article. */
const BEHIND_NUMBER = /^\dd $/;

/**
 * The unit that starts at `at` of normalised lower-case text, and where it ends (its full stop included);
 * null when no unit word stands there. Never throws.
 */
export function unitAt(text: string, at: number): (UnitWord & { end: number }) | null {
  const first = letterEnd(text, at);
  if (first === at) return null;
  if (BEHIND_NUMBER.test(text.slice(at - 1, first + 1))) return { unit: "dash", factor: 1, end: first };
  for (const [rest, word] of BY_FIRST_WORD.get(text.slice(at, first)) ?? []) {
    const end = rest === "" ? first : endOf(rest, text, first);
    if (end < 0) continue;
    // A digit may not follow: "g2" is no gram.
    if (isDigit(text.charCodeAt(end))) continue;
    const stops = text[end] === "." && !/^\.\d/.test(text.slice(end, end + 2));
    return { unit: word.unit, factor: word.factor, end: stops ? end + 1 : end };
  }
  return null;
}
