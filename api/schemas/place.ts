import { z } from "@hono/zod-openapi";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { PlacementSchema } from "./placement.ts";
import { CautionSchema, PricesSchema, ProvenanceSchema } from "./reference.ts";
import { ReadingSchema, SpecInputSchema, SpecSchema } from "./spec.ts";
import { strictObject } from "./strict.ts";

export const PlaceBodySchema = strictObject({
  spec: SpecInputSchema,
  unitSettings: UnitSettingsSchema.optional(),
  pricePerLitre: PricesSchema.optional(),
  ingredients: OwnIngredientsSchema.optional(),
}).openapi("PlaceBody", {
  example: {
    spec: { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" },
  },
});

export const PlaceAnswerSchema = z
  .object({
    spec: SpecSchema,
    reading: z.array(ReadingSchema).openapi({ description: "How the text was read; empty for lines." }),
    assumptions: z.array(z.string()),
    placement: PlacementSchema,
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .openapi("PlaceAnswer");
