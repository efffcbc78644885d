import { z } from "@hono/zod-openapi";
import { LONGEST } from "../../engine/limits.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { ProvenanceSchema } from "./reference.ts";
import { MethodSchema, SpecLineSchema, SpecSchema } from "./spec.ts";
import { strictObject, words } from "./strict.ts";

export const ParseBodySchema = strictObject({
  text: words(LONGEST.recipe).min(1),
  unitSettings: UnitSettingsSchema.optional(),
  ingredients: OwnIngredientsSchema.optional(),
}).openapi("ParseBody", {
  example: {
    text: "Shaken\n2 oz aged rum\n3/4 oz lime juice\na splash of moonlight\n3 dashes aromatic bitters",
  },
});

export const ParsedRecipeSchema = z
  .object({
    lines: z.array(
      z.object({
        raw: z.string(),
        lineNumber: z.number().int(),
        status: z.enum(["read", "choose", "unread", "blank", "instruction"]),
        line: SpecLineSchema.optional(),
        candidates: z
          .array(z.object({ ingredient: z.string(), name: z.string(), score: z.number() }))
          .openapi({ description: "What it could mean, best first." }),
        assumptions: z.array(z.string()),
        reason: z.string().optional(),
      }),
    ),
    spec: SpecSchema.nullable().openapi({ description: "Only the lines that were read." }),
    method: MethodSchema.nullable(),
    methodText: z.string().optional(),
    title: z.string().optional().openapi({ description: "The drink's name, where the text gives one." }),
    assumptions: z.array(z.string()).openapi({ description: "About the text as a whole." }),
    complete: z.boolean().openapi({ description: "Every line was read, and nothing was left open." }),
  })
  .openapi("ParsedRecipe");

export const ParseAnswerSchema = z
  .object({ recipe: ParsedRecipeSchema, assumptions: z.array(z.string()), provenance: ProvenanceSchema })
  .openapi("ParseAnswer");
