import { z } from "@hono/zod-openapi";
import { UNIT_IDS } from "../../engine/ids.ts";
import { strictObject, words } from "./strict.ts";

export const UnitIdSchema = z.enum(UNIT_IDS).openapi("UnitId", {
  description: "oz is the US fluid ounce, 29.5735295625 mL. g goes through density; piece needs its size.",
});

/** A size in mL that makes sense for a measure behind a bar. */
const sizeMl = z.number().positive().max(1000);

export const UnitSettingsSchema = strictObject({
  barspoonMl: sizeMl.optional(),
  barspoonSdMl: z.number().min(0).max(100).optional(),
  dashMl: sizeMl.optional(),
  dashSdMl: z.number().min(0).max(100).optional(),
  dropMl: sizeMl.optional(),
  dropSdMl: z.number().min(0).max(100).optional(),
  partMl: sizeMl.optional(),
}).openapi("UnitSettings", {
  description: "Your own sizes for the units no standard defines; the ones left out keep their defaults.",
});

export const LadderIdSchema = z.enum(["us-jigger", "metric-jigger", "scale"]);

export const PourLadderSchema = z.object({
  id: z.enum(["us-jigger", "metric-jigger", "scale", "own"]),
  name: z.string(),
  stepMl: z.number(),
  fineStepMl: z.number().optional(),
  fineBelowMl: z.number().optional(),
  stepG: z.number().optional(),
  displayUnit: UnitIdSchema,
});

/** Below this step a search over the ladder has no practical meaning and no practical end. */
const SMALLEST_STEP_ML = 0.05;
const step = z.number().min(SMALLEST_STEP_ML).max(500);

export const LadderInputSchema = z
  .union([
    LadderIdSchema,
    strictObject({
      name: words(80).optional(),
      stepMl: step,
      fineStepMl: step.optional(),
      fineBelowMl: z.number().positive().max(500).optional(),
      displayUnit: UnitIdSchema,
    }).refine((l) => (l.fineStepMl === undefined) === (l.fineBelowMl === undefined), {
      message: "fineStepMl and fineBelowMl go together; give both or neither",
    }),
  ])
  .openapi("LadderInput", {
    description: "The amounts your tools can measure: a known ladder by name, or your own steps.",
  });
