import * as z from "zod/mini";
import { ROLE_IDS, STEEPED_IDS, STORAGE_IDS } from "../ids.ts";
import { LONGEST, MOST, MOST_VOLUME_ML } from "../limits.ts";
import { figureWithin, idShape, list, nameText, positive, text } from "./amounts.ts";
import { pattern } from "./check.ts";

/** Where it stands. */
export const storageShape = z.enum(STORAGE_IDS);

const figure = (min: number, max: number, unit: string) => figureWithin({ min, max }).check(z.describe(unit));
const sd = z.exactOptional(
  figure(0, 1000, "Standard uncertainty in the unit measured; default the instrument's usual one."),
);
const temperature = figure(-20, 120, "°C.");
const some = (unit: string) => positive(MOST_VOLUME_ML).check(z.describe(unit));

/** A kind of measurement: what was read, and how sure. */
const reading = <Kind extends string, Fields extends z.core.$ZodLooseShape>(kind: Kind, fields: Fields) =>
  z.strictObject({ kind: z.literal(kind), ...fields, sd });

/** A measurement of one batch. Sample temperatures in °C; `sd` replaces the instrument's usual uncertainty. */
export const measurementShape = z.discriminatedUnion("kind", [
  /** °Bx shown; leave the temperature out for an instrument that corrects for it. */
  reading("refractometer", {
    readingBrix: figure(0, 100, "°Bx shown."),
    sampleTempC: z.exactOptional(temperature),
  }),
  /** Specific gravity against water at the hydrometer's own reference temperature (usually 20). */
  reading("hydrometer", {
    specificGravity: figure(0.5, 2, "Against water at the reference temperature."),
    sampleTempC: temperature,
    referenceTempC: z.exactOptional(temperature),
  }),
  /** Sodium hydroxide to pH 8.2. */
  reading("titration", {
    titreMl: figure(0, 1000, "mL of sodium hydroxide to pH 8.2."),
    normality: positive(20).check(z.describe("mol/L.")),
    sampleMl: some("mL."),
  }),
  reading("ph", { ph: figure(-1, 15, "pH.") }),
  /** Strength printed on the label, % vol. */
  reading("label-strength", { abvPercent: figure(0, 100, "% vol.") }),
  /** Density of the distillate made up to the sample's volume, g/mL. */
  reading("distilled-density", {
    densityGPerMl: figure(0.7, 1.1, "g/mL."),
    sampleTempC: temperature,
  }),
  /** A volume weighed, at 20 °C. */
  reading("weighed-volume", { massG: some("g."), volumeMl: some("mL.") }),
]);

/** One thing that goes into a prep: a pantry id, or the id of another prep. */
const part = z.strictObject({
  ingredient: idShape,
  amount: some("In the part's unit."),
  /** Grams on a scale, or mL at 20 °C. */
  unit: z.enum(["g", "ml"]),
});

/** A house-made ingredient, one batch of it: what went in, what was done, what was measured. */
export const prepShape = z.strictObject({
  id: idShape,
  name: nameText(LONGEST.name),
  role: z.enum(ROLE_IDS),
  parts: z.readonly(list(part, MOST.lines)),
  /** Weights of the whole before and after simmering, g: what is lost is water. */
  simmered: z.exactOptional(
    z.strictObject({ beforeG: some("g, before simmering."), afterG: some("g, after it.") }),
  ),
  steeped: z.exactOptional(z.readonly(list(z.enum(STEEPED_IDS), MOST.lines))),
  measured: z.exactOptional(z.readonly(list(measurementShape, MOST.lines))),
  storage: storageShape,
  /** Calendar date, YYYY-MM-DD. */
  madeOn: z.string().check(pattern(/^\d{4}-\d{2}-\d{2}$/, "no calendar date", "write it as YYYY-MM-DD")),
  batch: text(LONGEST.name),
  note: z.exactOptional(text(LONGEST.note)),
});
