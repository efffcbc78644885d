import { z } from "zod";
import { LONGEST } from "../../engine/limits.ts";
import { specLineShape, specShape } from "../../engine/shapes/spec.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { count, number } from "./number.ts";
import { MadeSchema, RemarkSchema } from "./read.ts";
import { ProvenanceSchema } from "./reference.ts";
import { SpecSchema } from "./spec.ts";

export const ParseBodySchema = z
  .strictObject({
    text: z.string().min(1).max(LONGEST.recipe),
    unitSettings: UnitSettingsSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
  })
  .meta({ id: "ParseBody" });

export const ParsedRecipeSchema = z
  .object({
    lines: z.array(
      z.object({
        raw: z.string(),
        lineNumber: count("From 1."),
        status: z.enum(["read", "choose", "unread", "blank", "instruction"]),
        name: z.string().optional().meta({ description: "The name as written, without its amount." }),
        line: z.optional(specLineShape),
        candidates: z
          .array(
            z.object({
              ingredient: z.string(),
              name: z.string(),
              score: number("How well it fits the words, 0 to 1."),
            }),
          )
          .meta({ description: "What it could mean, best first." }),
        assumptions: z.array(RemarkSchema),
        reason: z.optional(RemarkSchema),
      }),
    ),
    spec: z.nullable(SpecSchema).meta({ description: "Only the lines that were read." }),
    method: z.nullable(specShape.shape.method),
    methodText: z.string().optional(),
    title: z.string().optional().meta({ description: "The drink's name, where the text gives one." }),
    assumptions: z.array(RemarkSchema).meta({ description: "About the text as a whole." }),
    complete: z.boolean().meta({ description: "Every line was read, and nothing was left open." }),
  })
  .meta({ id: "ParsedRecipe" });

export const ParseAnswerSchema = z
  .object({
    recipe: ParsedRecipeSchema,
    made: MadeSchema,
    assumptions: z.array(z.string()),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "ParseAnswer" });
