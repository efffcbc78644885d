import { z } from "@hono/zod-openapi";
import { DOUBT_KIND_IDS } from "../../engine/ids.ts";
import { UnitIdSchema } from "./amount.ts";
import { CautionIdSchema } from "./ingredient.ts";
import { Mat3Schema, PointSchema, Vec3Schema } from "./point.ts";

const DilutionEstimateSchema = z
  .object({
    ratio: z.number().openapi({ description: "Water added / volume poured over the ice." }),
    ratioSd: z.number(),
    waterMl: z.number(),
    source: z.string(),
  })
  .openapi("DilutionEstimate");

const DilutionReportSchema = z
  .object({
    used: z.enum(["regression", "energy", "measured", "none"]),
    ratio: z.number(),
    ratioSd: z.number(),
    waterMl: z.number(),
    finalTempC: z.number().nullable().openapi({ description: "Of the finished drink, toppings included." }),
    finalTempSdC: z.number().nullable(),
    regression: DilutionEstimateSchema.nullable().openapi({ description: "The method's curve." }),
    energy: DilutionEstimateSchema.nullable().openapi({
      description: "The curve corrected for ice, temperatures, vessel and size.",
    }),
    trust: z.enum(["regression", "energy", "measured", "none", "measure"]).openapi({
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
  .openapi("DilutionReport");

const LinePlacementSchema = z
  .object({
    ingredient: z.string(),
    name: z.string(),
    volumeMl: z.number(),
    massG: z.number(),
    shareOfFinishedPercent: z.number(),
    sugarG: z.number(),
    acidG: z.number(),
    ethanolMl: z.number(),
    sugarSharePercent: z.number(),
    acidSharePercent: z.number(),
    ethanolSharePercent: z.number(),
    cost: z.number().nullable(),
  })
  .openapi("LinePlacement");

/** Where a doubt comes from; shared with the advice to settle it. */
export const doubtSource = {
  kind: z.enum(DOUBT_KIND_IDS),
  ingredient: z.string().optional().openapi({ description: "Whose, for a quantity of an ingredient." }),
  unit: UnitIdSchema.optional().openapi({ description: "Of the kind unit." }),
};

const DoubtShareSchema = z
  .object({
    id: z.string(),
    ...doubtSource,
    label: z.string(),
    variance: Vec3Schema.openapi({ description: "What it adds to each axis's variance." }),
    covariance: Mat3Schema.optional().openapi({
      description: "The same with the covariances between axes; over all doubts they sum to the point's.",
    }),
  })
  .openapi("DoubtShare");

export const PlacementSchema = z
  .object({
    point: PointSchema,
    sd: PointSchema.openapi({ description: "Standard uncertainty of each coordinate." }),
    covariance: Mat3Schema,
    sugarAcidRatio: z.number().nullable().openapi({ description: "null when there is no acid." }),
    initialVolumeMl: z.number(),
    initialAbvPercent: z.number(),
    finishedVolumeMl: z.number(),
    finishedVolumeSdMl: z.number(),
    finishedMassG: z.number(),
    dilution: DilutionReportSchema,
    washLine: z
      .object({
        glass: z.string(),
        name: z.string(),
        capacityMl: z.number(),
        fillPercent: z.number(),
        iceMl: z.number().openapi({ description: "Room the ice takes below the surface." }),
        verdict: z.string(),
      })
      .nullable(),
    energyKcal: z.number(),
    ethanolG: z.number(),
    standardDrinks: z.object({ us: z.number(), uk: z.number(), au: z.number() }),
    lines: z.array(LinePlacementSchema),
    doubts: z.array(DoubtShareSchema),
    cost: z.number().nullable(),
    cautions: z.array(CautionIdSchema),
    warnings: z.array(z.string()),
  })
  .openapi("Placement");
