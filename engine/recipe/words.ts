import { normaliseText } from "../amounts/parse-quantity.ts";

/** What a name says about strength, apart from its words. */
export interface Hints {
  /** "2:1": sugar to water, as written. */
  ratio: string | null;
  /** "rich" without a ratio: thicker than 1:1. */
  rich: boolean;
  /** % vol, from "40 %" or "80 proof" (US proof is twice the % vol). */
  abvPercent: number | null;
  /** "overproof", "cask strength": at least this. */
  minAbvPercent: number | null;
}

export interface NameWords {
  tokens: string[];
  hints: Hints;
}

/** Words that describe without changing sugar, acid or alcohol; they never decide a match. */
const STOP_WORDS = new Set(
  `fresh freshly squeezed pressed juiced strained chilled cold iced homemade house housemade home made
  organic good quality premium best of the a an and your favourite favorite preferably optional
  natural local ripe medium large small big pasteurised pasteurized filtered with style some more extra
  de du des del da do di la le el il von frisch frischer frischgepresst frais fraîchement pressé fresco
  fresca recién exprimido spremuto approx approximately about each total plus vol abv alc proof`
    .split(/\s+/)
    .map(foldWord),
);

const WORD_NUMBERS: Record<string, string> = { one: "1", two: "2", three: "3", four: "4", equal: "1" };

/** Lower case without accents and apostrophes, English plural taken off. */
function foldWord(word: string): string {
  const bare = word
    .toLowerCase()
    .normalize("NFKD")
    .replace(/[\p{M}'’]/gu, "");
  if (bare.length > 4 && bare.endsWith("ies")) return `${bare.slice(0, -3)}y`;
  if (bare.length > 3 && /[^sui]s$/u.test(bare)) return bare.slice(0, -1);
  return bare;
}

/** At most this many words of a name are looked at; nobody writes a longer ingredient. */
const MAX_TOKENS = 24;

/** Split a name into comparable words and what it says about ratio and strength. */
export function readName(text: string): NameWords {
  const hints: Hints = { ratio: null, rich: false, abvPercent: null, minAbvPercent: null };
  const keepStrength = (x: number) => {
    if (x > 0 && x < 97) hints.abvPercent ??= x;
    return " ";
  };
  const left = normaliseText(text)
    .toLowerCase()
    .replace(/\b(one|two|three|four)[- ]to[- ](one|two|three|four)\b/gu, (_, a: string, b: string) => {
      return `${WORD_NUMBERS[a]}:${WORD_NUMBERS[b]}`;
    })
    .replace(/\b(\d) parts? \p{L}+(?: to| and|,|:)? (\d) parts? (?:of )?water\b/gu, "$1:$2")
    .replace(/(?<![\d.,])(\d(?:[.,]5)?) ?(?::|-?to-?|\/) ?(\d)(?![\d.,]|\/)/gu, (_, a: string, b: string) => {
      hints.ratio ??= `${a.replace(",", ".")}:${b}`;
      return " ";
    })
    .replace(/\bover[- ]proof\b/gu, "overproof")
    .replace(/\b100 ?%/gu, " pure ")
    .replace(/\b\d{1,3} ?-?(?:y\.?o\.?|yrs?|years?|jahre|ans|años|anni)\b\.?(?:[ -]old\b)?/gu, " ")
    .replace(/\b(\d{2,3}(?:[.,]\d+)?)[ -]?(?:°|degrees?)? ?(?:proof|prf)\b/gu, (_, x: string) =>
      keepStrength(Number(x.replace(",", ".")) / 2),
    )
    .replace(/(\d{1,3}(?:[.,]\d+)?) ?(?:%|percent\b|per cent\b|º|°(?! ?(?:bx|brix)))/gu, (_, x: string) =>
      keepStrength(Number(x.replace(",", "."))),
    );
  if (/\boverproof\b|\b(?:cask|barrel|full)[- ](?:strength|proof)\b/u.test(left)) hints.minAbvPercent = 50;
  if (/\bnavy[- ]strength\b/u.test(left)) hints.minAbvPercent = 54;
  const tokens: string[] = [];
  for (const word of left.match(/[\p{L}\p{M}\p{N}'’]+/gu) ?? []) {
    const token = foldWord(word);
    if (token === "rich") hints.rich = true;
    if (token !== "" && !STOP_WORDS.has(token) && !tokens.includes(token)) tokens.push(token);
    if (tokens.length === MAX_TOKENS) break;
  }
  return { tokens, hints };
}

/** Share of three-letter runs two texts have in common (Dice), 0 to 1. */
export function trigramLikeness(x: ReadonlySet<string>, y: ReadonlySet<string>): number {
  let common = 0;
  for (const t of x) if (y.has(t)) common += 1;
  return x.size + y.size === 0 ? 0 : (2 * common) / (x.size + y.size);
}

/** The three-letter runs of a text, its ends marked. */
export function trigrams(text: string): Set<string> {
  const padded = `  ${text} `;
  const out = new Set<string>();
  for (let i = 0; i + 3 <= padded.length; i += 1) out.add(padded.slice(i, i + 3));
  return out;
}
