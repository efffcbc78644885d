import { z } from "@hono/zod-openapi";
import { LADDER_IDS, NAMED_LADDER_IDS, UNIT_IDS } from "../../engine/ids.ts";
import { LEAST_STEP_ML, LONGEST, MOST_STEP_ML, MOST_UNIT_ML, MOST_UNIT_SD_ML } from "../../engine/limits.ts";
import { strictObject, words } from "./strict.ts";

export const UnitIdSchema = z.enum(UNIT_IDS).openapi("UnitId", {
  description: "oz is the US fluid ounce, 29.5735295625 mL. g goes through density; piece needs its size.",
});

/** A size in mL that makes sense for a measure behind a bar. */
const sizeMl = z.number().positive().max(MOST_UNIT_ML);

export const UnitSettingsSchema = strictObject({
  barspoonMl: sizeMl.optional(),
  barspoonSdMl: z.number().min(0).max(MOST_UNIT_SD_ML).optional(),
  dashMl: sizeMl.optional(),
  dashSdMl: z.number().min(0).max(MOST_UNIT_SD_ML).optional(),
  dropMl: sizeMl.optional(),
  dropSdMl: z.number().min(0).max(MOST_UNIT_SD_ML).optional(),
  partMl: sizeMl.optional(),
}).openapi("UnitSettings", {
  description: "Your own sizes for the units no standard defines; the ones left out keep their defaults.",
});

export const LadderIdSchema = z.enum(NAMED_LADDER_IDS);

export const PourLadderSchema = z.object({
  id: z.enum(LADDER_IDS),
  name: z.string(),
  stepMl: z.number(),
  fineStepMl: z.number().optional(),
  fineBelowMl: z.number().optional(),
  stepG: z.number().optional(),
  displayUnit: UnitIdSchema,
});

const step = z.number().min(LEAST_STEP_ML).max(MOST_STEP_ML);

export const LadderInputSchema = z
  .union([
    LadderIdSchema,
    strictObject({
      name: words(LONGEST.name).optional(),
      stepMl: step,
      fineStepMl: step.optional(),
      fineBelowMl: z.number().positive().max(MOST_STEP_ML).optional(),
      displayUnit: UnitIdSchema,
    }).refine((l) => (l.fineStepMl === undefined) === (l.fineBelowMl === undefined), {
      message: "fineStepMl and fineBelowMl go together; give both or neither",
    }),
  ])
  .openapi("LadderInput", {
    description: "The amounts your tools can measure: a known ladder by name, or your own steps.",
  });
