import { z } from "@hono/zod-openapi";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { doubtSource } from "./placement.ts";
import { PointSchema, Vec3Schema } from "./point.ts";
import { CautionSchema, ProvenanceSchema } from "./reference.ts";
import { MoveKindSchema, ProposalSchema, SolveResultSchema, SolveStatusSchema, solveFrame } from "./solve.ts";
import { ReadingSchema, SpecInputSchema, SpecSchema } from "./spec.ts";
import { IdSchema, strictObject } from "./strict.ts";
import { MembershipSchema, TargetInputSchema, TargetSpecSchema } from "./target.ts";

export const RouteSchema = z
  .object({
    kind: MoveKindSchema,
    name: z.string(),
    status: SolveStatusSchema,
    proposal: ProposalSchema.nullable().openapi({ description: "null when this way does not get there." }),
  })
  .openapi("Route");

export const RoutesAnswerSchema = z
  .object({ ...solveFrame, routes: z.array(RouteSchema) })
  .openapi("RoutesAnswer");

export const RepairReportSchema = z
  .object({
    conflict: z
      .array(
        z.object({
          id: z.string(),
          kind: z.enum(["target", "lock", "bound", "max-touched", "glass", "character", "drift", "chance"]),
          text: z.string(),
        }),
      )
      .openapi({ description: "Limits that cannot hold together; lift any one and the rest can be met." }),
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
  .openapi("RepairReport");

export const RepairAnswerSchema = z
  .object({
    ...solveFrame,
    nearest: PointSchema.nullable().openapi({ description: "The closest drink within the limits." }),
    repair: RepairReportSchema.nullable().openapi({ description: "null when the solve is not infeasible." }),
    status: SolveStatusSchema,
  })
  .openapi("RepairAnswer");

export const MeasuringAdviceSchema = z
  .object({
    doubt: z.string().openapi({ description: "Id of the doubt it settles, as in a placement's doubts." }),
    ...doubtSource,
    share: z.number().openapi({ description: "Its share of the variance toward the nearest edge, 0 to 1." }),
    chanceNow: z.number(),
    chanceMeasured: z
      .number()
      .openapi({ description: "Measured, and the pour corrected for what is found." }),
    chancePoured: z.number().openapi({ description: "Not measured, but poured for the middle." }),
    text: z.string(),
  })
  .openapi("MeasuringAdvice");

export const ExplorationSchema = z.object({
  solved: SolveResultSchema.openapi({ description: "The certified answer, as POST /v1/solve gives it." }),
  proposals: z.array(ProposalSchema).openapi({
    description:
      "None beaten by another on all of: fewest touched, volume, nearness to the middle, chance, drift, cost. The least change first; bestAt says what each is for.",
  }),
  chanceNow: z.number().openapi({ description: "Chance that the drink as it stands is really inside." }),
  advice: z
    .array(MeasuringAdviceSchema)
    .openapi({ description: "What to measure, where that would help more than pouring." }),
  repair: RepairReportSchema.nullable().openapi({ description: "Only when infeasible." }),
});

export const ExploreAnswerSchema = ExplorationSchema.extend(solveFrame).openapi("ExploreAnswer");

export const SwapsBodySchema = strictObject({
  spec: SpecInputSchema,
  ingredient: IdSchema.openapi({ description: "The ingredient of the spec to swap, by its id." }),
  target: TargetInputSchema,
  unitSettings: UnitSettingsSchema.optional(),
  ingredients: OwnIngredientsSchema.optional(),
}).openapi("SwapsBody", {
  example: {
    spec: { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" },
    ingredient: "rum-aged",
    target: { id: "family:sour" },
  },
});

export const SwapEffectSchema = z
  .object({
    ingredient: z.string(),
    name: z.string(),
    after: PointSchema,
    delta: Vec3Schema,
    signedDistance: z.number().openapi({ description: "To the target, axis-scale units: negative inside." }),
    text: z.string(),
  })
  .openapi("SwapEffect");

export const SwapsAnswerSchema = z
  .object({
    spec: SpecSchema,
    reading: z.array(ReadingSchema),
    assumptions: z.array(z.string()),
    target: TargetSpecSchema,
    before: PointSchema,
    membershipBefore: MembershipSchema,
    swaps: z.array(SwapEffectSchema).openapi({
      description:
        "Every ingredient of the same role in its place, volume for volume, nearest to the target first. These numbers are all a swap moves here: aroma, bitterness and texture are not seen.",
    }),
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .openapi("SwapsAnswer");
