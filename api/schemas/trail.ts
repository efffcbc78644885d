import { z } from "@hono/zod-openapi";
import { ROUND_STATE_IDS } from "../../engine/ids.ts";
import { LONGEST, MOST } from "../../engine/limits.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { PlacementSchema } from "./placement.ts";
import { Vec3Schema } from "./point.ts";
import { PricesSchema, ProvenanceSchema } from "./reference.ts";
import { MoveKindSchema } from "./solve.ts";
import { SpecInputSchema } from "./spec.ts";
import { IdSchema, strictObject, words } from "./strict.ts";

const RoundInputSchema = strictObject({
  id: IdSchema,
  number: z
    .number()
    .int()
    .min(0)
    .max(10_000)
    .optional()
    .openapi({ description: "Default: its place in the list." }),
  parent: IdSchema.nullable()
    .optional()
    .openapi({ description: "The round it was changed from; null for the first. Default: the one before." }),
  label: words(LONGEST.label).optional(),
  spec: SpecInputSchema,
  notes: words(LONGEST.note).optional(),
  faults: z.array(words(LONGEST.fault)).max(MOST.faults).optional(),
  abandoned: z.boolean().optional(),
  state: z.enum(ROUND_STATE_IDS).optional(),
}).openapi("RoundInput");

export const TrailBodySchema = strictObject({
  rounds: z.array(RoundInputSchema).min(1).max(MOST.rounds),
  unitSettings: UnitSettingsSchema.optional(),
  pricePerLitre: PricesSchema.optional(),
  ingredients: OwnIngredientsSchema.optional(),
}).openapi("TrailBody", {
  example: {
    rounds: [
      { id: "r1", spec: { text: "2 oz aged rum\n1/2 oz lime juice\n3/4 oz simple syrup", method: "shaken" } },
      { id: "r2", spec: { text: "2 oz aged rum\n3/4 oz lime juice\n1/2 oz simple syrup", method: "shaken" } },
    ],
  },
});

export const TrailSchema = z
  .object({
    rounds: z.array(
      z.object({
        id: z.string(),
        number: z.number().int(),
        parent: z.string().nullable(),
        placement: PlacementSchema,
        drift: z.number(),
        driftVector: Vec3Schema,
      }),
    ),
    steps: z.array(
      z.object({
        from: z.string(),
        to: z.string(),
        vector: Vec3Schema,
        lengthScaled: z.number(),
        changes: z.array(
          z.object({
            ingredient: z.string(),
            kind: MoveKindSchema,
            fromMl: z.number(),
            toMl: z.number(),
            text: z.string(),
            share: Vec3Schema,
          }),
        ),
        text: z.string(),
      }),
    ),
  })
  .openapi("Trail");

export const TrailAnswerSchema = z
  .object({ trail: TrailSchema, assumptions: z.array(z.string()), provenance: ProvenanceSchema })
  .openapi("TrailAnswer");
