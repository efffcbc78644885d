import { z } from "zod";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { PlacementSchema } from "./placement.ts";
import { CautionSchema, PricesSchema, ProvenanceSchema } from "./reference.ts";
import { ReadingSchema, SpecInputSchema, SpecSchema } from "./spec.ts";

export const PlaceBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    unitSettings: UnitSettingsSchema.optional(),
    pricePerLitre: PricesSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
  })
  .meta({ id: "PlaceBody" });

export const PlaceAnswerSchema = z
  .object({
    spec: SpecSchema,
    reading: z.array(ReadingSchema).meta({ description: "How the text was read; empty for lines." }),
    assumptions: z.array(z.string()),
    placement: PlacementSchema,
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "PlaceAnswer" });
