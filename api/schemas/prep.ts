import { z } from "zod";
import { ACID_IDS, ALLERGEN_IDS, SUGAR_IDS } from "../../engine/ids.ts";
import { MOST } from "../../engine/limits.ts";
import { idShape } from "../../engine/shapes/amounts.ts";
import { measurementShape, prepShape, storageShape } from "../../engine/shapes/prep.ts";
import {
  CautionIdSchema,
  OwnIngredientSchema,
  OwnIngredientsSchema,
  optionalKeys,
  SourcedValueSchema,
} from "./ingredient.ts";
import { count, number } from "./number.ts";
import { CautionSchema, ProvenanceSchema } from "./reference.ts";
import { SpecSchema } from "./spec.ts";

/** What every answer of the prep bench says besides its figures. */
export const prepFrame = {
  words: z
    .array(z.string())
    .meta({ description: "What to know of it, in sentences whose wording may change." }),
  cautions: z.array(CautionSchema),
  provenance: ProvenanceSchema,
};

/** An ingredient worked out here, in the form in which it is sent back. */
export const MadeIngredientSchema = OwnIngredientSchema.meta({
  description: "Send it back in `ingredients` to place, solve or prepare with it.",
});

export const CompositionSchema = z
  .object({
    massG: SourcedValueSchema,
    volumeMl: SourcedValueSchema,
    densityGPerMl: SourcedValueSchema,
    abvPercent: SourcedValueSchema,
    sugars: z.object(optionalKeys(SUGAR_IDS, SourcedValueSchema)).meta({ description: "g/100 mL, by kind." }),
    acids: z.object(optionalKeys(ACID_IDS, SourcedValueSchema)).meta({ description: "g/100 mL, by kind." }),
    otherSolidsGPer100Ml: SourcedValueSchema,
    sugarGPer100Ml: SourcedValueSchema,
    acidGPer100Ml: SourcedValueSchema.meta({ description: "Titratable, as anhydrous citric acid." }),
    solidsPercent: SourcedValueSchema.meta({
      description: "All that is dissolved, % by mass: the °Brix, were it all sucrose.",
    }),
    waterGPer100Ml: z.number(),
  })
  .meta({ id: "Composition" });

export const CrystalRiskSchema = z
  .object({
    what: z.enum(["sucrose", "glucose", "citric"]),
    storedAt: z.enum(["room", "fridge"]),
    tempC: z.number(),
    risk: z.enum(["none", "may", "will"]),
    dissolvedGPer100GWater: number("What is dissolved, g per 100 g of water."),
    holdsGPer100GWater: number("What the water holds, g per 100 g of water."),
  })
  .meta({ id: "CrystalRisk" });

const reason = z.enum([
  "raw-egg",
  "dairy",
  "fat-or-oil",
  "fresh-citrus",
  "juice",
  "low-acid",
  "thin-syrup",
  "rich-syrup",
  "wine-strength",
  "spirit-strength",
  "acid-solution",
]);

export const KeepingSchema = z
  .object({
    days: count("Use within this many days."),
    storage: storageShape,
    because: reason,
    source: z.string().meta({ description: "Id in GET /v1/sources." }),
    tooWarm: z.boolean().meta({ description: "The record says it stands warmer than that." }),
  })
  .meta({ id: "Keeping" });

export const ReplacedSchema = z
  .object({
    quantity: z.enum(["sugar", "acid", "abv", "density"]),
    before: SourcedValueSchema,
    after: SourcedValueSchema,
    by: z.enum([
      "refractometer",
      "hydrometer",
      "titration",
      "ph",
      "label-strength",
      "distilled-density",
      "weighed-volume",
    ]),
  })
  .meta({ id: "Replaced", description: "One figure that a measurement put another in place of." });

const PhSchema = SourcedValueSchema.nullable().meta({
  description: "Measured, or by charge balance; null where the minerals that buffer it are not known.",
});

const PrepLabelSchema = z
  .object({
    name: z.string(),
    batch: z.string(),
    madeOn: z.string(),
    useBy: z.string(),
    storage: storageShape,
    keptBecause: reason,
    keepingSource: z.string(),
    abvPercent: SourcedValueSchema,
    sugarGPer100Ml: SourcedValueSchema,
    acidGPer100Ml: SourcedValueSchema,
    solidsPercent: SourcedValueSchema,
    ph: PhSchema,
    volumeMl: SourcedValueSchema,
    ingredients: z.array(z.string()).meta({ description: "Names of the parts, heaviest first." }),
    allergens: z.array(z.enum(ALLERGEN_IDS)),
    cautions: z.array(CautionIdSchema),
  })
  .meta({ id: "PrepLabel" });

const CompiledPrepSchema = z
  .object({
    id: z.string(),
    ingredient: MadeIngredientSchema,
    composition: CompositionSchema,
    replaced: z.array(ReplacedSchema),
    ph: PhSchema,
    crystals: z.array(CrystalRiskSchema),
    keeping: KeepingSchema,
    useBy: z
      .string()
      .meta({ description: "Last day of use: its own keeping, and no longer than its parts'." }),
    contains: z.array(z.string()).meta({ description: "Ids of the preps inside it, at any depth." }),
    label: PrepLabelSchema,
    words: z.array(z.string()),
  })
  .meta({ id: "CompiledPrep" });

const FailedPrepSchema = z
  .object({
    id: z.string(),
    issues: z.array(z.object({ pointer: z.string(), detail: z.string(), remedy: z.string() })),
  })
  .meta({ id: "FailedPrep" });

export const CompileBodySchema = z
  .strictObject({
    preps: z.array(prepShape).min(1).max(MOST.ownIngredients),
    ingredients: OwnIngredientsSchema.optional(),
    changed: z.optional(idShape).meta({
      description: "A prep or ingredient that changed: what it touches is listed.",
    }),
    specs: z.array(SpecSchema).max(MOST.rounds).optional().meta({
      description: "Specs that may use them, to be told which are touched.",
    }),
  })
  .meta({ id: "CompileBody" });

export const CompileAnswerSchema = z
  .object({
    preps: z.array(CompiledPrepSchema),
    failed: z.array(FailedPrepSchema).meta({ description: "Records that could not be worked out, and why." }),
    affected: z
      .object({
        preps: z.array(z.string()),
        specs: z.array(count("Index into the specs sent.")),
      })
      .optional()
      .meta({ description: "Only when `changed` was given." }),
    ...prepFrame,
  })
  .meta({ id: "CompileAnswer" });

export { measurementShape as MeasurementSchema };
