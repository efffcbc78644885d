import { z } from "zod";
import { ACID_IDS, CAUTION_IDS, ROLE_IDS, SUGAR_IDS } from "../../engine/ids.ts";
import { COMPOSITION, LONGEST, MOST, type Range } from "../../engine/limits.ts";
import { idShape, text, within } from "../../engine/shapes/amounts.ts";
import { number } from "./number.ts";

export const RoleSchema = z.enum(ROLE_IDS).meta({ id: "Role" });

export const CautionIdSchema = z.enum(CAUTION_IDS).meta({ id: "CautionId" });

/** One optional key per name. */
export function optionalKeys<const N extends readonly string[], S extends z.ZodType>(names: N, schema: S) {
  return Object.fromEntries(names.map((name) => [name, schema.optional()])) as {
    [K in N[number]]: z.ZodOptional<S>;
  };
}

export const SourcedValueSchema = z
  .object({
    value: number("In the unit of the field it stands in."),
    sd: number("Standard uncertainty, same unit as value."),
    source: z.string().meta({ description: "Id in GET /v1/sources." }),
    memory: z.boolean().optional().meta({ description: "True when recalled and not read in the source." }),
    note: z.string().optional(),
  })
  .meta({ id: "SourcedValue" });

export const IngredientSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    role: RoleSchema,
    kind: z
      .string()
      .optional()
      .meta({ description: "What it is within its role: the nearest swaps share it." }),
    aliases: z.array(z.string()),
    abvPercent: SourcedValueSchema,
    sugarsGPer100Ml: z.object(optionalKeys(SUGAR_IDS, SourcedValueSchema)),
    acidsGPer100Ml: z.object(optionalKeys(ACID_IDS, SourcedValueSchema)),
    densityGPerMl: SourcedValueSchema.optional(),
    otherSolidsGPer100Ml: SourcedValueSchema.optional(),
    cationsMeqPerL: SourcedValueSchema.optional().meta({
      description: "Charge of potassium, sodium, calcium and magnesium that buffer it, meq/L: for its pH.",
    }),
    addAfterDilution: z.boolean().optional(),
    pieceMl: SourcedValueSchema.optional(),
    wedgeMl: SourcedValueSchema.optional().meta({ description: "Juice of one wedge." }),
    staple: z.boolean().optional().meta({ description: "In any bar's reach: may be suggested." }),
    unstated: z.boolean().optional().meta({ description: "Stands for a name that leaves its kind open." }),
    curdles: z.boolean().optional().meta({ description: "Sets or splits when it meets acid." }),
    syrup: z.object({ family: z.string(), ratio: z.string() }).optional(),
    cautions: z.array(CautionIdSchema).optional(),
    disagreements: z
      .array(
        z.object({
          quantity: z.string(),
          value: number("In `unit`."),
          sd: number("Standard uncertainty, in `unit`."),
          unit: z.string(),
          source: z.string(),
          note: z.string().optional(),
        }),
      )
      .optional(),
    note: z.string().optional(),
    own: z.boolean().optional(),
  })
  .meta({ id: "Ingredient" });

/** A bare number, or one with its standard uncertainty and where it came from. */
function ownValue(range: Range) {
  const value = within(range).check(z.describe(range.unit));
  return z
    .union([
      value,
      z.strictObject({
        value,
        sd: z.optional(
          within({ min: 0, max: range.max }).check(z.describe(`Standard uncertainty, ${range.unit}.`)),
        ),
        source: z.optional(text(LONGEST.source)),
        note: z.optional(text(LONGEST.note)),
      }),
    ])
    .meta({ description: range.unit });
}

export const OwnIngredientSchema = z
  .strictObject({
    id: idShape,
    name: z.string().min(1).max(LONGEST.name),
    role: RoleSchema.optional(),
    aliases: z.array(text(LONGEST.alias)).max(MOST.aliases).optional(),
    abvPercent: ownValue(COMPOSITION.abvPercent).optional(),
    sugarsGPer100Ml: z.strictObject(optionalKeys(SUGAR_IDS, ownValue(COMPOSITION.sugarGPer100Ml))).optional(),
    acidsGPer100Ml: z.strictObject(optionalKeys(ACID_IDS, ownValue(COMPOSITION.acidGPer100Ml))).optional(),
    densityGPerMl: ownValue(COMPOSITION.densityGPerMl).optional(),
    otherSolidsGPer100Ml: ownValue(COMPOSITION.otherSolidsGPer100Ml).optional(),
    addAfterDilution: z.boolean().optional(),
    pieceMl: ownValue(COMPOSITION.pieceMl).optional(),
    curdles: z.boolean().optional().meta({ description: "Sets or splits when it meets acid." }),
    cautions: z.array(CautionIdSchema).max(CAUTION_IDS.length).optional(),
    note: z.optional(text(LONGEST.note)),
  })
  .meta({
    id: "OwnIngredient",
    description:
      "An ingredient of yours for this one request: composition per 100 mL at 20 °C. A bare number is taken as exact; give {value, sd} to say how sure you are. An id the pantry has replaces the pantry's figures.",
  });

/** What a request may bring along. */
export const OwnIngredientsSchema = z.array(OwnIngredientSchema).max(MOST.ownIngredients);
