import * as z from "zod/mini";
import { LONGEST, MOST_PRICE } from "../limits.ts";
import { text, unitSettingsShape, within } from "./amounts.ts";
import type { Shape } from "./check.ts";
import { calibrationShape } from "./spec.ts";
import { ladderChoiceShape, measuredShape, unitsShape } from "./view.ts";

/** Settings of the house by the first word of their name, which after a colon may name what they are for. */
const SETTINGS = {
  /** Units amounts are shown in. */
  units: unitsShape,
  /** The pour ladder. */
  ladder: ladderChoiceShape,
  /** Sizes of spoon, dash, drop and part. */
  "unit-sizes": z.partial(unitSettingsShape),
  /** `price:<ingredient>`: currency per litre. */
  price: within({ min: 0, max: MOST_PRICE }),
  /** `measured:<ingredient>`. */
  measured: measuredShape,
  /** `calibration:<method>`. */
  calibration: calibrationShape,
  /** `card:<bench>`: what its card says beside the spec. */
  card: z.strictObject({
    garnish: text(LONGEST.name),
    notes: z.nullable(text(LONGEST.note)).check(z.describe("Null: the notes of the round.")),
    pourCostPercent: z
      .nullable(within({ min: 0, max: 100 }))
      .check(z.describe("Part of the price that the pours cost, percent; null for no price.")),
  }),
};

/** The same, to be looked up by any word. */
export const SETTING_SHAPES: Readonly<Record<string, Shape>> = SETTINGS;

const { price, ...others } = SETTINGS;

/** A value of any setting. */
export const settingShape = z
  .union([price, ...Object.values(others)])
  .check(z.describe("In the form its name asks for; a number is a price, currency per litre."));
