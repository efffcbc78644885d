/*
 * Amounts that people say instead of measuring. Common practice, no published source: sizes are ours, wide on
 * purpose, and every line read so says which size was taken.
 */

/** A size a word stands for: mL and standard uncertainty. */
export interface Dose {
  ml: number;
  sdMl: number;
}

/** A splash is a quick pour from the bottle: from a bar spoon to most of an ounce. */
const SPLASH: Dose = { ml: 10, sdMl: 5 };
/** What a hand presses from a wedge of lime or lemon. */
const SQUEEZE: Dose = { ml: 5, sdMl: 2.5 };
/** What stays on the wall of a glass that was wetted and emptied. */
export const RINSE: Dose = { ml: 1.5, sdMl: 1 };
/** A few presses of an atomiser. */
export const SPRAY: Dose = { ml: 0.5, sdMl: 0.3 };
/** A float poured over the back of a spoon: a quarter to half an ounce, sometimes more. */
export const FLOAT: Dose = { ml: 15, sdMl: 5 };

/** Words that stand for a size, folded. */
export const DOSES: ReadonlyMap<string, Dose> = new Map([
  ["splash", SPLASH],
  ["splashes", SPLASH],
  ["squeeze", SQUEEZE],
  ["squirt", SQUEEZE],
  ["rinse", RINSE],
  ["spray", SPRAY],
  ["spritz", SPRAY],
  ["mist", SPRAY],
]);

/** "A few dashes", "a couple of drops": how many, and how far that may be out. */
export const COUNTS: ReadonlyMap<string, { count: number; sd: number }> = new Map([
  ["few", { count: 3, sd: 1 }],
  ["couple", { count: 2, sd: 0.5 }],
  ["several", { count: 4, sd: 1.5 }],
  ["some", { count: 3, sd: 1.5 }],
]);

/** Wedges a fruit is cut into. */
export const WEDGES_A_FRUIT = 8;
/** How far the juice that muddling presses from a wedge may be from its share of the fruit's, percent. */
export const WEDGE_SD_PERCENT = 40;
