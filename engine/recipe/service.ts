import type { Method, ServingIce } from "../types.ts";
import type { Token } from "./tokens.ts";
import { wordSet } from "./vocabulary.ts";

/*
 * Texts are put in lower case first and the patterns keep to it: a pattern that ignores case over all of Unicode
 * takes ten times as long wherever it asks for the edge of a word.
 */

/** "Stirred, not shaken": what is denied is taken out before looking. */
const DENIED =
  /\b(?:do not|don['’]?t|not|never|without|no)\s+(?:shak\p{L}*|stir\p{L}*|blend\p{L}*|throw\p{L}*|build\p{L}*)/gu;

/**
 * In order of precedence: a drink shaken and then stirred with soda, or shaken and poured over
 * crushed ice, takes its water from the shake.
 */
const METHOD_WORDS: [Method, RegExp][] = [
  ["carbonated", /\b(?:force[- ]?)?carbonate\b|\bcarbonation\b|\bsiphon\b/],
  ["blended", /\bblend(?:er|ed|ing)?\b(?! (?:scotch|whisk|rum|aged|of\b))/],
  [
    "shaken",
    /\bsh(?:ake|aken|akes|aking|ook)\b|schüttel|geschüttelt|\bagit(?:er|ez|ar|are|a|e)\b|\bsecou|\bshaker(?:are|a|ato)\b|\bfrapper\b/,
  ],
  ["thrown", /\bthrow(?:n|ing)?\b(?! (?:away|out))/],
  [
    "crushed",
    /\bswizzl|\bchurn|\bcrushed[- ]ice\b|\bcrushed eis\b|\bglace pil[ée]e\b|\bhielo (?:picado|frapp[ée])/,
  ],
  [
    "built",
    /\bbuil[dt]\b|\bbuilding\b|\bim glas bauen\b|\bdirect(?:ement)? (?:au|dans le) verre\b|\bdirecto\b/,
  ],
  ["stirred", /\bstir(?:red|ring|s)?\b|\brühr|\bgerührt\b|\bremue[rz]\b|\bremover\b|\bmescola/],
  ["none", /\b(?:no dilution|undiluted|without ice|no ice|room[- ]temperature)\b/],
  ["shaken", /\bshaker\b|\bshaking tin\b|\bcoctelera\b/],
  ["stirred", /\bmixing glass\b|\brührglas\b|\bverre à mélange\b/],
];

/** What goes with building more often than not, and does not say it. */
const AS_IF_BUILT = /\b(?:over|with) (?:cubed |fresh |large )?ice\b|\bmuddle/;

/** All of them at once: most texts that are no step name none. */
const ANY_METHOD = new RegExp(METHOD_WORDS.map(([, words]) => words.source).join("|"));

/** The mixing method a text describes, or null when it names none. */
export function detectMethod(text: string): Method | null {
  const lower = text.toLowerCase();
  if (!ANY_METHOD.test(lower)) return null;
  const said = lower.replace(DENIED, " ");
  return METHOD_WORDS.find(([, words]) => words.test(said))?.[0] ?? null;
}

/** The method a text that names none makes likely, or null. */
export function hintedMethod(text: string): Method | null {
  return AS_IF_BUILT.test(text.toLowerCase()) ? "built" : null;
}

/** Glasses by the words for them; ids of the glass table. What has no agreed size ("cocktail glass") is not read. */
const GLASS_WORDS: [string, RegExp][] = [
  ["double-rocks", /\bdouble (?:rocks|old[- ]?fashioned)\b|\bdof\b/],
  ["rocks", /\brocks glass|\bold[- ]?fashioned\b|\blow ?ball\b|^rocks$/m],
  ["highball", /\bhigh ?ball\b|\bcollins\b|\blong ?drink ?glas|\btall glass\b/],
  ["flute", /\bflutes?\b|\bsektglas\b/],
  ["coupe", /\bcoup(?:e|es|ette)\b|\bcocktailschale\b/],
  ["wine-glass", /\bwine ?glass|\bweinglas|\bcopa de vino\b|\bverre à vin\b/],
  ["tumbler-large", /\blarge tumbler\b/],
];

/** All of them at once, a group each, so that a text is searched once. */
const ANY_GLASS = new RegExp(GLASS_WORDS.map(([, words]) => `(${words.source})`).join("|"), "m");

/** The glass a text serves in, or null when it names none that we know; the first named if several. */
export function detectGlass(text: string): string | null {
  const found = ANY_GLASS.exec(text.toLowerCase());
  return (found && GLASS_WORDS[found.indexOf(found[0], 1) - 1]?.[0]) ?? null;
}

/** What is in the glass with the drink, in order of precedence. */
const SERVING_ICE_WORDS: [ServingIce, RegExp][] = [
  ["crushed", /\b(?:over|with|on|of) crushed[- ]ice\b|^crushed[- ]ice$/m],
  ["rock", /\b(?:large|big|one|single) (?:ice )?(?:cube|rock)\b/],
  ["cubes", /\bover (?:fresh |cubed )?ice\b|\bon (?:the rocks|ice)\b|\bice-filled\b/],
  ["none", /\bno ice\b|\bwithout ice\b|\bneat\b/],
];

/** The ice a text serves the drink on, or null when it does not say; ice that it is shaken with does not count. */
export function detectServingIce(text: string): ServingIce | null {
  const lower = text.toLowerCase();
  if (!/ice|rock|cube|neat/.test(lower)) return null;
  const served = lower.replace(/\b(?:shake|stir)\w*(?: \w+)? (?:with|over) (?:crushed )?ice\b/g, " ");
  return SERVING_ICE_WORDS.find(([, words]) => words.test(served))?.[0] ?? null;
}

const SERVICE = wordSet(`
  coupe rocks highball collins flute glass cocktail martini wine up neat tall ice crushed cubed over on the in a an
  with lot lots of chilled double old fashioned large big cube shaken stirred built blended thrown swizzled dry hard
  fine strained served straight longdrinkglas tumbler mug into and no long then hot shake stir build blend swizzle`);
/** Words of which a piece about serving has one at least. */
export const SERVICE_CORE = wordSet(
  "coupe rocks highball collins flute glass up neat tall shaken stirred built blended thrown swizzled longdrinkglas tumbler mug ice shake stir build swizzle blend",
);

/** Words about how it is mixed or what it is served in, and nothing else: "coupe", "stirred, up", "wine glass with ice". */
export function isService(tokens: readonly Token[]): boolean {
  let core = false;
  for (const t of tokens) {
    if (t.kind === "amount" && t.pour && !t.quantity.spelled) return false;
    if (t.kind !== "word") continue;
    if (!SERVICE.has(t.word)) return false;
    core ||= SERVICE_CORE.has(t.word);
  }
  return core;
}
