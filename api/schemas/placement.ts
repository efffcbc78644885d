import { z } from "zod";
import { DOUBT_KIND_IDS } from "../../engine/ids.ts";
import { UnitIdSchema } from "./amount.ts";
import { CautionIdSchema } from "./ingredient.ts";
import { number } from "./number.ts";
import { Mat3Schema, PointSchema, Vec3Schema } from "./point.ts";

const ratio = number("Water added over volume poured into the mix, mL/mL.");
const ratioSd = number("Standard uncertainty of the ratio, mL/mL.");

const DilutionEstimateSchema = z
  .object({
    ratio,
    ratioSd,
    waterMl: z.number(),
    source: z.string(),
  })
  .meta({ id: "DilutionEstimate" });

const DilutionReportSchema = z
  .object({
    used: z.enum(["regression", "energy", "measured", "none"]),
    ratio,
    ratioSd,
    waterMl: z.number(),
    finalTempC: z.number().nullable().meta({ description: "Of the finished drink, toppings included." }),
    finalTempSdC: z.number().nullable(),
    regression: DilutionEstimateSchema.nullable()
      .optional()
      .meta({ description: "With models: the method's curve." }),
    energy: DilutionEstimateSchema.nullable().optional().meta({
      description: "With models: the curve corrected for ice, temperatures, vessel and size.",
    }),
    trust: z.enum(["regression", "energy", "measured", "none", "measure"]).meta({
      description: "Which figure to rely on; measure: neither is good enough, measure the finished drink.",
    }),
    because: z.enum([
      "measured",
      "no-ice",
      "usual-drink",
      "calibrated",
      "own-conditions",
      "unusual-size",
      "outside-curve",
      "no-published-curve",
      "ice-runs-out",
      "ice-stays-whole",
    ]),
    reason: z.string(),
  })
  .meta({ id: "DilutionReport" });

const cost = z.number().nullable().meta({ description: "In your currency; null without every price." });

const LinePlacementSchema = z
  .object({
    ingredient: z.string(),
    name: z.string(),
    volumeMl: z.number(),
    massG: z.number(),
    shareOfFinishedPercent: z.number(),
    sugarG: z.number(),
    acidG: number("g as anhydrous citric acid."),
    ethanolMl: z.number(),
    sugarSharePercent: z.number(),
    acidSharePercent: z.number(),
    ethanolSharePercent: z.number(),
    cost,
  })
  .meta({ id: "LinePlacement" });

/** Where a doubt comes from; shared with the advice to settle it. */
export const doubtSource = {
  kind: z.enum(DOUBT_KIND_IDS),
  ingredient: z.string().optional().meta({ description: "Whose, for a quantity of an ingredient." }),
  unit: UnitIdSchema.optional().meta({ description: "Of the kind unit." }),
};

const DoubtShareSchema = z
  .object({
    id: z.string(),
    ...doubtSource,
    label: z.string(),
    variance: Vec3Schema.meta({ description: "What it adds to each axis's variance, squared axis units." }),
    covariance: Mat3Schema.optional().meta({
      description: "The same with the covariances between axes; over all doubts they sum to the point's.",
    }),
  })
  .meta({ id: "DoubtShare" });

const WashLineSchema = z
  .object({
    glass: z.string(),
    name: z.string(),
    capacityMl: z.number(),
    fillPercent: z.number(),
    iceMl: number("Room the ice takes below the surface, mL."),
    verdict: z.string(),
  })
  .meta({ id: "WashLine" });

const standardDrinks = (what: string) => number(`Standard drinks by the definition of the ${what}.`);

export const PlacementSchema = z
  .object({
    point: PointSchema,
    sd: PointSchema.meta({ description: "Standard uncertainty of each coordinate." }),
    covariance: Mat3Schema,
    sugarAcidRatio: z.number().nullable().meta({ description: "g/g; null when there is no acid." }),
    initialVolumeMl: z.number(),
    initialAbvPercent: z.number(),
    finishedVolumeMl: z.number(),
    finishedVolumeSdMl: z.number(),
    finishedMassG: z.number(),
    dilution: DilutionReportSchema,
    washLine: WashLineSchema.nullable(),
    energyKcal: z.number(),
    ethanolG: z.number(),
    standardDrinks: z.object({
      us: standardDrinks("US (14 g ethanol)"),
      uk: standardDrinks("UK (a unit, 8 g ethanol)"),
      au: standardDrinks("Australia (10 g ethanol)"),
    }),
    lines: z.array(LinePlacementSchema),
    doubts: z
      .array(DoubtShareSchema)
      .optional()
      .meta({ description: "With doubts: largest first; they sum to the covariance." }),
    cost,
    cautions: z.array(CautionIdSchema),
    warnings: z.array(z.string()),
  })
  .meta({ id: "Placement" });
