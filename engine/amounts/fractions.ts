/** The fractions that have a sign of their own, spelled out ("3/4") and as a number. */
export const FRACTIONS = [..."¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"].map((sign) => {
  const spelled = sign.normalize("NFKC").replace("⁄", "/");
  const [top = 0, bottom = 1] = spelled.split("/").map(Number);
  return { sign, spelled, value: top / bottom };
});
