import { z } from "zod";
import { ALLERGEN_IDS } from "../../engine/ids.ts";
import { LONGEST, MOST, MOST_VOLUME_ML } from "../../engine/limits.ts";
import { idShape, positive, text } from "../../engine/shapes/amounts.ts";
import { LadderInputSchema, UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { count, number } from "./number.ts";
import { PointSchema } from "./point.ts";
import { prepFrame } from "./prep.ts";
import { readFrame } from "./read.ts";
import { PricesSchema } from "./reference.ts";
import { SpecInputSchema } from "./spec.ts";

/** More variants of one drink than anyone keeps apart. */
const MOST_VARIANTS = 12;
/** Glasses set before tasters that one request counts. */
const MOST_SERVINGS = 240;

const settings = {
  unitSettings: UnitSettingsSchema.optional(),
  ingredients: OwnIngredientsSchema.optional(),
};

/** What every answer ends with: sentences, and what to know before anybody drinks. */
const frame = {
  allergens: z
    .array(z.enum(ALLERGEN_IDS))
    .meta({ description: "Known of what is poured; labels and kitchens may add others." }),
  ...prepFrame,
};

const of = { ingredient: z.string(), name: z.string() };

const GlassInputSchema = z
  .strictObject({ id: idShape.check(z.describe("Your id of it.")), spec: SpecInputSchema })
  .meta({ id: "GlassInput" });

const glasses = z.array(GlassInputSchema).min(1).max(MOST.rounds);

export const CostBodySchema = z
  .strictObject({
    glasses: glasses.meta({ description: "Each round mixed, once for each glass of it." }),
    pricePerLitre: PricesSchema,
    ...settings,
  })
  .meta({ id: "CostBody" });

const CostSchema = z
  .object({
    known: number("Of what has a price, in the currency of the prices."),
    unpriced: z.array(z.object(of)).meta({ description: "Poured without a price: the sum lacks these." }),
  })
  .meta({ id: "Cost" });

export const CostAnswerSchema = z
  .object({
    glasses: z.array(z.object({ id: z.string(), cost: CostSchema })),
    together: CostSchema,
    assumptions: readFrame.assumptions,
    ...frame,
  })
  .meta({ id: "CostAnswer" });

export const ShoppingBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    rounds: z.int().min(1).max(MOST.rounds).meta({ description: "Glasses to come like this one." }),
    bottleMl: z.optional(positive(MOST_VOLUME_ML).check(z.describe("mL of a bottle bought; default 700."))),
    ...settings,
  })
  .meta({ id: "ShoppingBody" });

export const NeedSchema = z
  .object({
    ...of,
    ml: number("mL for all the rounds together."),
    bottles: z.number().nullable().meta({
      description: "Bottles' worth, not rounded; null for what is not bought by the bottle.",
    }),
    pieces: z
      .object({
        usual: count("At a usual yield."),
        poor: z
          .int()
          .nullable()
          .meta({ description: "Enough in nine boxes of ten; null where it varies too much." }),
      })
      .nullable()
      .meta({ description: "Fruit or eggs; null where no yield is known." }),
  })
  .meta({ id: "Need" });

export const ShoppingAnswerSchema = z
  .object({ ...readFrame, needs: z.array(NeedSchema), ...frame })
  .meta({ id: "ShoppingAnswer" });

export const SmallPourBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    share: positive(1).check(z.describe("Part of the drink that is mixed: 0.5 is half.")),
    ladder: LadderInputSchema.optional(),
    ...settings,
  })
  .meta({ id: "SmallPourBody" });

export const SmallPourAnswerSchema = z
  .object({
    ...readFrame,
    point: PointSchema.meta({ description: "Of the small glass as poured." }),
    finishedVolumeMl: z.number(),
    drift: PointSchema.meta({ description: "What rounding to the ladder moved, axis by axis." }),
    heavy: z
      .array(z.object({ ...of, askedMl: z.number(), pouredMl: z.number() }))
      .meta({ description: "Of which the smallest measure is more than the share asks." }),
    ...frame,
  })
  .meta({ id: "SmallPourAnswer" });

export const SplitBuildBodySchema = z
  .strictObject({
    variants: z.array(SpecInputSchema).min(2).max(MOST_VARIANTS),
    ladder: LadderInputSchema.optional(),
    ...settings,
  })
  .meta({ id: "SplitBuildBody" });

const SplitPourSchema = z
  .object({
    ...of,
    ml: number("mL poured of it."),
    measured: z.boolean().meta({ description: "Whether the ladder measures it." }),
  })
  .meta({ id: "SplitPour" });

export const SplitBuildAnswerSchema = z
  .object({
    base: z.array(SplitPourSchema).meta({ description: "Poured once, for all variants together." }),
    portionMl: number("Of the base into each glass."),
    variants: z.array(z.object({ name: z.string(), rest: z.array(SplitPourSchema) })),
    assumptions: readFrame.assumptions,
    ...frame,
  })
  .meta({ id: "SplitBuildAnswer" });

export const ServingsBodySchema = z
  .strictObject({
    glasses,
    servings: z
      .array(
        z.strictObject({
          taster: text(LONGEST.name),
          glass: idShape.check(z.describe("Id of one of the glasses.")),
          share: z.optional(
            positive(1).check(z.describe("Part of the drink set before them; default all of it.")),
          ),
        }),
      )
      .min(1)
      .max(MOST_SERVINGS),
    ...settings,
  })
  .meta({ id: "ServingsBody" });

export const ServedSchema = z
  .object({
    taster: z.string(),
    glasses: count("Set before them."),
    ethanolG: z.number(),
    standardDrinks: z.object({
      us: number("Of 14 g of ethanol."),
      uk: number("Units of 10 mL of ethanol."),
      au: number("Of 10 g of ethanol."),
    }),
  })
  .meta({ id: "Served", description: "The most that can have been drunk; a count, no limit and no advice." });

export const ServingsAnswerSchema = z
  .object({ served: z.array(ServedSchema), assumptions: readFrame.assumptions, ...frame })
  .meta({ id: "ServingsAnswer" });
