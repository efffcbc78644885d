import { z } from "@hono/zod-openapi";
import { ACID_IDS, CAUTION_IDS, ROLE_IDS, SUGAR_IDS } from "../../engine/ids.ts";
import { IdSchema, strictObject, words } from "./strict.ts";

export const RoleSchema = z.enum(ROLE_IDS).openapi("Role");

export const CautionIdSchema = z.enum(CAUTION_IDS).openapi("CautionId");

/** One optional key per name. */
function optionalKeys<const N extends readonly string[], S extends z.ZodType>(names: N, schema: S) {
  return Object.fromEntries(names.map((name) => [name, schema.optional()])) as {
    [K in N[number]]: z.ZodOptional<S>;
  };
}

const SourcedValueSchema = z
  .object({
    value: z.number(),
    sd: z.number().openapi({ description: "Standard uncertainty, same unit as value." }),
    source: z.string().openapi({ description: "Id in GET /v1/sources." }),
    memory: z.boolean().optional().openapi({ description: "True when recalled and not read in the source." }),
    note: z.string().optional(),
  })
  .openapi("SourcedValue");

export const IngredientSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    role: RoleSchema,
    aliases: z.array(z.string()),
    abvPercent: SourcedValueSchema,
    sugarsGPer100Ml: z.object(optionalKeys(SUGAR_IDS, SourcedValueSchema)),
    acidsGPer100Ml: z.object(optionalKeys(ACID_IDS, SourcedValueSchema)),
    densityGPerMl: SourcedValueSchema.optional(),
    otherSolidsGPer100Ml: SourcedValueSchema.optional(),
    addAfterDilution: z.boolean().optional(),
    pieceMl: SourcedValueSchema.optional(),
    syrup: z.object({ family: z.string(), ratio: z.string() }).optional(),
    cautions: z.array(CautionIdSchema).optional(),
    disagreements: z
      .array(
        z.object({
          quantity: z.string(),
          value: z.number(),
          sd: z.number(),
          unit: z.string(),
          source: z.string(),
          note: z.string().optional(),
        }),
      )
      .optional(),
    note: z.string().optional(),
    own: z.boolean().optional(),
  })
  .openapi("Ingredient");

/** A bare number, or one with its standard uncertainty and where it came from. */
function ownValue(max: number) {
  const value = z.number().min(0).max(max);
  return z.union([
    value,
    strictObject({
      value,
      sd: z.number().min(0).max(max).optional(),
      source: words(200).optional(),
      note: words(500).optional(),
    }),
  ]);
}

/** Densest pourable thing at a bar is a heavy syrup near 1.45; a dry salt or sugar is below 3. */
const MAX_DENSITY_G_PER_ML = 3;
const MAX_G_PER_100_ML = 100 * MAX_DENSITY_G_PER_ML;

export const OwnIngredientSchema = strictObject({
  id: IdSchema,
  name: words(120).min(1),
  role: RoleSchema.optional(),
  aliases: z.array(words(80)).max(20).optional(),
  abvPercent: ownValue(100).optional(),
  sugarsGPer100Ml: strictObject(optionalKeys(SUGAR_IDS, ownValue(MAX_G_PER_100_ML))).optional(),
  acidsGPer100Ml: strictObject(optionalKeys(ACID_IDS, ownValue(MAX_G_PER_100_ML))).optional(),
  densityGPerMl: ownValue(MAX_DENSITY_G_PER_ML).optional(),
  otherSolidsGPer100Ml: ownValue(MAX_G_PER_100_ML).optional(),
  addAfterDilution: z.boolean().optional(),
  pieceMl: ownValue(10_000).optional(),
  cautions: z.array(CautionIdSchema).max(CAUTION_IDS.length).optional(),
  note: words(500).optional(),
}).openapi("OwnIngredient", {
  description:
    "An ingredient of yours for this one request: composition per 100 mL at 20 °C. A bare number is taken as exact; give {value, sd} to say how sure you are. An id the pantry has replaces the pantry's figures.",
});

/** What a request may bring along; 40 is more than any one drink and its options need. */
export const OwnIngredientsSchema = z.array(OwnIngredientSchema).max(40);
