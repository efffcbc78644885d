import { z } from "zod";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { PlacementSchema } from "./placement.ts";
import { readFrame } from "./read.ts";
import { CautionSchema, PricesSchema, ProvenanceSchema } from "./reference.ts";
import { SpecInputSchema } from "./spec.ts";

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
    ...readFrame,
    placement: PlacementSchema,
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "PlaceAnswer" });
