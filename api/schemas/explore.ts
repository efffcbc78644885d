import { z } from "@hono/zod-openapi";
import { PointSchema } from "./point.ts";
import { MoveKindSchema, ProposalSchema, SolveStatusSchema, solveFrame } from "./solve.ts";

export const RouteSchema = z
  .object({
    kind: MoveKindSchema,
    name: z.string(),
    status: SolveStatusSchema,
    proposal: ProposalSchema.nullable().openapi({ description: "null when this way does not get there." }),
  })
  .openapi("Route");

export const RoutesAnswerSchema = z
  .object({ ...solveFrame, routes: z.array(RouteSchema) })
  .openapi("RoutesAnswer");

export const RepairReportSchema = z
  .object({
    conflict: z
      .array(
        z.object({
          id: z.string(),
          kind: z.enum(["target", "lock", "bound", "max-touched", "glass", "character", "drift", "chance"]),
          text: z.string(),
        }),
      )
      .openapi({ description: "Limits that cannot hold together; lift any one and the rest can be met." }),
    repairs: z.array(
      z.object({ kind: z.enum(["lift", "add"]), id: z.string(), text: z.string(), proposal: ProposalSchema }),
    ),
    text: z.string(),
  })
  .openapi("RepairReport");

export const RepairAnswerSchema = z
  .object({
    ...solveFrame,
    nearest: PointSchema.nullable().openapi({ description: "The closest drink within the limits." }),
    repair: RepairReportSchema.nullable().openapi({ description: "null when the solve is not infeasible." }),
    status: SolveStatusSchema,
  })
  .openapi("RepairAnswer");
