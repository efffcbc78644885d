import { z } from "zod";
import { PART_IDS } from "../../engine/kin/words.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { includeOf } from "./include.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { number } from "./number.ts";
import { PlacementSchema } from "./placement.ts";
import { readFrame } from "./read.ts";
import { CautionSchema, PricesSchema, ProvenanceSchema } from "./reference.ts";
import { SpecInputSchema } from "./spec.ts";
import { MembershipSchema, TargetInputSchema, TargetSpecSchema } from "./target.ts";

export const PlaceBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    unitSettings: UnitSettingsSchema.optional(),
    pricePerLitre: PricesSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
    target: TargetInputSchema.optional().meta({
      description: "Say also whether the drink is inside this, and which family it is closest to.",
    }),
    include: includeOf("doubts", "kin", "models"),
  })
  .meta({ id: "PlaceBody" });

const LikelyFamilySchema = z
  .object({
    id: z.string().meta({ description: "Id in GET /v1/targets." }),
    family: z.string(),
    name: z.string(),
    probability: number("That the drink is of this family, 0 to 1; over all families they sum to 1."),
  })
  .meta({ id: "LikelyFamily" });

const NearClassicSchema = z
  .object({
    id: z.string().meta({ description: "Id in GET /v1/references; near:ID is a target." }),
    name: z.string(),
    measure: number(
      "By pour: 0, nothing in common, to 1, the same shares. By point: distance in axis-scale units.",
    ),
  })
  .meta({ id: "NearClassic" });

const KinSchema = z
  .object({
    families: z.array(LikelyFamilySchema).meta({ description: "Likeliest first, those under 1 % left out." }),
    byPour: z.array(NearClassicSchema).meta({ description: "Nearest by what is poured." }),
    byPoint: z.array(NearClassicSchema).meta({ description: "Nearest by where they land." }),
    text: z.string(),
  })
  .meta({ id: "Kin" });

const MisfitSchema = z
  .object({
    chosen: LikelyFamilySchema,
    likelier: LikelyFamilySchema,
    part: z.object({
      id: z.enum(PART_IDS),
      share: number("Of what is poured, 0 to 1."),
      usual: number("The same share in the chosen family, on average."),
    }),
    text: z.string(),
  })
  .meta({ id: "Misfit" });

const TowardSchema = z
  .object({
    target: TargetSpecSchema,
    membership: MembershipSchema,
    closest: z
      .object({
        id: z.string().meta({ description: "Id in GET /v1/targets." }),
        name: z.string(),
        inside: z.boolean(),
        signedDistance: number("To the edge of its range, axis-scale units: negative inside."),
      })
      .meta({ description: "The family whose range the drink is deepest in, or nearest to." }),
    misfit: MisfitSchema.nullable().meta({
      description: "Set when the drink is poured far more like another family than the one named; else null.",
    }),
  })
  .meta({ id: "Toward" });

export const PlaceAnswerSchema = z
  .object({
    ...readFrame,
    placement: PlacementSchema,
    kin: KinSchema.optional().meta({ description: "With kin: what the drink is like." }),
    toward: TowardSchema.optional().meta({ description: "Only when a target was given." }),
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "PlaceAnswer" });
