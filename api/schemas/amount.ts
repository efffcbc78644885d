import { z } from "zod";
import { LADDER_IDS, NAMED_LADDER_IDS, UNIT_IDS } from "../../engine/ids.ts";
import { LONGEST, MOST_STEP_ML } from "../../engine/limits.ts";
import { positive, stepMlShape, text, unitSettingsShape } from "../../engine/shapes/amounts.ts";
import { must } from "../../engine/shapes/check.ts";

export const UnitIdSchema = z.enum(UNIT_IDS).meta({
  id: "UnitId",
  description: "oz is the US fluid ounce, 29.5735295625 mL. g goes through density; piece needs its size.",
});

export const UnitSettingsSchema = z.strictObject(unitSettingsShape.shape).partial().meta({
  id: "UnitSettings",
  description: "Your own sizes for the units no standard defines; the ones left out keep their defaults.",
});

export const PourLadderSchema = z
  .object({
    id: z.enum(LADDER_IDS),
    name: z.string(),
    stepMl: z.number(),
    fineStepMl: z.number().optional(),
    fineBelowMl: z.number().optional(),
    stepG: z.number().optional(),
    displayUnit: UnitIdSchema,
  })
  .meta({ id: "PourLadder" });

const OwnLadderSchema = z
  .strictObject({
    name: z.optional(text(LONGEST.name)),
    stepMl: stepMlShape,
    fineStepMl: z.optional(stepMlShape),
    fineBelowMl: z.optional(positive(MOST_STEP_ML)),
    displayUnit: UnitIdSchema,
  })
  .check(
    must(
      (ladder) => (ladder.fineStepMl === undefined) === (ladder.fineBelowMl === undefined),
      "fineStepMl and fineBelowMl go together",
      "give both or neither",
    ),
  )
  .meta({ id: "OwnLadder", description: "Multiples of stepMl, and of fineStepMl below fineBelowMl." });

export const LadderInputSchema = z.union([z.enum(NAMED_LADDER_IDS), OwnLadderSchema]).meta({
  id: "LadderInput",
  description: "The amounts your tools can measure: a known ladder by name, or your own steps.",
});
