import * as z from "zod/mini";
import {
  LEAST_AMOUNT,
  LEAST_STEP_ML,
  LONGEST,
  MOST_AXIS_VALUE,
  MOST_STEP_ML,
  MOST_UNIT_ML,
  MOST_UNIT_SD_ML,
  MOST_VOLUME_ML,
  type Range,
} from "../limits.ts";
import { must, pattern } from "./check.ts";

/** Ids of pantry items, drinks, rounds: bounded, and safe to echo. */
export const idShape = z
  .string()
  .check(
    z.minLength(1),
    z.maxLength(LONGEST.id),
    pattern(
      /^[A-Za-z0-9][A-Za-z0-9:._-]*$/,
      "an id has letters, digits and : . _ - only",
      "take one from GET /v1/pantry or make your own in that form",
    ),
  );

/** Free text a person writes, bounded. */
export function text(longest: number, description?: string) {
  return z.string().check(z.maxLength(longest), described(description));
}

/** A whole number within a closed range. */
export function whole(min: number, max: number, description?: string) {
  return z.int().check(z.minimum(min), z.maximum(max), described(description));
}

/** At most `most` of something. */
export function list<S extends z.ZodMiniType>(item: S, most: number, description?: string) {
  return z.array(item).check(z.maxLength(most), described(description));
}

/** An object with any of the fields named. */
export function someOf<Id extends string, S extends z.ZodMiniType>(
  ids: readonly Id[],
  shapeOf: (id: Id) => S,
) {
  const fields = Object.fromEntries(ids.map((id) => [id, z.exactOptional(shapeOf(id))]));
  return z.strictObject(fields as Record<Id, z.ZodMiniExactOptional<S>>);
}

/** Nothing where there is nothing to say. */
const described = (description: string | undefined) =>
  description === undefined ? z.meta({}) : z.describe(description);

/** A number within a closed range. */
export function within({ min, max }: Pick<Range, "min" | "max">) {
  return z.number().check(z.minimum(min), z.maximum(max));
}

/** Nearer to 0 than this, a number is no figure anybody measured, and what is divided by it is none at all. */
const NEAREST_TO_NOTHING = 1e-12;

/** A figure of the kitchen within a closed range: 0, or a size that can be divided by. */
export function figureWithin(range: Pick<Range, "min" | "max">) {
  return within(range).check(
    must((x) => x === 0 || Math.abs(x) >= NEAREST_TO_NOTHING, "this is next to nothing", "write 0"),
  );
}

/** A size that is not nothing: below LEAST_AMOUNT what is divided by it loses its meaning. At most `max`. */
export function positive(max: number) {
  return within({ min: LEAST_AMOUNT, max });
}

/** A name: text that is there. */
export function nameText(longest: number) {
  return z.string().check(z.minLength(1), z.maxLength(longest));
}

/** A volume of 0 or more, mL. */
export const volumeMlShape = within({ min: 0, max: MOST_VOLUME_ML });

const sizeMl = positive(MOST_UNIT_ML);
const sdMl = within({ min: 0, max: MOST_UNIT_SD_ML });

/** Sizes of the units that no standard defines, in mL, with their standard uncertainty; a "part" is exact. */
export const unitSettingsShape = z.strictObject({
  barspoonMl: sizeMl,
  barspoonSdMl: sdMl,
  dashMl: sizeMl,
  dashSdMl: sdMl,
  dropMl: sizeMl,
  dropSdMl: sdMl,
  partMl: sizeMl,
});

/** Steps of the user's own tools, mL. */
export const stepMlShape = within({ min: LEAST_STEP_ML, max: MOST_STEP_ML });

const end = z.nullable(within({ min: -MOST_AXIS_VALUE, max: MOST_AXIS_VALUE }));

/** A range of one axis, in the axis's unit; null leaves that side open. */
export const intervalShape = z
  .readonly(z.tuple([end, end]))
  .check(
    must(
      ([low, high]) => low === null || high === null || low <= high,
      "the lower end is above the upper end",
      "write [low, high], null for open",
    ),
  );
