import { z } from "zod";
import { MOST_VOLUME_ML } from "../../engine/limits.ts";
import { within } from "../../engine/shapes/amounts.ts";
import { conditionsShape, specShape } from "../../engine/shapes/spec.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { number } from "./number.ts";
import { Vec3Schema } from "./point.ts";
import { readFrame } from "./read.ts";
import { CautionSchema, ProvenanceSchema } from "./reference.ts";
import { SpecInputSchema } from "./spec.ts";

const figure = (min: number, max: number, description: string) =>
  z.optional(within({ min, max }).check(z.describe(description)));
const servingIce = specShape.shape.servedOn.def.innerType;

export const MeltBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    seconds: figure(1, 600, "Seconds of shaking, stirring or throwing; default the method's usual time."),
    iceSideMm: figure(2, 150, "Edge of a piece of ice, mm."),
    roomTempC: figure(-10, 45, "°C."),
    conditions: z.optional(conditionsShape),
    exchangeFactor: figure(0.02, 50, "How fast heat goes over against the usual, from a calibration."),
    served: z
      .strictObject({
        on: servingIce,
        seconds: within({ min: 1, max: 7200 }).check(z.describe("Seconds it stands in the glass.")),
        iceMassG: figure(0, 5000, "g of ice in the glass."),
        iceSideMm: figure(2, 150, "Its edge, mm."),
        iceTempC: figure(-40, 0, "°C."),
        glassMassG: figure(0, 5000, "g."),
        glassTempC: figure(-40, 60, "°C."),
      })
      .optional()
      .meta({ description: "The glass it is served in, and how long it stands there." }),
    weighedWaterMl: figure(
      0,
      MOST_VOLUME_ML,
      "Melt water of one weighed drink when mixing ended, mL: your ice and your hand are fitted to it.",
    ),
    unitSettings: UnitSettingsSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
  })
  .meta({ id: "MeltBody" });

const series = (description: string) => z.array(number(description)).meta({ description });

const MeltTrackSchema = z
  .object({
    timeS: series("Seconds since pouring over the ice."),
    tempC: series("°C."),
    tempSdC: series("Standard uncertainty, °C."),
    waterMl: series("Ice water in the drink, mL."),
    ratio: series("Water over volume poured into the mix, mL/mL."),
    ratioSd: series("Standard uncertainty of the ratio, mL/mL."),
    iceLeftG: series("Ice left, g."),
    points: z.array(Vec3Schema).meta({ description: "The point at each moment: sugar, acid, ABV." }),
    phases: z.array(
      z.object({
        action: z.enum(["shaking", "stirring", "throwing", "standing"]),
        fromS: number("Seconds."),
        toS: number("Seconds."),
      }),
    ),
  })
  .meta({ id: "MeltTrack", description: "Lists of one length: the drink moment by moment." });

export const MeltAnswerSchema = z
  .object({
    ...readFrame,
    track: MeltTrackSchema,
    calibration: z
      .object({
        adherentWaterShare: number("Water on the ice, as a share of its mass."),
        exchangeFactor: number("How fast heat goes over against the usual."),
        waterMl: number("Water the model gives with these, mL."),
      })
      .optional()
      .meta({ description: "Only with weighedWaterMl: send both back to use them." }),
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "MeltAnswer" });
