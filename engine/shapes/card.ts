import * as z from "zod/mini";
import { CARD_FORM, type Doubted } from "../card/types.ts";
import { ALLERGEN_IDS, CAUTION_IDS, SERVING_ICE_IDS } from "../ids.ts";
import { LONGEST, MOST } from "../limits.ts";
import { list, text, unitSettingsShape } from "./amounts.ts";
import type { Shape } from "./check.ts";
import { ingredientShape } from "./ingredient.ts";
import { specShape } from "./spec.ts";

const figure = (description: string) => z.number().check(z.describe(description));
const doubted = (unit: string): Shape<Doubted> =>
  z.strictObject({ value: figure(unit), sd: figure(`Standard uncertainty, ${unit}.`) });

/** What the card shows beside the spec. Worked out when it was written; never read back. */
const shownShape = z.strictObject({
  lines: z.array(
    z.strictObject({
      name: z.string(),
      ml: figure("mL at 20 °C."),
      usFlOz: figure("US fluid ounces."),
    }),
  ),
  glass: z.nullable(z.string()),
  servedOn: z.enum(SERVING_ICE_IDS),
  finishedVolumeMl: doubted("mL"),
  abvPercent: doubted("% vol"),
  sugarGPer100Ml: doubted("g/100 mL"),
  acidGPer100Ml: doubted("g/100 mL, titratable, as citric acid"),
  standardDrinksUs: figure("US standard drinks (14 g of ethanol)."),
  energyKcal: figure("kcal."),
  allergens: z.array(z.enum(ALLERGEN_IDS)),
  cautions: z.array(z.enum(CAUTION_IDS)),
  /** In the currency of the prices; null without them. */
  cost: z.nullable(z.number()).check(z.describe("Cost of the pours, in the currency of the prices.")),
  price: z.nullable(z.number()).check(z.describe("Cost over the chosen pour cost.")),
});

/** A spec handed over: all that makes the same drink somewhere else, and what it comes to. */
export const cardShape = z.strictObject({
  form: z.literal(CARD_FORM),
  spec: specShape,
  garnish: z.exactOptional(text(LONGEST.label, "What goes on top.")),
  notes: z.exactOptional(text(LONGEST.note, "Free notes.")),
  /** Sizes of bar spoon, dash, drop and part where they are not the usual ones. */
  unitSettings: z.exactOptional(
    unitSettingsShape.check(z.describe("Sizes of bar spoon, dash, drop and part.")),
  ),
  /** Ingredients of one's own that it uses, whole. */
  ingredients: z.exactOptional(list(ingredientShape, MOST.lines, "Ingredients of one's own that it uses.")),
  shown: z.exactOptional(shownShape),
});
