/** Printable ASCII with single spaces and none at the ends: nothing to do. */
const PLAIN = /^(?! )(?:[!-~]| (?! ))*$(?<! )/;

/**
 * One spelling for fractions, spaces, dashes and the ratio sign; lengths may change. Signs of fractions are set
 * apart before the compatibility fold spells them out, which would otherwise turn "2½" into "21⁄2".
 */
export function normaliseText(text: string): string {
  if (PLAIN.test(text)) return text;
  return text
    .replace(/[¼½¾⅐-⅞]/gu, " $& ")
    .replace(/(\d)([⁰¹²³⁴-⁹]+[⁄/∕])/gu, "$1 $2")
    .normalize("NFKC")
    .replace(/[⁄∕]/gu, "/")
    .replace(/[∶ː]/gu, ":")
    .replace(/℥/gu, " oz ")
    .replace(/[‐-―−]/gu, "-")
    .replace(/[\p{Zs}\t]+/gu, " ")
    .trim();
}
