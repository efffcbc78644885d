import { z } from "zod";
import { LONGEST, MOST, MOST_AMOUNT } from "../../engine/limits.ts";
import { idShape, within } from "../../engine/shapes/amounts.ts";
import { must } from "../../engine/shapes/check.ts";
import { specShape } from "../../engine/shapes/spec.ts";
import { UnitIdSchema } from "./amount.ts";
import { includeOf } from "./include.ts";
import { number } from "./number.ts";
import { PointSchema } from "./point.ts";
import { ProposalSchema, SolveStatusSchema, solveFrame, solveOptions } from "./solve.ts";
import { SpecInputSchema, SpecSchema } from "./spec.ts";
import { AimSchema, MembershipSchema, TargetInputSchema } from "./target.ts";

const SaidAmountSchema = z
  .strictObject({
    amount: within({ min: -MOST_AMOUNT, max: MOST_AMOUNT }).check(z.describe("In `unit`.")),
    unit: UnitIdSchema,
  })
  .meta({ id: "SaidAmount" });

const factorShape = within({ min: 0.01, max: 100 }).check(z.describe("How many times."));

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
    z
      .strictObject({ ingredient: idShape, times: factorShape })
      .meta({ id: "ChangeTimes", description: "So many times its present amount." }),
    z
      .strictObject({ scale: factorShape })
      .meta({ id: "ChangeScale", description: "Every amount, so many times." }),
    z
      .strictObject({ method: specShape.shape.method })
      .meta({ id: "ChangeMethod", description: "Mixed another way." }),
  ])
  .meta({ id: "WhatIfChange" });

export const IntentSchema = z
  .discriminatedUnion("ask", [
    z.strictObject({ ask: z.literal("where") }).meta({ id: "AskWhere" }),
    z.strictObject({ ask: z.literal("least") }).meta({ id: "AskLeast" }),
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
        leans: z
          .array(
            z.strictObject({
              lean: z.enum(["drier", "sweeter", "sharper", "softer", "stronger", "lighter"]),
              by: z.number().positive().max(100).optional().meta({ description: "In the axis's own unit." }),
            }),
          )
          .min(1)
          .max(3),
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
        "A family the question names (for sour range) comes first; without either, the one the drink is most like.",
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

const measureShape = z.enum(["sugar", "acid", "abv", "ratio", "face"]);

const DoseStripSchema = z
  .object({
    ingredient: z.string(),
    presentMl: number("What the drink holds of it, mL."),
    rungs: z
      .array(
        z.object({
          ml: number("The dose, mL."),
          amount: number("The same in `unit`, as the tool measures it."),
          unit: UnitIdSchema,
          point: PointSchema,
          inside: z.boolean(),
          out: z
            .array(
              z.object({
                measure: measureShape,
                side: z.enum(["short", "over"]),
                by: number("How far out, in `unit`."),
                unit: z.string(),
              }),
            )
            .meta({ description: "What is out of range with this dose." }),
          chance: number("Chance that a real glass of it is inside, 0 to 1."),
        }),
      )
      .meta({ description: "Every rung of the pour ladder within reach, ascending." }),
    spans: z
      .array(
        z.object({
          measure: measureShape,
          fromMl: number("First dose of the run, mL."),
          toMl: number("Last dose of the run, mL."),
        }),
      )
      .meta({
        description:
          "Runs of doses at which each measure is in range: of an axis, where the target reaches that far on it, whatever the others do.",
      }),
    bestMl: number("The best dose, mL: the least change that holds, else the surest, else the nearest."),
    sure: number("The chance asked for, 0 to 1."),
    holds: z.boolean().meta({ description: "The best dose alone is inside with that chance." }),
    companion: z
      .nullable(
        z.object({
          ingredient: z.string(),
          fromMl: number("What the drink holds of it, mL."),
          toMl: number("What to pour of it, mL."),
          doseMl: number("The dose of the first ingredient with it, mL."),
          point: PointSchema,
          chance: number("Chance that a real glass of both is inside, 0 to 1."),
          holds: z.boolean(),
          spec: SpecSchema,
        }),
      )
      .meta({ description: "The one other change that finishes the job, where the dose alone does not." }),
  })
  .meta({ id: "DoseStrip", description: "Every dose of one ingredient and where it lands." });

export const AnswerSchema = z
  .object({
    ask: z.enum(["how-much", "what-if", "lean", "least", "where"]),
    text: z.string(),
    before: PointSchema,
    after: PointSchema.nullable(),
    membership: MembershipSchema,
    spec: z.nullable(SpecSchema),
    strip: z.nullable(DoseStripSchema),
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

/** The habits, measures and rivals of a whole solve have no part in one ingredient's doses. */
const { ladder, additions, locks, bounds, maxFinishedMl, minProbability, ...others } = solveOptions;
const { unitSettings, timeBudgetMs, ingredients } = others;

export const DoseBodySchema = z
  .strictObject({
    ingredient: idShape.check(
      z.describe("The one whose doses are tried, by its id; the drink need not hold any of it yet."),
    ),
    spec: SpecInputSchema,
    target: AimSchema,
    ladder,
    additions,
    locks,
    bounds,
    maxFinishedMl,
    minProbability,
    unitSettings,
    timeBudgetMs,
    ingredients,
  })
  .meta({ id: "DoseBody" });

export const DoseAnswerSchema = z
  .object({
    ...solveFrame,
    text: z.string().meta({ description: "The strip in one paragraph." }),
    before: PointSchema,
    after: PointSchema.meta({ description: "With the best dose, and its companion where it needs one." }),
    strip: DoseStripSchema,
    changed: z.nullable(SpecSchema).meta({
      description:
        "The spec so changed, ready to send back; null when nothing changes or nothing gets there.",
    }),
  })
  .meta({ id: "DoseAnswer" });

export const AskAnswerSchema = z
  .object({
    intent: IntentSchema,
    echo: z.string().meta({ description: "The question as it was understood." }),
    ...solveFrame,
    answer: AnswerSchema,
  })
  .meta({ id: "AskAnswer" });
