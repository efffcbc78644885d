import * as z from "zod/mini";
import { ICE_CONDITION_IDS, METHOD_IDS, SERVING_ICE_IDS, STAGE_IDS, UNIT_IDS } from "../ids.ts";
import {
  ICE_CONDITIONS,
  LEAST_AMOUNT,
  LONGEST,
  MOST,
  MOST_AMOUNT,
  MOST_AMOUNT_SD_PERCENT,
  MOST_VOLUME_ML,
} from "../limits.ts";
import { idShape, list, positive, someOf, text, volumeMlShape, whole, within } from "./amounts.ts";
import { must } from "./check.ts";

/** One line of a spec. */
export const specLineShape = z.strictObject({
  /** Pantry id. */
  ingredient: idShape,
  amount: within({ min: 0, max: MOST_AMOUNT }).check(
    must(
      (amount) => amount <= 0 || amount >= LEAST_AMOUNT,
      "nobody can pour so little",
      `give 0 or at least ${LEAST_AMOUNT}`,
    ),
    z.describe("In the line's unit."),
  ),
  unit: z.enum(UNIT_IDS),
  /** Overrides the pantry's habit: mixed with ice, or added after. */
  stage: z.exactOptional(
    z.enum(STAGE_IDS).check(z.describe("mix: goes over the ice. top: added after, takes no melt water.")),
  ),
  /**
   * Standard uncertainty of the amount, percent of it, where words gave it and no measure did ("a splash",
   * "20–25 mL", filled to the wash line). Absent: the hand's own pouring error.
   */
  amountSdPercent: z.exactOptional(
    within({ min: 0, max: MOST_AMOUNT_SD_PERCENT }).check(
      z.describe(
        "Standard uncertainty, percent of the amount, where words gave it: a splash, a range, a fill.",
      ),
    ),
  ),
});

/** Learned from the user's measured rounds: multiplies the model's water. */
export const calibrationShape = z.strictObject({
  factor: positive(10).check(z.describe("Your water over the model's.")),
  sd: within({ min: 0, max: 10 }).check(
    z.describe("Standard uncertainty of the factor, for the next round."),
  ),
  /** How many measured rounds it came from. */
  n: whole(0, 10_000, "Measured rounds it came from."),
});
const calibration = z.exactOptional(calibrationShape);

/** What the ice balance rests on. */
export const conditionsShape = someOf(ICE_CONDITION_IDS, (id) => {
  const range = ICE_CONDITIONS[id];
  return within(range).check(z.describe(range.unit || "Share, 0 to 1."));
});

const measured = positive(MOST_VOLUME_ML);

/** How the water from ice is found, by model. */
export const dilutionShapes = [
  z.strictObject({ model: z.literal("regression"), calibration }),
  /** The same curve, corrected for your ice, temperatures, vessel and size. */
  z.strictObject({ model: z.literal("energy"), conditions: z.exactOptional(conditionsShape), calibration }),
  /** The user measured the glass; exactly one of the three is given. */
  z
    .strictObject({
      model: z.literal("measured"),
      finishedVolumeMl: z.exactOptional(measured),
      finishedMassG: z.exactOptional(measured),
      waterMl: z.exactOptional(volumeMlShape),
      sdMl: z.exactOptional(within({ min: 0, max: 1000 })),
    })
    .check(
      must(
        (d) => [d.finishedVolumeMl, d.finishedMassG, d.waterMl].filter((v) => v !== undefined).length === 1,
        "a measured glass is given one way",
        "give exactly one of finishedVolumeMl, finishedMassG, waterMl",
      ),
    ),
] as const;

/** How the water from ice is found. Default: `{ model: "regression" }`. */
export const dilutionShape = z.discriminatedUnion("model", dilutionShapes);

/** A spec by lines; one being written may have none yet. */
export const specShape = z.strictObject({
  name: text(LONGEST.name),
  method: z.enum(METHOD_IDS),
  lines: list(specLineShape, MOST.lines),
  dilution: z.exactOptional(dilutionShape),
  glass: z.exactOptional(idShape),
  /** Absent: as is usual for the method and the glass. */
  servedOn: z.exactOptional(
    z
      .enum(SERVING_ICE_IDS)
      .check(z.describe("Ice in the glass it is served in; left out: as usual for method and glass.")),
  ),
});
