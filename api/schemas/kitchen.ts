import { z } from "zod";
import { COMPOSITION, MOST_PRICE, MOST_VOLUME_ML } from "../../engine/limits.ts";
import { ACIDS_AT_HAND } from "../../engine/prep/acids-at-hand.ts";
import type { KitchenAcidId } from "../../engine/prep/adjust.ts";
import { figureWithin, idShape, positive } from "../../engine/shapes/amounts.ts";
import { OwnIngredientsSchema, optionalKeys, SourcedValueSchema } from "./ingredient.ts";
import { number } from "./number.ts";
import { PlacementSchema } from "./placement.ts";
import {
  CompositionSchema,
  CrystalRiskSchema,
  MadeIngredientSchema,
  MeasurementSchema,
  prepFrame,
  ReplacedSchema,
} from "./prep.ts";
import { readFrame } from "./read.ts";
import { SpecInputSchema, SpecSchema } from "./spec.ts";

const pantryId = (what: string) =>
  idShape.check(z.describe(`${what}: an id from GET /v1/pantry or of your own ingredients.`));
const amount = (description: string) => positive(MOST_VOLUME_ML).check(z.describe(description));
const abv = (description: string) => positive(COMPOSITION.abvPercent.max).check(z.describe(description));
const share = (description: string) => figureWithin({ min: 0, max: 1 }).check(z.describe(description));
const own = { ingredients: OwnIngredientsSchema.optional() };

/** What is made, and what it is as an ingredient. */
const made = { composition: CompositionSchema, ingredient: MadeIngredientSchema };
const crystals = z.array(CrystalRiskSchema);

const SyrupSchema = z
  .object({
    sweetenerG: SourcedValueSchema,
    sweetenerMl: SourcedValueSchema.meta({ description: "What it fills: for a powder, loosely poured." }),
    waterG: SourcedValueSchema,
    ...made,
    crystals,
  })
  .meta({ id: "Syrup" });

const ratio = positive(1000).check(z.describe("Parts of sweetener to one of water."));

export const SyrupBodySchema = z
  .strictObject({
    sweetener: pantryId("What sweetens"),
    water: z.optional(pantryId("What it is dissolved in (default water)")),
    strength: z
      .union([
        z.strictObject({ by: z.enum(["mass", "volume"]), ratio }),
        z.strictObject({
          by: z.literal("brix"),
          brix: positive(100).check(z.describe("°Bx: % by mass dissolved.")),
        }),
      ])
      .meta({ description: "Parts by weight or by level measures, or a °Brix." }),
    want: z
      .union([
        z.strictObject({ volumeMl: amount("mL of syrup.") }),
        z.strictObject({ massG: amount("g of syrup.") }),
        z.strictObject({ sweetenerG: amount("g of sweetener at hand.") }),
      ])
      .meta({ description: "How much of it." }),
    simmered: z
      .strictObject({ beforeG: amount("g, before simmering."), afterG: amount("g, after it.") })
      .optional()
      .meta({ description: "Weights of the whole: what is lost is water." }),
    ...own,
  })
  .meta({ id: "SyrupBody" });

export const SyrupAnswerSchema = z
  .object({
    syrup: SyrupSchema,
    otherWay: z
      .object({ by: z.enum(["mass", "volume"]), syrup: SyrupSchema })
      .nullable()
      .meta({ description: "The same ratio meant the other way; null for a Brix." }),
    ...prepFrame,
  })
  .meta({ id: "SyrupAnswer" });

export const ThinBodySchema = z
  .strictObject({
    syrup: pantryId("What is thinned"),
    amountG: amount("g of it at hand."),
    to: z.union([
      z.strictObject({ brix: positive(100).check(z.describe("°Bx wanted.")) }),
      z.strictObject({ sugarGPer100Ml: positive(COMPOSITION.sugarGPer100Ml.max) }),
    ]),
    ...own,
  })
  .meta({ id: "ThinBody" });

export const ThinAnswerSchema = z
  .object({ waterG: SourcedValueSchema, ...made, crystals, ...prepFrame })
  .meta({ id: "ThinAnswer" });

const ACIDS = Object.keys(ACIDS_AT_HAND) as KitchenAcidId[];
const AcidSchema = z.enum(ACIDS).meta({ id: "KitchenAcid" });

export const AdjustBodySchema = z
  .strictObject({
    juice: pantryId("What is adjusted"),
    volumeMl: amount("mL of it."),
    goal: z
      .union([
        z.strictObject({
          titratableGPer100Ml: positive(COMPOSITION.acidGPer100Ml.max),
          shares: z
            .strictObject(
              optionalKeys(
                ACIDS,
                z.number().min(0).max(1).meta({ description: "Share of the added acid, by weight." }),
              ),
            )
            .optional()
            .meta({ description: "Default: all of the first acid." }),
        }),
        z.strictObject({ like: pantryId("Another juice, acid by acid") }),
      ])
      .meta({ description: "A titratable acidity (as anhydrous citric), or another juice's profile." }),
    acids: z
      .array(
        z.strictObject({
          acid: AcidSchema,
          purity: z.optional(
            positive(1).check(
              z.describe(
                "g of acid in a gram weighed: 0.914 for citric monohydrate; default as the pantry has it.",
              ),
            ),
          ),
          pricePerKg: z.optional(
            figureWithin({ min: 0, max: MOST_PRICE }).check(z.describe("In your currency.")),
          ),
        }),
      )
      .min(1)
      .max(ACIDS.length),
    sugarGPer100Ml: z.optional(figureWithin(COMPOSITION.sugarGPer100Ml)),
    sugar: z.optional(pantryId("What sweetens it (default sugar)")),
    scaleStepG: z.optional(positive(100).check(z.describe("Smallest step of the scale, g; default 0.1."))),
    ...own,
  })
  .meta({ id: "AdjustBody" });

const costSchema = z.number().nullable().meta({ description: "In your currency; null without every price." });
const ph = SourcedValueSchema.nullable().meta({
  description: "By charge balance; null where the minerals that buffer it are not known.",
});

export const AdjustAnswerSchema = z
  .object({
    additions: z.array(
      z.object({
        acid: z.enum([...ACIDS, "sugar"]),
        exactG: z.number(),
        weighG: z.number(),
        cost: costSchema,
      }),
    ),
    ...made,
    phBefore: ph,
    phAfter: ph,
    cost: costSchema,
    above: z
      .array(AcidSchema)
      .meta({ description: "Acids it has more of than the profile: none can be taken out." }),
    ...prepFrame,
  })
  .meta({ id: "AdjustAnswer" });

export const CompareBodySchema = z
  .strictObject({
    spec: SpecInputSchema,
    juice: pantryId("The line whose juice is adjusted"),
    adjusted: pantryId("What takes its place"),
    citrus: pantryId("What is added instead"),
    ...own,
  })
  .meta({ id: "CompareBody" });

const way = { spec: SpecSchema, placement: PlacementSchema };

export const CompareAnswerSchema = z
  .object({
    ...readFrame,
    adjusted: z.object(way).meta({ description: "The juice swapped for the adjusted one." }),
    added: z
      .object({ ...way, citrusMl: z.number() })
      .nullable()
      .meta({ description: "The citrus added until equally sour; null where none is enough." }),
    ...prepFrame,
  })
  .meta({ id: "CompareAnswer" });

export const MeasureBodySchema = z
  .strictObject({
    ingredient: pantryId("What was measured"),
    measured: z.array(MeasurementSchema).min(1).max(12),
    ...own,
  })
  .meta({ id: "MeasureBody" });

export const MeasureAnswerSchema = z
  .object({
    ingredient: MadeIngredientSchema,
    replaced: z.array(ReplacedSchema),
    brix: z
      .object({
        correctedBrix: number("°Bx at 20 °C."),
        temperatureBrix: number("Correction for temperature, °Bx."),
        alcoholBrix: number("What the alcohol alone would show, °Bx."),
        acidBrix: number("What the acid alone would show, °Bx."),
        sugarGPer100Ml: SourcedValueSchema,
        tradeBrix: number("The reading as the juice trade corrects it for acid, °Bx."),
      })
      .nullable()
      .meta({ description: "A refractometer's reading taken apart; null without one." }),
    ...prepFrame,
  })
  .meta({ id: "MeasureAnswer" });

export const ProofBodySchema = z
  .strictObject({
    amount: z.union([
      z.strictObject({ volumeMl: amount("mL of spirit at 20 °C.") }),
      z.strictObject({ massG: amount("g of spirit.") }),
    ]),
    fromAbvPercent: abv("% vol now."),
    fromSdPercent: z.optional(
      figureWithin({ min: 0, max: 50 }).check(
        z.describe("Standard uncertainty of it, % vol; default 0.17, a label's tolerance."),
      ),
    ),
    toAbvPercent: abv("% vol wanted."),
  })
  .meta({ id: "ProofBody" });

export const ProofAnswerSchema = z
  .object({
    waterMl: SourcedValueSchema,
    waterG: SourcedValueSchema,
    finalMl: SourcedValueSchema,
    contractionMl: SourcedValueSchema.meta({ description: "What spirit and water lose on mixing." }),
    ...prepFrame,
  })
  .meta({ id: "ProofAnswer" });

export const BlendBodySchema = z
  .strictObject({
    first: pantryId("One spirit"),
    second: pantryId("The other"),
    abvPercent: abv("% vol wanted."),
    volumeMl: amount("mL wanted."),
    ...own,
  })
  .meta({ id: "BlendBody" });

export const BlendAnswerSchema = z
  .object({
    firstMl: SourcedValueSchema,
    firstG: SourcedValueSchema,
    secondMl: SourcedValueSchema,
    secondG: SourcedValueSchema,
    ...made,
    ...prepFrame,
  })
  .meta({ id: "BlendAnswer" });

export const WashBodySchema = z
  .strictObject({
    spirit: pantryId("The spirit"),
    spiritMl: amount("mL of it."),
    addedG: figureWithin({ min: 0, max: MOST_VOLUME_ML }).check(
      z.describe("g of fruit, fat or milk that went in."),
    ),
    waterShare: share("Part of it that is water: fruit 0.85, milk 0.88, butter 0.16."),
    sugarShare: z.optional(share("Part of it that is sugar, to be counted.")),
    exchanged: z.optional(share("How far it has come into balance; default 0.85 ± 0.12.")),
    recoveredMl: z.optional(amount("mL strained off.")),
    ...own,
  })
  .meta({ id: "WashBody" });

export const WashAnswerSchema = z
  .object({
    abvPercent: SourcedValueSchema,
    sugarGPer100Ml: SourcedValueSchema,
    volumeMl: SourcedValueSchema,
    ingredient: MadeIngredientSchema,
    lostShare: z.number().nullable().meta({
      description: "Part of the alcohol strained out; null without a recovered volume.",
    }),
    ...prepFrame,
  })
  .meta({ id: "WashAnswer" });

export const LiqueurBodySchema = z
  .strictObject({
    base: pantryId("The spirit"),
    sweetener: pantryId("Sugar or a syrup"),
    abvPercent: abv("% vol wanted."),
    sugarGPer100Ml: figureWithin(COMPOSITION.sugarGPer100Ml),
    volumeMl: amount("mL wanted."),
    ...own,
  })
  .meta({ id: "LiqueurBody" });

export const LiqueurAnswerSchema = z
  .object({
    baseMl: SourcedValueSchema,
    sweetenerG: SourcedValueSchema,
    waterG: SourcedValueSchema,
    ...made,
    names: z
      .array(
        z.object({
          name: z.enum([
            "liqueur",
            "cherry-liqueur",
            "gentian-liqueur",
            "creme-de",
            "creme-de-cassis",
            "us-liqueur",
          ]),
          leastSugar: number("In `sugarUnit`."),
          sugarUnit: z.enum(["g/L as invert", "% by mass"]),
          leastAbvPercent: z.number().nullable(),
          meets: z.boolean(),
          source: z.string(),
          memory: z.boolean(),
        }),
      )
      .meta({
        description: "Names that sugar and strength leave open; further conditions are the authority's.",
      }),
    ...prepFrame,
  })
  .meta({ id: "LiqueurAnswer" });
