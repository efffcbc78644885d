import { z } from "zod";
import { AXIS_IDS } from "../../engine/ids.ts";
import { COVERAGE, LONGEST, MOST, MOST_RATIO } from "../../engine/limits.ts";
import { idShape, intervalShape, positive, text, within } from "../../engine/shapes/amounts.ts";
import { must } from "../../engine/shapes/check.ts";
import { number } from "./number.ts";
import { Mat3Schema, PointSchema, Vec3Schema } from "./point.ts";

z.globalRegistry.add(intervalShape, {
  id: "Interval",
  description: "[low, high] in the axis's unit; null leaves that side open.",
});

const name = z.optional(text(LONGEST.name));

const ratioEnd = (description: string) =>
  z.nullable(within({ min: 0, max: MOST_RATIO })).meta({ description });

export const EllipsoidTargetSchema = z
  .strictObject({
    kind: z.literal("ellipsoid"),
    name,
    mean: Vec3Schema,
    covariance: Mat3Schema,
    radius: positive(100).check(z.describe("Mahalanobis distance of the surface, standard deviations.")),
  })
  .meta({ id: "EllipsoidTarget" });

const shapes = [
  z
    .strictObject({
      kind: z.literal("box"),
      name,
      sugarGPer100Ml: z.optional(intervalShape),
      acidGPer100Ml: z.optional(intervalShape),
      abvPercent: z.optional(intervalShape),
    })
    .meta({ id: "BoxTarget", description: "A range on each axis named." }),
  EllipsoidTargetSchema,
  z
    .strictObject({
      kind: z.literal("ratio"),
      name,
      min: ratioEnd("Least sugar to acid, g/g; null for none."),
      max: ratioEnd("Most sugar to acid, g/g; null for none."),
    })
    .meta({ id: "RatioTarget", description: "Sugar to acid, by weight." }),
  z
    .strictObject({
      kind: z.literal("half-space"),
      name,
      normal: Vec3Schema,
      offset: within({ min: -1e6, max: 1e6 }).check(
        z.describe("In the units of normal · (sugar, acid, ABV)."),
      ),
    })
    .meta({ id: "HalfSpaceTarget", description: "normal · (sugar, acid, ABV) ≤ offset" }),
] as const;

export const TargetSpecSchema = z
  .discriminatedUnion("kind", [
    ...shapes,
    z
      .strictObject({
        kind: z.literal("intersection"),
        name,
        parts: z.array(z.discriminatedUnion("kind", shapes)).min(1).max(MOST.targetParts),
      })
      .meta({
        id: "IntersectionTarget",
        description: "Inside every part. Nested intersections are written flat.",
      }),
  ])
  .meta({ id: "TargetSpec" });

/**
 * The range over which the engine vouches for a family region, in whole percents: finer steps mean
 * nothing at these sample sizes, and each region is computed once and kept.
 */
export const coverageShape = within(COVERAGE).check(
  must((x) => Math.abs(100 * x - Math.round(100 * x)) < 1e-9, "too fine a step", "give a multiple of 0.01"),
  z.describe("Share of such drinks that a family's region is meant to hold, in whole percents."),
);

const ById = z.strictObject({ id: idShape, coverage: z.optional(coverageShape) }).meta({
  id: "NamedTarget",
  description:
    "One of GET /v1/targets; or likeliest, the family the drink is most like by what is poured; or near: and the id of a reference drink.",
});
const ByIds = z
  .strictObject({
    ids: z.array(idShape).min(1).max(MOST.targetParts),
    coverage: z.optional(coverageShape),
  })
  .meta({ id: "NamedTargets", description: "Inside every one of them; one named twice counts once." });

export const TargetInputSchema = z.union([ById, ByIds, TargetSpecSchema]).meta({ id: "TargetInput" });
export type TargetInput = z.infer<typeof TargetInputSchema>;

/** Where a request aims, which it need not say. */
export const AimSchema = TargetInputSchema.optional().meta({
  description: "Default: the family the drink is most like, named among the answer's assumptions.",
});

export const MembershipSchema = z
  .object({
    inside: z.boolean(),
    signedDistance: number("To the edge, axis-scale units: negative inside."),
    violations: z.array(
      z.object({
        face: z.string(),
        measure: z.enum([...AXIS_IDS, "ratio", "face"]),
        side: z.enum(["short", "over"]),
        by: number("How far outside, in `unit`."),
        unit: z.string(),
        text: z.string(),
      }),
    ),
    nearest: PointSchema,
    mahalanobis: z
      .number()
      .nullable()
      .meta({ description: "Standard deviations from an ellipsoid's middle." }),
    text: z.string(),
  })
  .meta({ id: "Membership" });

export const TargetEntrySchema = z
  .object({
    id: z.string(),
    name: z.string(),
    origin: z
      .enum(["reference-drinks", "published"])
      .meta({ description: "Computed here from the reference drinks, or one author's published band." }),
    meaning: z.string(),
    target: TargetSpecSchema,
    coverage: z
      .number()
      .nullable()
      .meta({ description: "Share of such drinks it is meant to hold, 0 to 1." }),
    n: z.int().nullable().meta({ description: "Reference drinks behind it." }),
    members: z.array(z.string()).meta({ description: "Ids of those drinks." }),
    mean: Vec3Schema.nullable(),
    covariance: Mat3Schema.nullable(),
    method: z.string().nullable(),
    source: z.string().nullable().meta({ description: "Id in GET /v1/sources." }),
    memory: z.boolean().optional(),
    note: z.string().nullable(),
  })
  .meta({ id: "TargetEntry" });
