import { z } from "zod";
import { KEEP_IDS } from "../../engine/ids.ts";
import { idShape } from "../../engine/shapes/amounts.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { number } from "./number.ts";
import { doubtSource } from "./placement.ts";
import { PointSchema, Vec3Schema } from "./point.ts";
import { readFrame } from "./read.ts";
import { CautionSchema, ProvenanceSchema } from "./reference.ts";
import {
  KeepsSchema,
  MoveKindSchema,
  ProposalSchema,
  SolveResultSchema,
  SolveStatusSchema,
  solveFrame,
} from "./solve.ts";
import { SpecInputSchema } from "./spec.ts";
import { AimSchema, MembershipSchema, TargetSpecSchema } from "./target.ts";

export const RouteSchema = z
  .object({
    kind: MoveKindSchema,
    name: z.string(),
    status: SolveStatusSchema,
    proposal: ProposalSchema.nullable().meta({ description: "null when this way does not get there." }),
    loosened: z.array(z.enum(KEEP_IDS)).meta({ description: "Habits of the trade let go of to get there." }),
  })
  .meta({ id: "Route" });

export const RoutesAnswerSchema = z
  .object({ ...solveFrame, routes: z.array(RouteSchema), keeps: KeepsSchema })
  .meta({ id: "RoutesAnswer" });

export const RepairReportSchema = z
  .object({
    conflict: z
      .array(
        z.object({
          id: z.string(),
          kind: z.enum([
            "target",
            "lock",
            "bound",
            "max-touched",
            "glass",
            "character",
            "drift",
            "chance",
            "keep",
          ]),
          text: z.string(),
        }),
      )
      .meta({ description: "Limits that cannot hold together; lift any one and the rest can be met." }),
    repairs: z.array(
      z.object({
        kind: z.enum(["lift", "add"]),
        id: z.string(),
        title: z.string(),
        text: z.string(),
        proposal: ProposalSchema,
      }),
    ),
    text: z.string(),
  })
  .meta({ id: "RepairReport" });

export const RepairAnswerSchema = z
  .object({
    ...solveFrame,
    nearest: PointSchema.nullable().meta({ description: "The closest drink within the limits." }),
    repair: RepairReportSchema.nullable().meta({ description: "null when the solve is not infeasible." }),
    status: SolveStatusSchema,
    keeps: KeepsSchema,
  })
  .meta({ id: "RepairAnswer" });

export const MeasuringAdviceSchema = z
  .object({
    doubt: z.string().meta({ description: "Id of the doubt it settles, as in a placement's doubts." }),
    ...doubtSource,
    share: number("Its share of the variance toward the nearest edge, 0 to 1."),
    chanceNow: number("Chance of being inside as it stands, 0 to 1."),
    chanceMeasured: number("Measured, and the pour corrected for what is found."),
    chancePoured: number("Chance, 0 to 1, when not measured but poured for the middle."),
    text: z.string(),
  })
  .meta({ id: "MeasuringAdvice" });

export const ExplorationSchema = z.object({
  solved: SolveResultSchema.meta({
    description: "The certified answer, within the habits of the trade that were kept.",
  }),
  proposals: z.array(ProposalSchema).meta({
    description:
      "At most four, each touching other ingredients, none beaten by another on all of: fewest touched, volume, nearness to the middle, chance, drift, cost. The least change first; bestAt says what each is for.",
  }),
  edge: z.string().nullable().meta({
    description:
      "Id of the proposal that changes less but is merely inside; the others hold in 4 glasses of 5.",
  }),
  keeps: KeepsSchema,
  chanceNow: number("Chance that the drink as it stands is really inside, 0 to 1."),
  advice: z
    .array(MeasuringAdviceSchema)
    .meta({ description: "What to measure, where that would help more than pouring." }),
  repair: RepairReportSchema.nullable().meta({ description: "Only when infeasible." }),
});

export const ExploreAnswerSchema = ExplorationSchema.extend(solveFrame).meta({ id: "ExploreAnswer" });

export const SwapsBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    ingredient: idShape.check(z.describe("The ingredient of the spec to swap, by its id.")),
    target: AimSchema,
    unitSettings: UnitSettingsSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
  })
  .meta({ id: "SwapsBody" });

export const SwapEffectSchema = z
  .object({
    ingredient: z.string(),
    name: z.string(),
    after: PointSchema,
    delta: Vec3Schema,
    signedDistance: number("To the target, axis-scale units: negative inside."),
    text: z.string(),
  })
  .meta({ id: "SwapEffect" });

export const SwapsAnswerSchema = z
  .object({
    ...readFrame,
    target: TargetSpecSchema,
    before: PointSchema,
    membershipBefore: MembershipSchema,
    swaps: z.array(SwapEffectSchema).meta({
      description:
        "Every ingredient of the same role in its place, volume for volume, nearest to the target first. These numbers are all a swap moves here: aroma, bitterness and texture are not seen.",
    }),
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "SwapsAnswer" });
