import type { Method } from "../types.ts";

/** "Stirred, not shaken": what is denied is taken out before looking. */
const DENIED =
  /\b(?:do not|don['’]?t|not|never|without|no)\s+(?:shak\p{L}*|stir\p{L}*|blend\p{L}*|throw\p{L}*|build\p{L}*)/giu;

/**
 * In order of precedence: a drink shaken and then stirred with soda, or shaken and poured over
 * crushed ice, takes its water from the shake.
 */
const METHOD_WORDS: [Method, RegExp][] = [
  ["carbonated", /\b(?:force[- ]?)?carbonate\b|\bcarbonation\b|\bsiphon\b/iu],
  ["blended", /\bblend(?:er|ed|ing)?\b(?! (?:scotch|whisk|rum|aged|of\b))/iu],
  [
    "shaken",
    /\bsh(?:ake|aken|akes|aking|ook)\b|schüttel|geschüttelt|\bagit(?:er|ez|ar|are|a|e)\b|\bsecou|\bfrapper\b/iu,
  ],
  ["thrown", /\bthrow(?:n|ing)?\b(?! (?:away|out))/iu],
  [
    "crushed",
    /\bswizzl|\bchurn|\bcrushed[- ]ice\b|\bcrushed eis\b|\bglace pil[ée]e\b|\bhielo (?:picado|frapp[ée])/iu,
  ],
  [
    "built",
    /\bbuil[dt]\b|\bbuilding\b|\bim glas bauen\b|\bdirect(?:ement)? (?:au|dans le) verre\b|\bdirecto\b/iu,
  ],
  ["stirred", /\bstir(?:red|ring|s)?\b|\brühr|\bgerührt\b|\bremue[rz]\b|\bremover\b|\bmescola/iu],
  ["none", /\b(?:no dilution|undiluted|without ice|no ice|room[- ]temperature)\b/iu],
  ["shaken", /\bshaker\b|\bshaking tin\b|\bcoctelera\b/iu],
  ["stirred", /\bmixing glass\b|\brührglas\b|\bverre à mélange\b/iu],
  ["built", /\b(?:over|with) (?:cubed |fresh |large )?ice\b|\bmuddle/iu],
];

/** The mixing method a text describes, or null when it names none. */
export function detectMethod(text: string): Method | null {
  const said = text.replace(DENIED, " ");
  return METHOD_WORDS.find(([, words]) => words.test(said))?.[0] ?? null;
}
