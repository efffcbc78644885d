import { expectTypeOf, test } from "vitest";
import type { z } from "zod";
import type { PourLadderSchema, UnitIdSchema } from "../../api/schemas/amount.ts";
import type { AnswerSchema, IntentSchema } from "../../api/schemas/ask.ts";
import type {
  ExplorationSchema,
  MeasuringAdviceSchema,
  RepairReportSchema,
  RouteSchema,
  SwapEffectSchema,
} from "../../api/schemas/explore.ts";
import type { IngredientSchema } from "../../api/schemas/ingredient.ts";
import type { ParsedRecipeSchema } from "../../api/schemas/parse.ts";
import type { PlacementSchema } from "../../api/schemas/placement.ts";
import type { Mat3Schema, PointSchema } from "../../api/schemas/point.ts";
import type {
  CautionSchema,
  FamilySchema,
  GlassSchema,
  ReferenceDrinkSchema,
  SourceSchema,
} from "../../api/schemas/reference.ts";
import type { ProposalSchema, SolveResultSchema } from "../../api/schemas/solve.ts";
import type { PanelAnswerSchema, TableAnswerSchema } from "../../api/schemas/tables.ts";
import type { MembershipSchema, TargetSpecSchema } from "../../api/schemas/target.ts";
import type { NeedSchema, ServedSchema } from "../../api/schemas/thrift.ts";
import type { TrailSchema } from "../../api/schemas/trail.ts";
import type { Answer } from "../../engine/ask/answer.ts";
import type { Intent } from "../../engine/ask/intent.ts";
import type { MeasuringAdvice } from "../../engine/doubt/advise-measuring.ts";
import type { Exploration } from "../../engine/explore/explore.ts";
import type { RepairReport } from "../../engine/explore/repair.ts";
import type { Route, SwapEffect } from "../../engine/explore/routes.ts";
import type { SpokenRecipe } from "../../engine/recipe/words.ts";
import type { SolveResult } from "../../engine/solve/request.ts";
import type { TableAnswer } from "../../engine/taste/answer.ts";
import type { PanelReport } from "../../engine/taste/panel/report.ts";
import type { Need } from "../../engine/thrift/needs.ts";
import type { Served } from "../../engine/thrift/served.ts";
import type * as Engine from "../../engine/types.ts";

// Checked by `tsc` (tests are part of the type check); vitest only runs the empty bodies.
// Both directions: what the engine returns may be sent, and what a schema accepts may go in. Every key is
// made required first, or an optional one that the other side lacks would pass.
type Full<T> = T extends object ? { -readonly [K in keyof T]-?: Full<Exclude<T[K], undefined>> } : T;
type Extends<A, B> = [A] extends [B] ? true : false;
type Both<Schema extends z.core.$ZodType, Shape> = [
  Extends<Full<z.infer<Schema>>, Full<Shape>>,
  Extends<Full<Shape>, Full<z.infer<Schema>>>,
];
type Same = [true, true];

test("every schema of an engine shape is that shape", () => {
  expectTypeOf<Both<typeof UnitIdSchema, Engine.UnitId>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof PourLadderSchema, Engine.PourLadder>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof PointSchema, Engine.Point>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof Mat3Schema, Engine.Mat3>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof IngredientSchema, Engine.Ingredient>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof PlacementSchema, Engine.Placement>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof MembershipSchema, Engine.Membership>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof ProposalSchema, Engine.Proposal>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof SolveResultSchema, SolveResult>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof IntentSchema, Intent>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof AnswerSchema, Answer>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof RouteSchema, Route>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof RepairReportSchema, RepairReport>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof ExplorationSchema, Exploration>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof MeasuringAdviceSchema, MeasuringAdvice>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof SwapEffectSchema, SwapEffect>>().toEqualTypeOf<Same>();
  // A round of a trail is sent in short, with its placement only when asked for.
  expectTypeOf<Both<typeof TrailSchema.shape.steps, Engine.Trail["steps"]>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof ParsedRecipeSchema, Omit<SpokenRecipe, "made">>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof TableAnswerSchema, TableAnswer>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof PanelAnswerSchema, PanelReport>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof NeedSchema, Need>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof ServedSchema, Served>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof SourceSchema, Engine.Source>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof GlassSchema, Engine.Glass>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof FamilySchema, Engine.Family>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof CautionSchema, Engine.Caution>>().toEqualTypeOf<Same>();
  expectTypeOf<Both<typeof ReferenceDrinkSchema, Engine.ReferenceDrink>>().toEqualTypeOf<Same>();
});

test("a target in is a target the engine takes (the engine also nests intersections; the API writes them flat)", () => {
  expectTypeOf<z.infer<typeof TargetSpecSchema>>().toExtend<Engine.TargetSpec>();
});
