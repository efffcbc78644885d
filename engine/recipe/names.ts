import type { Token } from "./tokens.ts";
import { STOP_WORDS } from "./vocabulary.ts";

/** What a name says: the words that count, and strength or ratio apart from them. */
export interface NameWords {
  /** Folded, in order, each once, without words that never decide ("fresh"). */
  words: string[];
  /** "2:1": sugar to water, as written. */
  ratio: string | null;
  /** "40 %", "80 proof" (US proof is twice the % vol). */
  percent: number | null;
  /** Degrees Brix: g of sugar per 100 g. */
  brix: number | null;
  /** "rich" without a ratio: thicker than 1:1. */
  rich: boolean;
}

/** A strength this high is no strength but purity: "100 % agave", "100 % juice". */
const PURE_PERCENT = 97;
/** Spirits made of agave say so: it is no agave syrup. */
const AGAVE_SPIRITS = new Set(["tequila", "mezcal"]);

/** Read the tokens of a name. Marks and asides (an age, a time) say nothing about what it is. */
export function readName(tokens: readonly Token[]): NameWords {
  const out: NameWords = { words: [], ratio: null, percent: null, brix: null, rich: false };
  const { words } = out;
  let pure = false;
  for (const token of tokens) {
    if (token.kind === "word") {
      const { word } = token;
      // French puts the colour after the fruit: a green lemon is a lime.
      if (word === "vert" && words.at(-1) === "lemon") words[words.length - 1] = "lime";
      else if (word === "proof" && words.at(-1) === "over") words[words.length - 1] = "overproof";
      else if (!STOP_WORDS.has(word) && !words.includes(word)) words.push(word);
    } else if (token.kind === "ratio") out.ratio ??= token.ratio;
    else if (token.kind === "brix") out.brix ??= token.brix;
    else if (token.kind === "strength") {
      if (token.percent < PURE_PERCENT) out.percent ??= token.percent;
      else pure = true;
    } else if (token.kind === "amount" && token.quantity.unit === null && !token.quantity.spelled) {
      words.push(String(token.quantity.amount));
    }
  }
  if (pure) {
    const agave = words.some((w) => AGAVE_SPIRITS.has(w)) ? words.indexOf("agave") : -1;
    if (agave >= 0) words.splice(agave, 1);
    else if (!words.includes("pure")) words.push("pure");
  }
  out.rich = words.includes("rich");
  return out;
}

/** Sugar over water of "2:1" or "1:1 v/v"; NaN for "pure", which agrees with no ratio. */
export function ratioNumber(ratio: string): number {
  const [a, b] = ratio.split(":");
  return Number(a) / Number.parseFloat(b ?? "");
}
