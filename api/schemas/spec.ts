import { z } from "@hono/zod-openapi";
import { METHOD_IDS } from "../../engine/ids.ts";
import { UnitIdSchema } from "./amount.ts";
import { IdSchema, strictObject, words } from "./strict.ts";

export const MethodSchema = z.enum(METHOD_IDS).openapi("Method");

/** More than any drink holds; a request is a drink, not a stock list. */
export const MAX_LINES = 24;
/** Characters of a pasted text. */
export const MAX_TEXT = 4000;
export const MAX_AMOUNT = 10_000;
/** A ten-thousandth of a drop is no pour, and below it a drink's percentages lose their meaning. */
export const MIN_AMOUNT = 0.0001;

const SpecLineInputSchema = strictObject({
  ingredient: IdSchema.openapi({ description: "Id from GET /v1/pantry or from this request's ingredients." }),
  amount: z
    .number()
    .min(0)
    .max(MAX_AMOUNT)
    .refine((amount) => amount <= 0 || amount >= MIN_AMOUNT, {
      message: `nobody can pour so little; give 0 or at least ${MIN_AMOUNT}`,
    }),
  unit: UnitIdSchema,
  stage: z
    .enum(["mix", "top"])
    .optional()
    .openapi({ description: "mix: goes over the ice. top: added after, takes no melt water." }),
}).openapi("SpecLineInput");

const CalibrationSchema = strictObject({
  factor: z.number().positive().max(10),
  sd: z.number().min(0).max(10),
  n: z.number().int().min(0).max(10_000),
});

const IceConditionsSchema = strictObject({
  ingredientTempC: z.number().min(-20).max(100).optional(),
  iceTempC: z.number().min(-80).max(0).optional(),
  adherentWaterShare: z.number().min(0).max(0.3).optional(),
  iceMassG: z.number().min(0).max(10_000).optional(),
  vesselMassG: z.number().min(0).max(10_000).optional(),
  vesselHeatCapacityJPerGK: z.number().min(0).max(10).optional(),
  vesselTempC: z.number().min(-80).max(100).optional(),
  approach: z.number().min(0).max(1).optional(),
});

const measure = z.number().positive().max(100_000);

export const DilutionChoiceSchema = z
  .discriminatedUnion("model", [
    strictObject({ model: z.literal("regression"), calibration: CalibrationSchema.optional() }),
    strictObject({
      model: z.literal("energy"),
      conditions: IceConditionsSchema.optional(),
      calibration: CalibrationSchema.optional(),
    }),
    strictObject({
      model: z.literal("measured"),
      finishedVolumeMl: measure.optional(),
      finishedMassG: measure.optional(),
      waterMl: z.number().min(0).max(100_000).optional(),
      sdMl: z.number().min(0).max(1000).optional(),
    }).refine(
      (d) => [d.finishedVolumeMl, d.finishedMassG, d.waterMl].filter((v) => v !== undefined).length === 1,
      {
        message:
          "a measured glass is given one way; give exactly one of finishedVolumeMl, finishedMassG, waterMl",
      },
    ),
  ])
  .openapi("DilutionChoice");

const shared = {
  dilution: DilutionChoiceSchema.optional(),
  glass: IdSchema.optional().openapi({ description: "Id from GET /v1/glasses." }),
};

export const SpecLinesSchema = strictObject({
  name: words(120),
  method: MethodSchema,
  lines: z.array(SpecLineInputSchema).min(1).max(MAX_LINES),
  ...shared,
}).openapi("SpecLines");

export const SpecTextSchema = strictObject({
  text: words(MAX_TEXT).min(1).openapi({ description: "One ingredient a line, as written on a card." }),
  name: words(120).optional(),
  method: MethodSchema.optional().openapi({ description: "Needed unless the text names it." }),
  ...shared,
}).openapi("SpecText");

export const SpecInputSchema = z
  .union([SpecLinesSchema, SpecTextSchema])
  .openapi("SpecInput", { description: "A spec by lines, or as written text; never both." });

/** A spec as answers give it: the engine's own, without the limits on what is sent. */
export const SpecLineSchema = z
  .object({
    ingredient: z.string(),
    amount: z.number(),
    unit: UnitIdSchema,
    stage: z.enum(["mix", "top"]).optional(),
  })
  .openapi("SpecLine");

export const SpecSchema = z
  .object({
    name: z.string(),
    method: MethodSchema,
    lines: z.array(SpecLineSchema),
    dilution: DilutionChoiceSchema.optional(),
    glass: z.string().optional(),
  })
  .openapi("Spec");

export type SpecInput = z.infer<typeof SpecInputSchema>;

/** How a text was read, line by line; empty for a spec given by lines. */
export const ReadingSchema = z
  .object({
    raw: z.string(),
    lineNumber: z.number().int(),
    ingredient: z.string(),
    name: z.string(),
    amount: z.number(),
    unit: UnitIdSchema,
    assumptions: z.array(z.string()),
  })
  .openapi("Reading");
