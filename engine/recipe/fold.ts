import { remember } from "./remember.ts";

/** The same thing in other languages or spellings. Both the text and the pantry are folded so. */
const SYNONYMS: ReadonlyMap<string, string> = new Map(
  [
    ["juice", "saft jus zumo jugo succo suco"],
    ["lemon", "limon citron zitrone zitronen limoni limone citrus"],
    ["lime", "lima limette limetten"],
    ["orange", "naranja arancia arance orangen"],
    ["grapefruit", "pamplemousse pompelmo"],
    ["pineapple", "ananas pina abacaxi"],
    ["lemon juice", "zitronensaft"],
    ["lime juice", "limettensaft"],
    ["orange juice", "orangensaft"],
    ["pineapple juice", "ananassaft"],
    ["grapefruit juice", "grapefruitsaft"],
    ["syrup", "sirup sirop jarabe sciroppo xarope"],
    ["liqueur", "likor licor liquore"],
    ["vermouth", "vermut wermut"],
    ["vodka", "wodka"],
    ["brandy", "weinbrand"],
  ].flatMap(([english = "", others = ""]) => others.split(" ").map((word) => [word, english] as const)),
);

const kept = new Map<string, string>();

/**
 * A word for comparing: lower case, no accents or apostrophes, English plural taken off, other languages'
 * words for fruit, juice and syrup in English ("Zitronensaft" → "lemon juice", two words).
 */
export function foldWord(word: string): string {
  const known = kept.get(word);
  if (known !== undefined) return known;
  const whole = word
    .toLowerCase()
    .normalize("NFKD")
    .replace(/[\p{M}'’]/gu, "")
    .replaceAll("ß", "ss");
  let bare = whole;
  if (bare.length > 4 && bare.endsWith("ies")) bare = `${bare.slice(0, -3)}y`;
  else if (bare.length > 5 && /(?:sh|ch|x)es$/u.test(bare)) bare = bare.slice(0, -2);
  else if (bare.length > 3 && /[^sui]s$/u.test(bare)) bare = bare.slice(0, -1);
  return remember(kept, word, SYNONYMS.get(whole) ?? SYNONYMS.get(bare) ?? bare);
}

/** The three-letter runs of a text, its ends marked. */
export function trigrams(text: string): Set<string> {
  const padded = `  ${text} `;
  const out = new Set<string>();
  for (let i = 0; i + 3 <= padded.length; i += 1) out.add(padded.slice(i, i + 3));
  return out;
}

/** Share of three-letter runs two texts have in common (Dice), 0 to 1. */
export function trigramLikeness(x: ReadonlySet<string>, y: ReadonlySet<string>): number {
  let common = 0;
  for (const t of x) if (y.has(t)) common += 1;
  return x.size + y.size === 0 ? 0 : (2 * common) / (x.size + y.size);
}

/** The words of a text, folded. */
export function foldedWords(text: string): string[] {
  return text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean)
    .map(foldWord);
}
