import { z } from "@hono/zod-openapi";
import { LONGEST, MOST, MOST_AMOUNT } from "../../engine/limits.ts";
import { UnitIdSchema } from "./amount.ts";
import { PointSchema } from "./point.ts";
import { ProposalSchema, SolveStatusSchema, solveFrame, solveOptions } from "./solve.ts";
import { SpecInputSchema, SpecSchema } from "./spec.ts";
import { IdSchema, strictObject, words } from "./strict.ts";
import { MembershipSchema, TargetInputSchema } from "./target.ts";

const SaidAmountSchema = strictObject({
  amount: z.number().min(-MOST_AMOUNT).max(MOST_AMOUNT),
  unit: UnitIdSchema,
}).openapi("SaidAmount");

const WhatIfChangeSchema = z
  .union([
    strictObject({ ingredient: IdSchema, by: SaidAmountSchema }).openapi({
      description: "Added to the present amount; negative takes away.",
    }),
    strictObject({ ingredient: IdSchema, to: SaidAmountSchema }).openapi({ description: "In its place." }),
    strictObject({ ingredient: IdSchema, swapFor: IdSchema }).openapi({
      description: "Same amount, another ingredient.",
    }),
  ])
  .openapi("WhatIfChange");

export const IntentSchema = z
  .discriminatedUnion("ask", [
    strictObject({ ask: z.literal("where") }),
    strictObject({ ask: z.literal("how-much"), ingredient: IdSchema }),
    strictObject({
      ask: z.literal("what-if"),
      changes: z.array(WhatIfChangeSchema).min(1).max(MOST.changes),
    }),
    strictObject({
      ask: z.literal("lean"),
      lean: z.enum(["drier", "sweeter", "sharper", "softer", "stronger", "lighter"]),
      by: z.number().positive().max(100).optional().openapi({ description: "In the axis's own unit." }),
      keep: z
        .array(
          strictObject({
            axis: z.enum(["sugar", "acid", "abv"]),
            how: z.enum(["not-less", "not-more", "same"]),
          }),
        )
        .max(3),
    }),
  ])
  .openapi("Intent");

export const AskBodySchema = strictObject({
  question: words(LONGEST.question).min(1).optional().openapi({
    description: "Plain words in one of the known forms; read by a small grammar, never guessed.",
  }),
  intent: IntentSchema.optional().openapi({ description: "The same, already structured." }),
  spec: SpecInputSchema,
  target: TargetInputSchema.optional().openapi({
    description: "Needed unless the question names a family, as in: for sour range.",
  }),
  ...solveOptions,
})
  .refine((body) => (body.question === undefined) !== (body.intent === undefined), {
    message: "a question is asked once; give exactly one of question, intent",
  })
  .openapi("AskBody", {
    example: {
      question: "how much lemon for sour range",
      spec: { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" },
    },
  });

export const AnswerSchema = z
  .object({
    ask: z.enum(["how-much", "what-if", "lean", "where"]),
    text: z.string(),
    before: PointSchema,
    after: PointSchema.nullable(),
    membership: MembershipSchema,
    spec: SpecSchema.nullable(),
    range: z
      .object({
        ingredient: z.string(),
        fromMl: z.number(),
        leastMl: z.number(),
        mostMl: z.number(),
      })
      .nullable()
      .openapi({ description: "how-much: every amount from least to most keeps the drink inside." }),
    proposals: z.array(ProposalSchema),
    status: SolveStatusSchema.nullable(),
  })
  .openapi("Answer");

export const AskAnswerSchema = z
  .object({
    intent: IntentSchema,
    echo: z.string().nullable().openapi({ description: "The question as it was understood." }),
    ...solveFrame,
    answer: AnswerSchema,
  })
  .openapi("AskAnswer");
