import { z } from "zod";
import { CARD_FORMATS } from "../../engine/card/read.ts";
import { LONGEST, MOST_VOLUME_ML } from "../../engine/limits.ts";
import { positive, text, within } from "../../engine/shapes/amounts.ts";
import { cardShape } from "../../engine/shapes/card.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema, SourcedValueSchema } from "./ingredient.ts";
import { number } from "./number.ts";
import { PlacementSchema } from "./placement.ts";
import { PointSchema } from "./point.ts";
import { KeepingSchema, prepFrame } from "./prep.ts";
import { readFrame } from "./read.ts";
import { PricesSchema, ProvenanceSchema } from "./reference.ts";
import { SpecInputSchema, SpecSchema } from "./spec.ts";

const settings = {
  unitSettings: UnitSettingsSchema.optional(),
  pricePerLitre: PricesSchema.optional(),
  ingredients: OwnIngredientsSchema.optional(),
};
const ml = (description: string) => positive(MOST_VOLUME_ML).check(z.describe(description));
const cost = z.number().nullable().meta({ description: "In your currency; null without every price." });

export const BatchBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    size: z
      .union([
        z.strictObject({ serves: within({ min: 1, max: 10_000 }).check(z.describe("Glasses.")) }),
        z.strictObject({
          bottleMl: ml("mL a bottle holds."),
          bottles: z.int().min(1).max(1000).meta({ description: "Bottles to fill." }),
        }),
        z.strictObject({ kegMl: ml("mL a keg holds.") }),
      ])
      .meta({ description: "How much is made." }),
    dilutedShare: z.optional(
      within({ min: 0, max: 1 }).check(
        z.describe(
          "Part of the melt water put in ahead: 1 to pour it as it is (default), 0 to shake or stir to order.",
        ),
      ),
    ),
    freezerTempC: z.optional(within({ min: -60, max: 25 }).check(z.describe("°C where it is kept."))),
    boughtBottleMl: z.optional(ml("mL of a bottle bought; default 700.")),
    ...settings,
  })
  .meta({ id: "BatchBody" });

const BatchPlanSchema = z
  .object({
    serves: number("Glasses it makes."),
    lines: z.array(
      z.object({
        ingredient: z.string(),
        name: z.string(),
        when: z.enum(["base", "last", "serve"]).meta({
          description: "base: ahead. last: fresh juice, on the day. serve: with each glass.",
        }),
        exactMl: z.number(),
        pourMl: z.number().meta({ description: "Rounded to what is measured." }),
        massG: z.number(),
        bottles: z.int().nullable().meta({ description: "Bottles to open; null where it is not bought so." }),
        pieces: z.int().nullable().meta({ description: "Fruit to press; null where unknown." }),
      }),
    ),
    waterMl: z
      .object({ exactMl: z.number(), pourMl: z.number() })
      .meta({ description: "Melt water put in ahead." }),
    batchMl: z.number(),
    batchG: z.number(),
    batchAbvPercent: z.number(),
    portionMl: z.number().meta({ description: "Poured for one serve, before ice and topping." }),
    serve: PlacementSchema,
    drift: PointSchema.meta({ description: "What rounding moved, axis by axis." }),
    freezer: z
      .object({
        freezerTempC: z.number(),
        freezingC: SourcedValueSchema,
        state: z.enum(["pours", "may-freeze", "freezes"]),
        frozenShare: number("Share of its water that is ice there, 0 to 1."),
      })
      .nullable(),
    keeping: KeepingSchema,
    cost,
  })
  .meta({ id: "BatchPlan" });

export const BatchAnswerSchema = z
  .object({ ...readFrame, batch: BatchPlanSchema, ...prepFrame })
  .meta({ id: "BatchAnswer" });

z.globalRegistry.add(cardShape, { id: "Card" });

export const CardBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    garnish: z.optional(text(LONGEST.label, "What goes on top.")),
    notes: z.optional(text(LONGEST.note, "Free notes.")),
    pourCost: z.optional(
      positive(1).check(z.describe("Part of the price that the pours cost: 0.2 is a pour cost of 20 %.")),
    ),
    ...settings,
  })
  .meta({ id: "CardBody" });

export const CardAnswerSchema = z
  .object({
    ...readFrame,
    card: cardShape,
    text: z.string(),
    markdown: z.string(),
    csv: z.string().meta({ description: "RFC 4180." }),
    jsonLd: z.string().meta({ description: "A schema.org Recipe that carries the card." }),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "CardAnswer" });

export const ReadCardBodySchema = z
  .strictObject({
    text: z.string().min(1).meta({ description: "A card in any format it is written in." }),
    format: z.enum(CARD_FORMATS).optional().meta({ description: "Default text." }),
    ingredients: OwnIngredientsSchema.optional(),
  })
  .meta({ id: "ReadCardBody" });

export const ReadCardAnswerSchema = z
  .object({
    card: cardShape,
    spec: SpecSchema,
    unread: z.array(z.string()).meta({ description: "What stood there that is no part of a card." }),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "ReadCardAnswer" });
