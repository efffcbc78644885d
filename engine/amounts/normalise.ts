/** Fractions that have a sign, spelled out. */
export const GLYPHS: Readonly<Record<string, string>> = {
  "¼": "1/4",
  "½": "1/2",
  "¾": "3/4",
  "⅐": "1/7",
  "⅑": "1/9",
  "⅒": "1/10",
  "⅓": "1/3",
  "⅔": "2/3",
  "⅕": "1/5",
  "⅖": "2/5",
  "⅗": "3/5",
  "⅘": "4/5",
  "⅙": "1/6",
  "⅚": "5/6",
  "⅛": "1/8",
  "⅜": "3/8",
  "⅝": "5/8",
  "⅞": "7/8",
};

/** Printable ASCII with single spaces and none at the ends: nothing to do. */
const PLAIN = /^(?! )(?:[!-~]| (?! ))*$(?<! )/;

/**
 * One spelling for fractions, spaces, dashes and the ratio sign; lengths may change. Glyphs are spelled out
 * before the compatibility fold, which would otherwise turn "2½" into "21⁄2".
 */
export function normaliseText(text: string): string {
  if (PLAIN.test(text)) return text;
  return text
    .replace(/[¼½¾⅐-⅞]/gu, (g) => (GLYPHS[g] ? ` ${GLYPHS[g]} ` : g))
    .replace(/(\d)([⁰¹²³⁴-⁹]+[⁄/∕])/gu, "$1 $2")
    .normalize("NFKC")
    .replace(/[⁄∕]/gu, "/")
    .replace(/[∶ː]/gu, ":")
    .replace(/℥/gu, " oz ")
    .replace(/[‐-―−]/gu, "-")
    .replace(/[\p{Zs}\t]+/gu, " ")
    .trim();
}
