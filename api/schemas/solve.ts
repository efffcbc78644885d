import { z } from "zod";
import {
  AXIS_IDS,
  KEEP_IDS,
  LIMIT_ROLE_IDS,
  MEASURE_IDS,
  MOVE_KIND_IDS,
  SOLVE_STATUS_IDS,
} from "../../engine/ids.ts";
import { LEAST_DRIFT, MOST, MOST_DRIFT, MOST_VOLUME_ML } from "../../engine/limits.ts";
import { idShape, positive, volumeMlShape, within } from "../../engine/shapes/amounts.ts";
import { must } from "../../engine/shapes/check.ts";
import { characterRuleShape } from "../../engine/shapes/view.ts";
import { LadderInputSchema, PourLadderSchema, UnitIdSchema, UnitSettingsSchema } from "./amount.ts";
import { includeOf } from "./include.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { count, number } from "./number.ts";
import { PointSchema, Vec3Schema } from "./point.ts";
import { readFrame } from "./read.ts";
import { CautionSchema, PricesSchema, ProvenanceSchema } from "./reference.ts";
import { SpecInputSchema, SpecSchema } from "./spec.ts";
import { AimSchema, MembershipSchema, TargetSpecSchema } from "./target.ts";

const BoundSchema = z
  .strictObject({
    ingredient: idShape,
    minMl: z.optional(volumeMlShape),
    maxMl: z.optional(volumeMlShape),
  })
  .check(
    must(
      (b) => b.minMl !== undefined || b.maxMl !== undefined,
      "a bound without an end holds nothing",
      "give minMl, maxMl or both",
    ),
    must(
      (b) => b.minMl === undefined || b.maxMl === undefined || b.minMl <= b.maxMl,
      "minMl is above maxMl",
      "swap them or widen the bound",
    ),
  )
  .meta({ id: "Bound" });

z.globalRegistry.add(characterRuleShape, { id: "CharacterRule" });

export const MeasureIdSchema = z
  .enum(MEASURE_IDS)
  .meta({ id: "MeasureId", description: "What counts as the smallest change." });

/** Ids named in one request: the solver's size limit is its own, and its error says so. */
const ids = z.array(idShape).max(MOST.rules);

/**
 * Ingredients a solve may move: unlocked ones and additions. The engine is proved for 12 and measured to
 * keep its time budget to 20; past that the sets to refute outgrow memory before the clock is looked at.
 */
export const MAX_MOVABLE = 16;

/** With less, reading the question and a first look at the pours can take more than there is: tests/bench, `wait`. */
export const LEAST_SOLVE_BUDGET_MS = 50;
export const MAX_SOLVE_BUDGET_MS = 5000;
export const DEFAULT_SOLVE_BUDGET_MS = 2000;

/** What a solve may be told, besides the spec and where to go; shared with the questions. */
export const solveOptions = {
  ladder: LadderInputSchema.optional().meta({
    description: "Default us-jigger; metric-jigger where more lines are in mL or cL than in ounces.",
  }),
  additions: ids.optional().meta({ description: "Pantry items that may come in." }),
  locks: ids.optional().meta({ description: "Ingredients that must stay as they are." }),
  bounds: z.array(BoundSchema).max(MOST.rules).optional(),
  maxTouched: z
    .int()
    .min(1)
    .max(MOST.rules)
    .optional()
    .meta({ description: "Most ingredients that may change." }),
  maxFinishedMl: z.optional(positive(MOST_VOLUME_ML)),
  measure: MeasureIdSchema.optional(),
  character: z.array(characterRuleShape).max(MOST.rules).optional(),
  firstRound: SpecInputSchema.optional().meta({ description: "Drift is measured from here." }),
  driftBudget: z
    .optional(within({ min: LEAST_DRIFT, max: MOST_DRIFT }))
    .meta({ description: "Axis-scale units." }),
  minProbability: z.number().gt(0).lt(1).optional().meta({
    description: "Least chance that the real drink is inside, from the doubts of its parts; such as 0.8.",
  }),
  pricePerLitre: PricesSchema.optional(),
  unitSettings: UnitSettingsSchema.optional(),
  timeBudgetMs: z
    .number()
    .int()
    .min(LEAST_SOLVE_BUDGET_MS)
    .max(MAX_SOLVE_BUDGET_MS)
    .optional()
    .meta({
      description: `Time for the whole answer, ms; default: the server's setting, as a rule ${DEFAULT_SOLVE_BUDGET_MS}. Past it: status limit_reached, or fewer routes: the best found so far, which may differ from one server or moment to the next.`,
    }),
  count: z
    .number()
    .int()
    .min(1)
    .max(MOST.proposals)
    .optional()
    .meta({ description: "Different proposals wanted." }),
  ingredients: OwnIngredientsSchema.optional(),
};

const solveRequest = { spec: SpecInputSchema, target: AimSchema, ...solveOptions };

/** Habits of the trade to let go of: every answer that proposes a change keeps to them by default. */
export const release = z
  .array(z.enum(KEEP_IDS))
  .max(KEEP_IDS.length)
  .optional()
  .meta({ description: "Habits of the trade to let go of; the answer lists them all." });

/** What a habit is called, and whether an answer keeps to it. */
export const KeepsSchema = z
  .array(
    z.object({
      id: z.enum(KEEP_IDS),
      text: z.string(),
      state: z.enum(["kept", "released", "loosened"]).meta({
        description: "Released by the request; loosened where nothing would have kept it.",
      }),
    }),
  )
  .meta({ description: "The habits of the trade that this drink's changes keep to, unless released." });

export const SolveBodySchema = z
  .strictObject({
    ...solveRequest,
    release,
    include: includeOf("paths", "proof"),
  })
  .meta({ id: "SolveBody" });

export const ExploreBodySchema = z
  .strictObject({ ...solveRequest, release, include: includeOf("paths", "proof") })
  .meta({ id: "ExploreBody" });

export const RoutesBodySchema = z
  .strictObject({ ...solveRequest, release, include: includeOf("paths", "proof") })
  .meta({ id: "RoutesBody" });

export const RepairBodySchema = z
  .strictObject({ ...solveRequest, release, include: includeOf("paths", "proof") })
  .meta({ id: "RepairBody" });

export const MoveKindSchema = z.enum(MOVE_KIND_IDS).meta({ id: "MoveKind" });

const MoveSchema = z
  .object({
    kind: MoveKindSchema,
    ingredient: z.string(),
    replaces: z.string().optional(),
    fromMl: z.number(),
    toMl: z.number(),
    deltaMl: z.number(),
    fromAmount: number("In `unit`."),
    toAmount: number("In `unit`."),
    unit: UnitIdSchema,
    text: z.string(),
  })
  .meta({ id: "Move" });

export const ProposalSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    moves: z.array(MoveSchema),
    spec: SpecSchema,
    before: PointSchema,
    after: PointSchema,
    afterSd: PointSchema,
    touched: count("Ingredients whose amount changes."),
    volumeChangedMl: z.number(),
    probabilityInside: z.number().nullable().meta({
      description:
        "Chance, 0 to 1, that the real drink is inside, from the doubts of its parts; null when not computed.",
    }),
    centreDistance: number("To the target's middle, axis-scale units."),
    driftFromFirst: z.number().nullable().meta({ description: "From the first round, axis-scale units." }),
    costChange: z.number().nullable().meta({ description: "In your currency; null without every price." }),
    finishedVolumeMl: z.number(),
    why: z.string(),
    path: z
      .array(z.object({ ingredient: z.string(), points: z.array(Vec3Schema) }))
      .optional()
      .meta({ description: "With paths: one curve a move, from where the drink is." }),
    bestAt: z.array(z.string()),
  })
  .meta({ id: "Proposal" });

const LimitRoleSchema = z
  .enum(LIMIT_ROLE_IDS)
  .meta({ id: "LimitRole", description: "What a limit is about." });

const RefutationSchema = z
  .object({
    touched: count("How many ingredients the refuted changes touch."),
    cell: count("Which part of the relaxation, from 0."),
    covers: z.union([z.literal("all"), z.array(z.array(z.string()))]),
    multipliers: z.array(
      z.object({ row: z.string(), value: number("What the row is multiplied by; not negative.") }),
    ),
    text: z.string(),
  })
  .meta({ id: "Refutation" });

const SolveCertificateSchema = z
  .object({
    nodes: count("Sets of ingredients looked at."),
    relaxations: count("Linear problems solved."),
    evaluations: count("Drinks placed by the true model."),
    bound: z
      .object({ touched: count("Ingredients, at least."), volumeMl: z.number() })
      .nullable()
      .meta({ description: "No answer is less than this, in the units of the measure." }),
    gap: number("Answer less bound, in the units of the measure; 0 is proved."),
    proved: z.boolean(),
    refutations: z.array(RefutationSchema).optional().meta({ description: "With proof." }),
    cells: count("Parts the relaxation was cut into; a set is ruled out when it is refuted in each."),
    rows: z
      .array(
        z.object({
          row: z.string(),
          cell: count("Which part of the relaxation, from 0."),
          role: LimitRoleSchema,
          label: z.string(),
          coefficients: z.array(
            z.object({ ingredient: z.string(), value: number("Per mL of change, in the row's own unit.") }),
          ),
          limit: number("In the row's own unit."),
        }),
      )
      .optional()
      .meta({
        description: "With proof: Σ value·Δ ≤ limit, Δ the change of each ingredient in mL.",
      }),
    ranges: z
      .array(z.object({ ingredient: z.string(), minMl: z.number(), maxMl: z.number() }))
      .optional()
      .meta({ description: "With proof: the range of each Δ." }),
    leaves: z
      .object({
        cells: count("Parts the relaxation of these was cut into; in each the boxes hold every pour."),
        weights: z.array(number("Cost per mL changed, in the order of the ranges.")),
        boxes: z.array(
          z.object({
            cell: count("Which part of the relaxation, from 0."),
            leastMl: z.array(z.number()),
            mostMl: z.array(z.number()),
            coefficients: z.array(z.number()).nullable().meta({ description: "null: its pours were tried." }),
            limit: number("Σ coefficient·Δ is at most this for every acceptable drink of the box."),
            isEmpty: z.boolean(),
          }),
        ),
      })
      .optional()
      .meta({
        description:
          "With proof, for every measure but fewest: boxes of Δ, none of which holds a better pour.",
      }),
    tolerance: number("Slack of the edge, axis-scale units."),
    assumptions: z.array(z.string()),
  })
  .meta({ id: "SolveCertificate" });

const AmountSchema = z.object({ ingredient: z.string(), ml: number("mL") });

const ContinuousOptimumSchema = z
  .object({
    amountsMl: z.array(AmountSchema),
    point: PointSchema,
    volumeChangedMl: z.number(),
    multipliers: z.array(
      z.object({
        row: z.string(),
        value: number("In `unit`."),
        role: z.union([LimitRoleSchema, z.literal("amount")]),
        axis: z.enum(AXIS_IDS).optional(),
        isCurved: z.boolean().optional(),
        ingredient: z.string().optional(),
        side: z.enum(["least", "most"]).optional(),
        unit: z.string(),
        text: z.string(),
      }),
    ),
    kkt: z.object({
      stationarity: number("Residual, measure per mL."),
      primal: number("Largest overstep of a limit, axis-scale units."),
      dual: number("Most negative multiplier, in the measure's units; 0 when none is."),
      complementarity: number("Largest product of multiplier and slack, in the measure's units."),
    }),
  })
  .meta({ id: "ContinuousOptimum" });

const InfeasibleReportSchema = z
  .object({
    continuousFeasible: z.boolean().meta({
      description: "In-between amounts would do; only the ladder or maxTouched forbids.",
    }),
    nearest: z.object({
      amountsMl: z.array(AmountSchema),
      point: PointSchema,
      membership: MembershipSchema,
      finishedVolumeMl: z.number(),
      isSettled: z.boolean().meta({ description: "False: time ran out; there may be a nearer drink." }),
    }),
    refutation: RefutationSchema.nullable(),
    text: z.string(),
  })
  .meta({ id: "InfeasibleReport" });

export const SolveStatusSchema = z.enum(SOLVE_STATUS_IDS).meta({ id: "SolveStatus" });

export const SolveResultSchema = z
  .object({
    status: SolveStatusSchema,
    limit: z.enum(["time", "nodes"]).optional(),
    proposals: z.array(ProposalSchema),
    continuous: ContinuousOptimumSchema.nullable(),
    certificate: SolveCertificateSchema,
    membershipBefore: MembershipSchema,
    explanation: z.string(),
    infeasible: InfeasibleReportSchema.optional(),
  })
  .meta({ id: "SolveResult" });

/** What every answer of the solver says about the question it answers. */
export const solveFrame = {
  ...readFrame,
  target: TargetSpecSchema,
  ladder: PourLadderSchema,
  cautions: z.array(CautionSchema),
  provenance: ProvenanceSchema,
};

export const SolveAnswerSchema = z
  .object({ ...solveFrame, result: SolveResultSchema, keeps: KeepsSchema })
  .meta({ id: "SolveAnswer" });
