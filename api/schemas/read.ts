import { z } from "zod";
import { UnitIdSchema } from "./amount.ts";
import { OwnIngredientSchema } from "./ingredient.ts";
import { count, number } from "./number.ts";
import { SpecSchema } from "./spec.ts";

/** A code for machines, its sentence for people. */
export const RemarkSchema = z
  .object({
    code: z.string().meta({ description: "What was supposed, or why a line was not read. Stable." }),
    text: z.string().meta({ description: "The same as a sentence, whose wording may change." }),
  })
  .meta({ id: "Remark" });

/** How a text was read, line by line; empty for a spec given by lines. */
export const ReadingSchema = z
  .object({
    raw: z.string().meta({ description: "The line as sent, or its part when it holds several pours." }),
    lineNumber: count("From 1."),
    ingredient: z.string().meta({ description: "Id in the pantry, or in `made`." }),
    name: z.string(),
    amount: number("In `unit`."),
    unit: UnitIdSchema,
    assumptions: z.array(RemarkSchema),
  })
  .meta({ id: "Reading" });

/** Pantry entries at the strength or ratio that was typed. */
export const MadeSchema = z
  .array(
    z
      .object({
        from: z.string().meta({ description: "Id of the pantry entry it was made of." }),
        ingredient: OwnIngredientSchema,
      })
      .meta({ id: "MadeIngredient" }),
  )
  .meta({
    description:
      "Pantry entries at the strength or ratio that the text gives; send them back in `ingredients` to use the spec's lines by id.",
  });

/** What every answer says about the spec it was asked about. */
export const readFrame = {
  spec: SpecSchema,
  reading: z.array(ReadingSchema).meta({ description: "How the text was read; empty for lines." }),
  made: MadeSchema,
  assumptions: z.array(z.string()).meta({ description: "All that was taken as so, in words." }),
};
