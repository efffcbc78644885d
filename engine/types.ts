/**
 * Shared shapes of the engine. Types only.
 *
 * Conventions: volumes are mL at 20 °C as poured; "per 100 mL" means per 100 mL of the
 * substance named; sugar is the sum of the sugars in grams; acid is titratable acidity
 * as anhydrous citric acid, converted by milliequivalents; alcohol is % vol at 20 °C.
 */

/** Rounds of one drink. */
export type * from "./bench/types.ts";
/** Units, the sizes the user gives them, and pour ladders. */
export type * from "./types/amounts.ts";
/** Ingredients: what they hold, with a source for each value. */
export type * from "./types/pantry.ts";
/** Where a finished drink sits, how sure that is, and why. */
export type * from "./types/place.ts";
/** What `reference-data/load.ts` fills. */
export type * from "./types/reference-data.ts";
/** What the solver may do, what it proposes, and what proves it. */
export type * from "./types/solve.ts";
/** A drink as it is written: lines, method, ice. */
export type * from "./types/spec.ts";
/** Regions of the space and where a point stands to them. */
export type * from "./types/targets.ts";
/** The rounds' path through the space. */
export type * from "./types/trail.ts";
