import { z } from "@hono/zod-openapi";
import { EVIDENCE_IDS } from "../../engine/ids.ts";
import { MOST, MOST_PRICE } from "../../engine/limits.ts";
import { CautionIdSchema, IngredientSchema } from "./ingredient.ts";
import { Mat3Schema, PointSchema } from "./point.ts";
import { SpecSchema } from "./spec.ts";
import { IdSchema } from "./strict.ts";
import { TargetEntrySchema } from "./target.ts";

export const ProvenanceSchema = z
  .object({
    engine: z.string().openapi({ description: "Version of the engine that computed this." }),
    data: z.string().openapi({ description: "Hash of the reference data it used." }),
  })
  .openapi("Provenance");

export const CautionSchema = z
  .object({ id: CautionIdSchema, title: z.string(), text: z.string(), source: z.string() })
  .openapi("Caution");

export const PricesSchema = z
  .record(IdSchema, z.number().min(0).max(MOST_PRICE))
  .refine((p) => Object.keys(p).length <= MOST.prices, {
    message: "too many prices; send those of this drink",
  })
  .openapi("PricePerLitre", { description: "Your price per litre by ingredient id, in your currency." });

export const SourceSchema = z
  .object({
    id: z.string(),
    citation: z.string(),
    evidence: z.enum(EVIDENCE_IDS),
    note: z.string().optional(),
  })
  .openapi("Source");

export const GlassSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    washLineMl: z.number(),
    iceMl: z.number().openapi({ description: "Ice it usually holds when a drink is served on it." }),
    brimMl: z.number(),
    source: z.string(),
  })
  .openapi("Glass");

export const FamilySchema = z
  .object({ id: z.string(), name: z.string(), meaning: z.string() })
  .openapi("Family");

export const ReferenceDrinkSchema = z.object({
  id: z.string(),
  name: z.string(),
  families: z.array(z.string()),
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
}).openapi("PlacedDrink");

export const PantrySchema = z.object({ ingredients: z.array(IngredientSchema) }).openapi("PantryList");
export const ReferencesSchema = z
  .object({ drinks: z.array(PlacedDrinkSchema), families: z.array(FamilySchema) })
  .openapi("ReferenceList");
export const TargetsSchema = z
  .object({
    targets: z.array(TargetEntrySchema),
    unavailable: z
      .array(z.object({ id: z.string(), name: z.string(), n: z.number().int(), reason: z.string() }))
      .openapi({ description: "Families with too few drinks for a region." }),
  })
  .openapi("TargetList");
export const SourcesSchema = z.object({ sources: z.array(SourceSchema) }).openapi("SourceList");
export const GlassesSchema = z.object({ glasses: z.array(GlassSchema) }).openapi("GlassList");
export const CautionsSchema = z.object({ cautions: z.array(CautionSchema) }).openapi("CautionList");
