import { z } from "zod";
import { COVERAGE, LONGEST, MOST } from "../../engine/limits.ts";
import { idShape, text, within } from "../../engine/shapes/amounts.ts";
import { UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { count, number } from "./number.ts";
import { Mat3Schema, PointSchema, Vec3Schema } from "./point.ts";
import { CautionSchema, ProvenanceSchema } from "./reference.ts";
import { ProposalSchema, release, solveOptions } from "./solve.ts";
import { SpecInputSchema } from "./spec.ts";
import { EllipsoidTargetSchema, TargetInputSchema } from "./target.ts";

/** Tastings and comparisons one request may bring. */
const MOST_TASTINGS = 240;
const MOST_TASTERS = 16;

const MarkSchema = z.union([z.literal(-2), z.literal(-1), z.literal(0), z.literal(1), z.literal(2)]).meta({
  id: "Mark",
  description: "Just-about-right mark: -2 much too little, 0 just right, 2 much too much.",
});

const who = text(LONGEST.name);

export const TastingSchema = z
  .strictObject({
    round: idShape,
    taster: who,
    liking: z.int().min(1).max(9).nullable().optional().meta({
      description: "1 dislike extremely, 5 neither, 9 like extremely; whole.",
    }),
    sweet: MarkSchema.nullable().optional(),
    sour: MarkSchema.nullable().optional(),
    strong: MarkSchema.nullable().optional(),
    words: z.array(text(LONGEST.fault)).max(MOST.tastingWords).optional().meta({
      description: "Trade words such as flat, cloying, fruit lost; see GET /v1/tasting-words.",
    }),
  })
  .meta({ id: "Tasting", description: "What one taster said of one round; leave out what was not said." });

export const ComparisonSchema = z
  .strictObject({
    taster: who,
    preferred: idShape,
    other: idShape,
    tie: z.boolean().optional().meta({ description: "No preference between the two." }),
  })
  .meta({ id: "Comparison", description: "One taster set two rounds side by side." });

const said = {
  tastings: z.array(TastingSchema).max(MOST_TASTINGS),
  comparisons: z.array(ComparisonSchema).max(MOST_TASTINGS).optional(),
};

const { ladder, additions, locks, bounds, maxTouched, maxFinishedMl, measure, character } = solveOptions;

export const TableRangeBodySchema = z
  .strictObject({
    target: TargetInputSchema.optional().meta({
      description:
        "The classics the drink is kin to: what is known before anyone has tasted. Default: the family that the round gone on from is most like.",
    }),
    rounds: z
      .array(z.strictObject({ id: idShape, spec: SpecInputSchema }))
      .min(1)
      .max(MOST.rounds),
    ...said,
    coverage: z
      .optional(within(COVERAGE))
      .meta({ description: "Chance that the range is to hold the table's ideal; default 0.8." }),
    from: z.optional(idShape).meta({ description: "The round to go on from; default the last." }),
    ladder,
    additions,
    locks,
    bounds,
    maxTouched,
    maxFinishedMl,
    measure,
    character,
    release,
    unitSettings: UnitSettingsSchema.optional(),
    ingredients: OwnIngredientsSchema.optional(),
  })
  .meta({ id: "TableRangeBody" });

const chance = (description: string) => number(`${description} 0 to 1.`);

const TableRangeSchema = z
  .object({
    target: EllipsoidTargetSchema,
    coverage: chance("Chance that the target holds the ideal."),
    ideal: PointSchema,
    sd: PointSchema.meta({ description: "Standard deviation of the ideal on each axis." }),
    covariance: Mat3Schema,
  })
  .meta({ id: "TableRange" });

const outlook = {
  chanceContent: chance("Chance that it is near enough to the ideal to leave the table content."),
  liking: number("Expected mean liking, 1 to 9."),
};

const NextRoundSchema = z
  .object({
    verdict: z.enum(["settled", "pour", "little-to-gain", "out-of-reach"]).meta({
      description: "Clients hold these: the list only grows, at its end.",
    }),
    aim: EllipsoidTargetSchema,
    rounds: z.array(z.object({ id: z.string(), ...outlook })),
    best: z.object({ id: z.string(), ...outlook }),
    proposals: z.array(
      z.object({
        proposal: ProposalSchema,
        ...outlook,
        chancePreferred: chance("Chance that the tasters, on average, like it better than the best so far."),
        gain: number("Expected gain in mean liking over the best so far, points."),
        newlyContent: chance("Chance that it leaves the table content where no round so far does."),
      }),
    ),
  })
  .meta({ id: "NextRound" });

export const TableAnswerSchema = z
  .object({
    range: TableRangeSchema,
    tasters: z.array(z.object({ taster: z.string(), ideal: PointSchema, sd: PointSchema })),
    habits: z.object({
      width: number("How far from the classics the ideal may lie, as a multiple of their spread."),
      tasterSpread: number("How far tasters' ideals lie from their common one, spreads of the family."),
      lapse: chance("Chance that an answer was set down at random."),
      acidHidesSugar: number("Felt sweetness a spread of acid takes away, spreads."),
      sugarHidesAcid: number("Felt sourness a spread of sugar takes away, spreads."),
    }),
    next: NextRoundSchema.nullable(),
    forecast: z.object({
      likely: z.int().nullable().meta({
        description: "Rounds after which it is as likely settled as not; null for more than `looked`.",
      }),
      settledAfter: z.array(chance("Chance that it is settled after that many more rounds.")),
      looked: count("How many rounds ahead were imagined."),
    }),
    camps: z
      .object({
        verdict: z.enum(["one-table", "perhaps", "two-camps"]),
        bayesFactor: number("How many times likelier the answers are from two camps than from one table."),
        share: chance("Chance of this split, if there are two camps."),
        sides: z.array(
          z.object({
            tasters: z.array(z.string()),
            range: TableRangeSchema,
            next: NextRoundSchema.nullable(),
          }),
        ),
      })
      .nullable()
      .meta({ description: "Null for a lone taster." }),
    swaps: z.array(
      z.object({
        word: z.string(),
        said: count("Tastings that said it."),
        candidates: z.array(z.object({ ingredient: z.string(), alternatives: z.array(z.string()) })),
      }),
    ),
    unreadWords: z.array(z.string()).readonly(),
    effectiveDraws: number("Equally weighted points the sample is worth; below 50 the chances are rough."),
    text: z.object({
      range: z.string(),
      next: z.string().nullable(),
      forecast: z.string(),
      camps: z.string().nullable(),
      care: z.string(),
    }),
  })
  .meta({ id: "TableAnswer" });

export const TableRangeAnswerSchema = z
  .object({
    answer: TableAnswerSchema,
    assumptions: z.array(z.string()),
    cautions: z.array(CautionSchema),
    provenance: ProvenanceSchema,
  })
  .meta({ id: "TableRangeAnswer" });

export const FlightBodySchema = z
  .strictObject({
    rounds: z.array(idShape).min(1).max(MOST.glasses),
    tasters: z.array(who).min(1).max(MOST_TASTERS),
    seed: z
      .int()
      .min(0)
      .max(2 ** 31)
      .meta({ description: "Another seed, other codes and orders." }),
    taken: z
      .array(z.string().regex(/^[1-9][0-9]{2}$/))
      .max(900)
      .optional()
      .meta({
        description: "Codes already used on this bench.",
      }),
  })
  .meta({ id: "FlightBody" });

const CodeSchema = z.string().meta({ description: "Three digits." });

export const FlightAnswerSchema = z
  .object({
    glasses: z.array(z.object({ round: z.string(), code: CodeSchema })),
    orders: z.array(z.object({ taster: z.string(), codes: z.array(CodeSchema) })),
    balance: z.object({
      places: z.boolean().meta({ description: "Every glass comes equally often in every place." }),
      neighbours: z.boolean().meta({ description: "And equally often right after every other." }),
      tastersForBalance: count("Tasters, or a multiple, with whom both hold."),
    }),
  })
  .meta({ id: "FlightAnswer" });

export const PanelBodySchema = z
  .strictObject({
    ...said,
    expectedOrder: z.array(idShape).min(2).max(MOST.glasses).optional().meta({
      description: "Rounds in the order they were expected to rise in liking, least first.",
    }),
    choice: z
      .strictObject({
        test: z.enum(["triangle", "pair"]),
        right: z.int().min(0).max(10_000).meta({ description: "Right answers, or votes for one side." }),
        answers: z.int().min(1).max(10_000).meta({ description: "All answers, right or not." }),
      })
      .optional(),
    plan: z
      .strictObject({
        test: z.enum(["triangle", "pair"]),
        real: z
          .number()
          .gt(1 / 3)
          .max(1)
          .meta({
            description: "Chance of a right answer if the difference is as large as is worth finding.",
          }),
      })
      .optional()
      .meta({ description: "A choice test to be run: how many tasters does it need?" }),
  })
  .meta({ id: "PanelBody" });

const p = chance("Chance of as much by chance alone.");
const orNull = (description: string) => z.number().nullable().meta({ description });
const interval = z.tuple([z.number(), z.number()]).meta({ description: "95 %: from, to." });

export const PanelAnswerSchema = z
  .object({
    ranking: z
      .object({
        standings: z.array(
          z.object({
            id: z.string(),
            strength: number("Log odds of beating the average of the rounds."),
            se: number("Standard error, log odds."),
            interval,
            chanceAboveNext: orNull("Chance, 0 to 1, that it is truly above the next; null for the last."),
          }),
        ),
        firstGlass: z
          .object({ estimate: number("Log odds."), se: number("Log odds.") })
          .nullable()
          .meta({ description: "What being tasted first gains, where that was asked." }),
        deviance: number("Twice the log likelihood lost against fitting every pair by itself."),
      })
      .nullable(),
    scores: z
      .object({
        rounds: z.array(z.string()),
        tasters: z.array(z.string()).meta({ description: "Those who scored every round." }),
        friedman: z.object({
          rankSums: z.array(number("Sum of the round's ranks over the tasters.")),
          statistic: number("Friedman's, corrected for ties."),
          p,
          isExact: z.boolean(),
          leastDifference: number("Rank sums this far apart differ at 5 %, one pair looked at alone."),
          leastDifferenceOfAll: number("The same when every pair is looked at."),
        }),
        page: z.object({ statistic: number("Page's L."), p, isExact: z.boolean() }).nullable(),
      })
      .nullable(),
    choice: z
      .object({
        test: z.enum(["triangle", "pair"]),
        right: count("Right answers."),
        answers: count("All answers."),
        pOneSided: p,
        pTwoSided: orNull("The same for a split as uneven either way; null where one side is right."),
        interval,
        discriminators: orNull("Share of tasters who can tell, 0 to 1; null for a preference."),
        moreToDecide: z
          .int()
          .nullable()
          .meta({ description: "Further answers that would likely decide it." }),
      })
      .nullable(),
    planned: z
      .object({
        test: z.enum(["triangle", "pair"]),
        tasters: z.int().nullable().meta({ description: "Fewest; null for more than anyone can gather." }),
      })
      .nullable(),
    text: z.array(z.string()),
  })
  .meta({ id: "PanelAnswer" });

export const TastingWordsAnswerSchema = z
  .object({
    words: z.array(
      z.object({
        id: z.string(),
        aliases: z.array(z.string()).readonly(),
        kind: z.enum(["move", "swap", "praise"]),
        direction: Vec3Schema.nullable().meta({
          description: "Too much of what, in spreads on sugar, acid, ABV; null where the map cannot see it.",
        }),
      }),
    ),
  })
  .meta({ id: "TastingWordsAnswer" });
