import { z } from "@hono/zod-openapi";
import { AXIS_IDS, LIMIT_ROLE_IDS, MEASURE_IDS, MOVE_KIND_IDS, SOLVE_STATUS_IDS } from "../../engine/ids.ts";
import { LEAST_DRIFT, MOST, MOST_DRIFT, MOST_VOLUME_ML } from "../../engine/limits.ts";
import { LadderInputSchema, PourLadderSchema, UnitIdSchema, UnitSettingsSchema } from "./amount.ts";
import { OwnIngredientsSchema } from "./ingredient.ts";
import { PointSchema, Vec3Schema } from "./point.ts";
import { CautionSchema, PricesSchema, ProvenanceSchema } from "./reference.ts";
import { ReadingSchema, SpecInputSchema, SpecSchema } from "./spec.ts";
import { IdSchema, strictObject } from "./strict.ts";
import { MembershipSchema, TargetInputSchema, TargetSpecSchema } from "./target.ts";

const volumeMl = z.number().min(0).max(MOST_VOLUME_ML);

const BoundSchema = strictObject({
  ingredient: IdSchema,
  minMl: volumeMl.optional(),
  maxMl: volumeMl.optional(),
})
  .refine((b) => b.minMl !== undefined || b.maxMl !== undefined, {
    message: "a bound without an end holds nothing; give minMl, maxMl or both",
  })
  .refine((b) => b.minMl === undefined || b.maxMl === undefined || b.minMl <= b.maxMl, {
    message: "minMl is above maxMl; swap them or widen the bound",
  })
  .openapi("Bound");

const CharacterRuleSchema = strictObject({
  ingredient: IdSchema,
  minSharePercent: z.number().min(0).max(100).optional(),
  atLeastAsMuchAs: IdSchema.optional(),
})
  .refine((r) => (r.minSharePercent === undefined) !== (r.atLeastAsMuchAs === undefined), {
    message: "a character rule says one thing; give exactly one of minSharePercent, atLeastAsMuchAs",
  })
  .openapi("CharacterRule");

export const MeasureIdSchema = z
  .enum(MEASURE_IDS)
  .openapi("MeasureId", { description: "What counts as the smallest change." });

/** Ids named in one request: the solver's size limit is its own, and its error says so. */
const ids = z.array(IdSchema).max(MOST.rules);

/**
 * Ingredients a solve may move: unlocked ones and additions. The engine is proved for 12 and measured to
 * keep its time budget to 20; past that the sets to refute outgrow memory before the clock is looked at.
 */
export const MAX_MOVABLE = 16;

export const MAX_SOLVE_BUDGET_MS = 5000;
export const DEFAULT_SOLVE_BUDGET_MS = 2000;

/** What a solve may be told, besides the spec and where to go; shared with the questions. */
export const solveOptions = {
  ladder: LadderInputSchema.optional().openapi({ description: "Default us-jigger." }),
  additions: ids.optional().openapi({ description: "Pantry items that may come in." }),
  locks: ids.optional().openapi({ description: "Ingredients that must stay as they are." }),
  bounds: z.array(BoundSchema).max(MOST.rules).optional(),
  maxTouched: z.number().int().min(1).max(MOST.rules).optional(),
  maxFinishedMl: z.number().positive().max(MOST_VOLUME_ML).optional(),
  measure: MeasureIdSchema.optional(),
  character: z.array(CharacterRuleSchema).max(MOST.rules).optional(),
  firstRound: SpecInputSchema.optional().openapi({ description: "Drift is measured from here." }),
  driftBudget: z
    .number()
    .min(LEAST_DRIFT)
    .max(MOST_DRIFT)
    .optional()
    .openapi({ description: "Axis-scale units." }),
  minProbability: z.number().gt(0).lt(1).optional().openapi({
    description: "Least chance that the real drink is inside, from the doubts of its parts; such as 0.8.",
  }),
  pricePerLitre: PricesSchema.optional(),
  unitSettings: UnitSettingsSchema.optional(),
  timeBudgetMs: z
    .number()
    .int()
    .min(1)
    .max(MAX_SOLVE_BUDGET_MS)
    .optional()
    .openapi({
      description: `Default ${DEFAULT_SOLVE_BUDGET_MS}, for the whole answer. Past it: status limit_reached.`,
    }),
  count: z
    .number()
    .int()
    .min(1)
    .max(MOST.proposals)
    .optional()
    .openapi({ description: "Different proposals wanted." }),
  ingredients: OwnIngredientsSchema.optional(),
};

const solveRequest = { spec: SpecInputSchema, target: TargetInputSchema, ...solveOptions };

export const SolveBodySchema = strictObject({
  ...solveRequest,
  certificateRows: z.boolean().optional().openapi({
    description:
      "Send the rows the refutations combine, so that the proof can be checked without the solver.",
  }),
}).openapi("SolveBody", {
  example: {
    spec: {
      name: "Dull sour",
      method: "shaken",
      lines: [
        { ingredient: "rum-aged", amount: 2, unit: "oz" },
        { ingredient: "juice-lime", amount: 0.25, unit: "oz" },
        { ingredient: "syrup-simple-1-1", amount: 1, unit: "oz" },
      ],
    },
    target: { id: "family:sour" },
    ladder: "us-jigger",
  },
});

export const ExploreBodySchema = strictObject(solveRequest).openapi("ExploreBody", {
  example: {
    spec: { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" },
    target: { id: "family:sour" },
    minProbability: 0.7,
  },
});

export const RepairBodySchema = strictObject(solveRequest).openapi("RepairBody", {
  example: {
    spec: { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" },
    target: { id: "family:sour" },
    locks: ["juice-lime", "syrup-simple-1-1"],
  },
});

export const MoveKindSchema = z.enum(MOVE_KIND_IDS).openapi("MoveKind");

const MoveSchema = z
  .object({
    kind: MoveKindSchema,
    ingredient: z.string(),
    replaces: z.string().optional(),
    fromMl: z.number(),
    toMl: z.number(),
    deltaMl: z.number(),
    fromAmount: z.number(),
    toAmount: z.number(),
    unit: UnitIdSchema,
    text: z.string(),
  })
  .openapi("Move");

export const ProposalSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    moves: z.array(MoveSchema),
    spec: SpecSchema,
    before: PointSchema,
    after: PointSchema,
    afterSd: PointSchema,
    touched: z.number().int(),
    volumeChangedMl: z.number(),
    probabilityInside: z
      .number()
      .nullable()
      .openapi({ description: "Chance that the real drink is inside, from the doubts of its parts." }),
    centreDistance: z.number(),
    driftFromFirst: z.number().nullable(),
    costChange: z.number().nullable(),
    finishedVolumeMl: z.number(),
    why: z.string(),
    path: z.array(z.object({ ingredient: z.string(), points: z.array(Vec3Schema) })),
    bestAt: z.array(z.string()),
  })
  .openapi("Proposal");

const LimitRoleSchema = z
  .enum(LIMIT_ROLE_IDS)
  .openapi("LimitRole", { description: "What a limit is about." });

const RefutationSchema = z
  .object({
    touched: z.number().int(),
    cell: z.number().int(),
    covers: z.union([z.literal("all"), z.array(z.array(z.string()))]),
    multipliers: z.array(z.object({ row: z.string(), value: z.number() })),
    text: z.string(),
  })
  .openapi("Refutation");

const SolveCertificateSchema = z
  .object({
    nodes: z.number(),
    relaxations: z.number(),
    evaluations: z.number(),
    bound: z.object({ touched: z.number(), volumeMl: z.number() }).nullable(),
    gap: z.number(),
    proved: z.boolean(),
    refutations: z.array(RefutationSchema),
    cells: z.number().int().openapi({
      description: "Parts the relaxation was cut into; a set is ruled out when it is refuted in each.",
    }),
    rows: z
      .array(
        z.object({
          row: z.string(),
          cell: z.number().int(),
          role: LimitRoleSchema,
          label: z.string(),
          coefficients: z.array(z.object({ ingredient: z.string(), value: z.number() })),
          limit: z.number(),
        }),
      )
      .optional()
      .openapi({
        description: "With certificateRows: Σ value·Δ ≤ limit, Δ the change of each ingredient in mL.",
      }),
    ranges: z
      .array(z.object({ ingredient: z.string(), minMl: z.number(), maxMl: z.number() }))
      .optional()
      .openapi({ description: "With certificateRows: the range of each Δ." }),
    tolerance: z.number(),
    assumptions: z.array(z.string()),
  })
  .openapi("SolveCertificate");

const ContinuousOptimumSchema = z
  .object({
    amountsMl: z.array(z.object({ ingredient: z.string(), ml: z.number() })),
    point: PointSchema,
    volumeChangedMl: z.number(),
    multipliers: z.array(
      z.object({
        row: z.string(),
        value: z.number(),
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
      stationarity: z.number(),
      primal: z.number(),
      dual: z.number(),
      complementarity: z.number(),
    }),
  })
  .openapi("ContinuousOptimum");

const InfeasibleReportSchema = z
  .object({
    continuousFeasible: z.boolean().openapi({
      description: "In-between amounts would do; only the ladder or maxTouched forbids.",
    }),
    nearest: z.object({
      amountsMl: z.array(z.object({ ingredient: z.string(), ml: z.number() })),
      point: PointSchema,
      membership: MembershipSchema,
      finishedVolumeMl: z.number(),
      isSettled: z.boolean().openapi({ description: "False: time ran out; there may be a nearer drink." }),
    }),
    refutation: RefutationSchema.nullable(),
    text: z.string(),
  })
  .openapi("InfeasibleReport");

export const SolveStatusSchema = z.enum(SOLVE_STATUS_IDS).openapi("SolveStatus");

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
  .openapi("SolveResult");

/** What every answer of the solver says about the question it answers. */
export const solveFrame = {
  spec: SpecSchema,
  reading: z.array(ReadingSchema),
  assumptions: z.array(z.string()),
  target: TargetSpecSchema,
  ladder: PourLadderSchema,
  cautions: z.array(CautionSchema),
  provenance: ProvenanceSchema,
};

export const SolveAnswerSchema = z
  .object({ ...solveFrame, result: SolveResultSchema })
  .openapi("SolveAnswer");
