import { z } from "zod";
import { LONGEST, MOST, MOST_AMOUNT } from "../../engine/limits.ts";
import { idShape, within } from "../../engine/shapes/amounts.ts";
import { must } from "../../engine/shapes/check.ts";
import { UnitIdSchema } from "./amount.ts";
import { includeOf } from "./include.ts";
import { PointSchema } from "./point.ts";
import { ProposalSchema, SolveStatusSchema, solveFrame, solveOptions } from "./solve.ts";
import { SpecInputSchema, SpecSchema } from "./spec.ts";
import { MembershipSchema, TargetInputSchema } from "./target.ts";

const SaidAmountSchema = z
  .strictObject({
    amount: within({ min: -MOST_AMOUNT, max: MOST_AMOUNT }).check(z.describe("In `unit`.")),
    unit: UnitIdSchema,
  })
  .meta({ id: "SaidAmount" });

const WhatIfChangeSchema = z
  .union([
    z.strictObject({ ingredient: idShape, by: SaidAmountSchema }).meta({
      id: "ChangeBy",
      description: "Added to the present amount; negative takes away.",
    }),
    z
      .strictObject({ ingredient: idShape, to: SaidAmountSchema })
      .meta({ id: "ChangeTo", description: "In its place." }),
    z.strictObject({ ingredient: idShape, swapFor: idShape }).meta({
      id: "ChangeFor",
      description: "Same amount, another ingredient.",
    }),
  ])
  .meta({ id: "WhatIfChange" });

export const IntentSchema = z
  .discriminatedUnion("ask", [
    z.strictObject({ ask: z.literal("where") }).meta({ id: "AskWhere" }),
    z.strictObject({ ask: z.literal("how-much"), ingredient: idShape }).meta({ id: "AskHowMuch" }),
    z
      .strictObject({
        ask: z.literal("what-if"),
        changes: z.array(WhatIfChangeSchema).min(1).max(MOST.changes),
      })
      .meta({ id: "AskWhatIf" }),
    z
      .strictObject({
        ask: z.literal("lean"),
        lean: z.enum(["drier", "sweeter", "sharper", "softer", "stronger", "lighter"]),
        by: z.number().positive().max(100).optional().meta({ description: "In the axis's own unit." }),
        keep: z
          .array(
            z.strictObject({
              axis: z.enum(["sugar", "acid", "abv"]),
              how: z.enum(["not-less", "not-more", "same"]),
            }),
          )
          .max(3),
      })
      .meta({ id: "AskLean" }),
  ])
  .meta({ id: "Intent" });

export const AskBodySchema = z
  .strictObject({
    question: z.string().min(1).max(LONGEST.question).optional().meta({
      description: "Plain words in one of the known forms; read by a small grammar, never guessed.",
    }),
    intent: IntentSchema.optional().meta({ description: "The same, already structured." }),
    spec: SpecInputSchema,
    target: TargetInputSchema.optional().meta({
      description:
        "Else the family the question names, as in: for sour range; else the one the drink is most like.",
    }),
    ...solveOptions,
    include: includeOf("paths"),
  })
  .check(
    must(
      (body) => (body.question === undefined) !== (body.intent === undefined),
      "a question is asked once",
      "give exactly one of question, intent",
    ),
  )
  .meta({ id: "AskBody" });

export const AnswerSchema = z
  .object({
    ask: z.enum(["how-much", "what-if", "lean", "where"]),
    text: z.string(),
    before: PointSchema,
    after: PointSchema.nullable(),
    membership: MembershipSchema,
    spec: z.nullable(SpecSchema),
    range: z
      .object({
        ingredient: z.string(),
        fromMl: z.number(),
        leastMl: z.number(),
        mostMl: z.number(),
      })
      .nullable()
      .meta({ description: "how-much: every amount from least to most keeps the drink inside." }),
    proposals: z.array(ProposalSchema),
    status: SolveStatusSchema.nullable(),
  })
  .meta({ id: "Answer" });

export const AskAnswerSchema = z
  .object({
    intent: IntentSchema,
    echo: z.string().nullable().meta({ description: "The question as it was understood." }),
    ...solveFrame,
    answer: AnswerSchema,
  })
  .meta({ id: "AskAnswer" });
