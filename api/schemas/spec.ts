import { z } from "@hono/zod-openapi";
import { ICE_CONDITION_IDS, METHOD_IDS, SERVING_ICE_IDS, STAGE_IDS } from "../../engine/ids.ts";
import {
  ICE_CONDITIONS,
  LEAST_AMOUNT,
  LONGEST,
  MOST,
  MOST_AMOUNT,
  MOST_VOLUME_ML,
} from "../../engine/limits.ts";
import type { IceConditions } from "../../engine/types.ts";
import { UnitIdSchema } from "./amount.ts";
import { IdSchema, strictObject, words } from "./strict.ts";

export const MethodSchema = z.enum(METHOD_IDS).openapi("Method");

const SpecLineInputSchema = strictObject({
  ingredient: IdSchema.openapi({ description: "Id from GET /v1/pantry or from this request's ingredients." }),
  amount: z
    .number()
    .min(0)
    .max(MOST_AMOUNT)
    .refine((amount) => amount <= 0 || amount >= LEAST_AMOUNT, {
      message: `nobody can pour so little; give 0 or at least ${LEAST_AMOUNT}`,
    }),
  unit: UnitIdSchema,
  stage: z
    .enum(STAGE_IDS)
    .optional()
    .openapi({ description: "mix: goes over the ice. top: added after, takes no melt water." }),
}).openapi("SpecLineInput");

const CalibrationSchema = strictObject({
  factor: z.number().positive().max(10),
  sd: z.number().min(0).max(10),
  n: z.number().int().min(0).max(10_000),
});

const IceConditionsSchema = strictObject(
  Object.fromEntries(
    ICE_CONDITION_IDS.map((id) => {
      const { min, max, unit } = ICE_CONDITIONS[id];
      return [id, z.number().min(min).max(max).optional().openapi({ description: unit })];
    }),
  ) as Record<keyof IceConditions, z.ZodOptional<z.ZodNumber>>,
);

const measure = z.number().positive().max(MOST_VOLUME_ML);

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
      waterMl: z.number().min(0).max(MOST_VOLUME_ML).optional(),
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
  servedOn: z
    .enum(SERVING_ICE_IDS)
    .optional()
    .openapi({ description: "Ice in the glass it is served in; left out: as usual for method and glass." }),
};

export const SpecLinesSchema = strictObject({
  name: words(LONGEST.name),
  method: MethodSchema,
  lines: z.array(SpecLineInputSchema).min(1).max(MOST.lines),
  ...shared,
}).openapi("SpecLines");

export const SpecTextSchema = strictObject({
  text: words(LONGEST.recipe).min(1).openapi({ description: "One ingredient a line, as written on a card." }),
  name: words(LONGEST.name).optional(),
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
    stage: z.enum(STAGE_IDS).optional(),
  })
  .openapi("SpecLine");

export const SpecSchema = z
  .object({
    name: z.string(),
    method: MethodSchema,
    lines: z.array(SpecLineSchema),
    dilution: DilutionChoiceSchema.optional(),
    glass: z.string().optional(),
    servedOn: z.enum(SERVING_ICE_IDS).optional(),
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
