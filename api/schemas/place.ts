import { z } from "zod";
import { UnitSettingsSchema } from "./amount.ts";
import { includeOf } from "./include.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { number } from "./number.ts";
import { PlacementSchema } from "./placement.ts";
import { readFrame } from "./read.ts";
import { CautionSchema, PricesSchema, ProvenanceSchema } from "./reference.ts";
import { SpecInputSchema } from "./spec.ts";
import { MembershipSchema, TargetInputSchema, TargetSpecSchema } from "./target.ts";

export const PlaceBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    unitSettings: UnitSettingsSchema.optional(),
    pricePerLitre: PricesSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
    target: TargetInputSchema.optional().meta({
      description: "Say also whether the drink is inside this, and which family it is closest to.",
    }),
    include: includeOf("doubts", "models"),
  })
  .meta({ id: "PlaceBody" });

const TowardSchema = z
  .object({
    target: TargetSpecSchema,
    membership: MembershipSchema,
    closest: z
      .object({
        id: z.string().meta({ description: "Id in GET /v1/targets." }),
        name: z.string(),
        inside: z.boolean(),
        signedDistance: number("To the edge of its range, axis-scale units: negative inside."),
      })
      .meta({ description: "The family whose range the drink is deepest in, or nearest to." }),
  })
  .meta({ id: "Toward" });

export const PlaceAnswerSchema = z
  .object({
    ...readFrame,
    placement: PlacementSchema,
    toward: TowardSchema.optional().meta({ description: "Only when a target was given." }),
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "PlaceAnswer" });
