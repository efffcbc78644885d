import { z } from "zod";
import { ROUND_STATE_IDS } from "../../engine/ids.ts";
import { LONGEST, MOST } from "../../engine/limits.ts";
import { idShape, text } from "../../engine/shapes/amounts.ts";
import { roundShape } from "../../engine/shapes/bench.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { includeOf } from "./include.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { count, number } from "./number.ts";
import { PlacementSchema } from "./placement.ts";
import { PointSchema, Vec3Schema } from "./point.ts";
import { PricesSchema, ProvenanceSchema } from "./reference.ts";
import { MoveKindSchema } from "./solve.ts";
import { SpecInputSchema } from "./spec.ts";

/** One ingredient's change from a round to another. */
export const ChangeSchema = z.object({
  ingredient: z.string(),
  kind: MoveKindSchema,
  fromMl: z.number(),
  toMl: z.number(),
  text: z.string(),
});

const RoundInputSchema = z
  .strictObject({
    id: idShape,
    number: z.optional(roundShape.shape.number).meta({ description: "Default: its place in the list." }),
    parent: z
      .optional(z.nullable(idShape))
      .meta({ description: "The round it was changed from; null for the first. Default: the one before." }),
    label: z.optional(text(LONGEST.label)),
    spec: SpecInputSchema,
    notes: z.optional(text(LONGEST.note)),
    faults: z.array(text(LONGEST.fault)).max(MOST.faults).optional(),
    abandoned: z.boolean().optional(),
    state: z.enum(ROUND_STATE_IDS).optional(),
  })
  .meta({ id: "RoundInput" });

export const TrailBodySchema = z
  .strictObject({
    rounds: z.array(RoundInputSchema).min(1).max(MOST.rounds),
    unitSettings: UnitSettingsSchema.optional(),
    pricePerLitre: PricesSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
    include: includeOf("placements", "doubts", "models"),
  })
  .meta({ id: "TrailBody" });

export const TrailSchema = z
  .object({
    rounds: z.array(
      z.object({
        id: z.string(),
        number: count("Its place in the bench, as people say it."),
        parent: z.string().nullable(),
        point: PointSchema,
        sd: PointSchema.meta({ description: "Standard uncertainty of each coordinate." }),
        finishedVolumeMl: z.number(),
        placement: PlacementSchema.optional().meta({ description: "With placements." }),
        drift: number("Distance from the first round, axis-scale units."),
        driftVector: Vec3Schema,
      }),
    ),
    steps: z.array(
      z.object({
        from: z.string(),
        to: z.string(),
        vector: Vec3Schema,
        lengthScaled: number("Axis-scale units."),
        changes: z.array(
          ChangeSchema.extend({
            share: Vec3Schema.meta({ description: "Its share of the step, by axis (Shapley)." }),
          }),
        ),
        text: z.string(),
      }),
    ),
  })
  .meta({ id: "Trail" });

export const TrailAnswerSchema = z
  .object({ trail: TrailSchema, assumptions: z.array(z.string()), provenance: ProvenanceSchema })
  .meta({ id: "TrailAnswer" });
