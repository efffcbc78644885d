import type * as z from "zod/mini";
import type { METHOD_IDS, SERVING_ICE_IDS, STAGE_IDS } from "../ids.ts";
import type { ICE_CONDITIONS } from "../limits.ts";
import type { calibrationShape, dilutionShape, specLineShape, specShape } from "../shapes/spec.ts";

export type Method = (typeof METHOD_IDS)[number];

/** When a line goes in: mixed with ice, or added after it and taking no melt water. */
export type Stage = (typeof STAGE_IDS)[number];

/** One line of a spec. */
export type SpecLine = z.infer<typeof specLineShape>;

/** How the water from ice is found. Default: `{ model: "regression" }`. */
export type DilutionChoice = z.infer<typeof dilutionShape>;

/** Learned from the user's measured rounds: multiplies the model's water. */
export type Calibration = z.infer<typeof calibrationShape>;

/** What the ice balance rests on. */
export type IceConditions = { -readonly [Condition in keyof typeof ICE_CONDITIONS]: number };

/** Ice in the glass a drink is served in. */
export type ServingIce = (typeof SERVING_ICE_IDS)[number];

/** A drink as it is written. */
export type Spec = z.infer<typeof specShape>;
