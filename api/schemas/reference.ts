import { z } from "zod";
import { ERA_IDS, EVIDENCE_IDS, METHOD_IDS } from "../../engine/ids.ts";
import { MOST, MOST_PRICE } from "../../engine/limits.ts";
import { idShape, within } from "../../engine/shapes/amounts.ts";
import { must } from "../../engine/shapes/check.ts";
import { CautionIdSchema, IngredientSchema } from "./ingredient.ts";
import { count } from "./number.ts";
import { Mat3Schema, PointSchema } from "./point.ts";
import { SpecSchema } from "./spec.ts";
import { TargetEntrySchema, TargetSpecSchema } from "./target.ts";

export const ProvenanceSchema = z
  .object({
    engine: z.string().meta({ description: "Version of the engine that computed this." }),
    data: z.string().meta({ description: "Hash of the reference data it used." }),
  })
  .meta({ id: "Provenance" });

export const CautionSchema = z
  .object({ id: CautionIdSchema, title: z.string(), text: z.string(), source: z.string() })
  .meta({ id: "Caution" });

export const PricesSchema = z
  .record(idShape, within({ min: 0, max: MOST_PRICE }).check(z.describe("Per litre, in your currency.")))
  .check(must((p) => Object.keys(p).length <= MOST.prices, "too many prices", "send those of this drink"))
  .meta({ id: "PricePerLitre", description: "Your price per litre by ingredient id, in your currency." });

export const SourceSchema = z
  .object({
    id: z.string(),
    title: z.string().meta({ description: "Its short form, for beside a number." }),
    citation: z.string(),
    evidence: z.enum(EVIDENCE_IDS),
    note: z.string().optional(),
  })
  .meta({ id: "Source" });

export const GlassSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    washLineMl: z.number(),
    iceMl: z.number().meta({ description: "Ice it usually holds when a drink is served on it." }),
    brimMl: z.number(),
    source: z.string(),
  })
  .meta({ id: "Glass" });

export const FamilySchema = z
  .object({
    id: z.string(),
    name: z.string(),
    meaning: z.string(),
    ratio: z.boolean().meta({ description: "Its region keeps the ratio of sugar to acid too." }),
  })
  .meta({ id: "Family" });

export const ReferenceDrinkSchema = z.object({
  id: z.string(),
  name: z.string(),
  families: z.array(z.string()),
  era: z.enum(ERA_IDS),
  spec: SpecSchema,
  source: z.string(),
  memory: z.boolean().optional(),
  note: z.string().optional(),
});

export const PlacedDrinkSchema = ReferenceDrinkSchema.extend({
  point: PointSchema,
  sd: PointSchema,
  covariance: Mat3Schema,
  finishedVolumeMl: z.number(),
}).meta({ id: "PlacedDrink" });

export const PantrySchema = z.object({ ingredients: z.array(IngredientSchema) }).meta({ id: "PantryList" });
const PublishedBandSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    method: z.enum(METHOD_IDS),
    family: z.string().optional(),
    target: TargetSpecSchema,
    source: z.string(),
    memory: z.boolean().optional(),
    note: z.string().optional(),
  })
  .meta({ id: "PublishedBand" });

const BalancedDrinkSchema = z
  .object({ id: z.string(), family: z.string(), spec: SpecSchema })
  .meta({ id: "BalancedDrink", description: "What the families' regions are judged by, never made from." });

export const ReferencesSchema = z
  .object({
    drinks: z.array(PlacedDrinkSchema),
    families: z.array(FamilySchema),
    balanced: z.array(BalancedDrinkSchema),
    bands: z.array(PublishedBandSchema),
  })
  .meta({ id: "ReferenceList" });
export const TargetsSchema = z
  .object({
    targets: z.array(TargetEntrySchema),
    unavailable: z
      .array(
        z.object({
          id: z.string(),
          name: z.string(),
          n: count("Reference drinks of it."),
          reason: z.string(),
        }),
      )
      .meta({ description: "Families with too few drinks for a region." }),
  })
  .meta({ id: "TargetList" });
export const SourcesSchema = z.object({ sources: z.array(SourceSchema) }).meta({ id: "SourceList" });
export const GlassesSchema = z.object({ glasses: z.array(GlassSchema) }).meta({ id: "GlassList" });
export const CautionsSchema = z.object({ cautions: z.array(CautionSchema) }).meta({ id: "CautionList" });
