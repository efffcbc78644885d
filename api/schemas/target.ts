import { z } from "@hono/zod-openapi";
import { AXIS_IDS } from "../../engine/ids.ts";
import { COVERAGE, LONGEST, MOST, MOST_AXIS_VALUE, MOST_RATIO } from "../../engine/limits.ts";
import { Mat3Schema, PointSchema, Vec3Schema } from "./point.ts";
import { IdSchema, strictObject, words } from "./strict.ts";

const limit = z.number().min(-MOST_AXIS_VALUE).max(MOST_AXIS_VALUE);

const IntervalSchema = z
  .tuple([limit.nullable(), limit.nullable()])
  .readonly()
  .refine(([low, high]) => low === null || high === null || low <= high, {
    message: "the lower end is above the upper end; write [low, high], null for open",
  })
  .openapi("Interval", { description: "[low, high]; null leaves that side open." });

const name = words(LONGEST.name).optional();

const BoxSchema = strictObject({
  kind: z.literal("box"),
  name,
  sugarGPer100Ml: IntervalSchema.optional(),
  acidGPer100Ml: IntervalSchema.optional(),
  abvPercent: IntervalSchema.optional(),
});

const EllipsoidSchema = strictObject({
  kind: z.literal("ellipsoid"),
  name,
  mean: Vec3Schema,
  covariance: Mat3Schema,
  radius: z.number().positive().max(100).openapi({ description: "Mahalanobis distance of the surface." }),
});

const RatioSchema = strictObject({
  kind: z.literal("ratio"),
  name,
  min: z.number().min(0).max(MOST_RATIO).nullable(),
  max: z.number().min(0).max(MOST_RATIO).nullable(),
}).openapi({ description: "Sugar to acid, by weight." });

const HalfSpaceSchema = strictObject({
  kind: z.literal("half-space"),
  name,
  normal: Vec3Schema,
  offset: z.number().min(-1e6).max(1e6),
}).openapi({ description: "normal · (sugar, acid, ABV) ≤ offset" });

const shapes = [BoxSchema, EllipsoidSchema, RatioSchema, HalfSpaceSchema] as const;

export const TargetSpecSchema = z
  .discriminatedUnion("kind", [
    ...shapes,
    strictObject({
      kind: z.literal("intersection"),
      name,
      parts: z.array(z.discriminatedUnion("kind", shapes)).min(1).max(MOST.targetParts),
    }).openapi({ description: "Inside every part. Nested intersections are written flat." }),
  ])
  .openapi("TargetSpec");

/**
 * The range over which the engine vouches for a family region, in whole percents: finer steps mean
 * nothing at these sample sizes, and each region is computed once and kept.
 */
export function coverageLimits(number: z.ZodNumber) {
  return number.min(COVERAGE.min).max(COVERAGE.max).multipleOf(0.01);
}

const coverage = coverageLimits(z.number())
  .optional()
  .openapi({ description: "Family targets only: share of such drinks the region is meant to hold." });

const ById = strictObject({ id: IdSchema, coverage }).openapi({ description: "From GET /v1/targets." });
const ByIds = strictObject({ ids: z.array(IdSchema).min(1).max(MOST.targetParts), coverage }).openapi({
  description: "Inside every one of them.",
});

export const TargetInputSchema = z.union([ById, ByIds, TargetSpecSchema]).openapi("TargetInput");
export type TargetInput = z.infer<typeof TargetInputSchema>;

export const MembershipSchema = z
  .object({
    inside: z.boolean(),
    signedDistance: z.number().openapi({ description: "Axis-scale units: negative inside." }),
    violations: z.array(
      z.object({
        face: z.string(),
        measure: z.enum([...AXIS_IDS, "ratio", "face"]),
        side: z.enum(["short", "over"]),
        by: z.number(),
        unit: z.string(),
        text: z.string(),
      }),
    ),
    nearest: PointSchema,
    mahalanobis: z.number().nullable(),
    text: z.string(),
  })
  .openapi("Membership");

export const TargetEntrySchema = z
  .object({
    id: z.string(),
    name: z.string(),
    origin: z
      .enum(["reference-drinks", "published"])
      .openapi({ description: "Computed here from the reference drinks, or one author's published band." }),
    meaning: z.string(),
    target: TargetSpecSchema,
    coverage: z.number().nullable(),
    n: z.number().int().nullable().openapi({ description: "Reference drinks behind it." }),
    members: z.array(z.string()).openapi({ description: "Ids of those drinks." }),
    mean: Vec3Schema.nullable(),
    covariance: Mat3Schema.nullable(),
    method: z.string().nullable(),
    source: z.string().nullable().openapi({ description: "Id in GET /v1/sources." }),
    memory: z.boolean().optional(),
    note: z.string().nullable(),
  })
  .openapi("TargetEntry");
