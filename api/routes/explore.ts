import { keepsOf } from "../../engine/explore/keeps.ts";
import type { RepairReport } from "../../engine/explore/repair.ts";
import type { Proposal } from "../../engine/types.ts";
import { cautionsOf } from "../answer/cautions-of.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint, SOLVER_PROBLEMS } from "../endpoint.ts";
import { readAimed } from "../read/aim.ts";
import { ExploreAnswerSchema, RepairAnswerSchema, RoutesAnswerSchema } from "../schemas/explore.ts";
import { ExploreBodySchema, RepairBodySchema, RoutesBodySchema } from "../schemas/solve.ts";

const dull = { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" };

const shared = { method: "post", tags: ["Drinks"], isLean: true, problems: SOLVER_PROBLEMS } as const;

const exploreRoute = {
  ...shared,
  path: "/v1/explore",
  operationId: "explore",
  summary: "The least change and its rivals: deeper, surer, cheaper; what to measure; or why nothing does it",
  body: ExploreBodySchema,
  example: { spec: dull, target: { id: "family:sour" }, minProbability: 0.7 },
  answers: {
    200: {
      description: "The certified answer, and what else is worth choosing",
      schema: ExploreAnswerSchema,
    },
  },
} as const;

const routesRoute = {
  ...shared,
  path: "/v1/routes",
  operationId: "compareRoutes",
  summary: "Each way of going about it, side by side: pour, add, swap, syrup, method, acid, scale",
  body: RoutesBodySchema,
  example: exploreRoute.example,
  answers: {
    200: { description: "One least change a way; those that get there first", schema: RoutesAnswerSchema },
  },
} as const;

const repairRoute = {
  ...shared,
  path: "/v1/repair",
  operationId: "explainInfeasible",
  summary: "Why a request cannot be met, and which single change would let it be",
  body: RepairBodySchema,
  example: { spec: dull, target: { id: "family:sour" }, locks: ["juice-lime", "syrup-simple-1-1"] },
  answers: { 200: { description: "The limits in conflict and the ways out", schema: RepairAnswerSchema } },
} as const;

const repairsOf = (report: RepairReport | null): Proposal[] =>
  report?.repairs.map((repair) => repair.proposal) ?? [];

export function exploreRoutes(context: ApiContext): Endpoint[] {
  const { catalogue, compute } = context;
  return [
    endpoint(exploreRoute, async ({ body }, c) => {
      const { task, target, frame, pantry } = readAimed(body, context);
      const found = await compute.run("explore", task, c.get("exchange"));
      const proposals = [...found.proposals, ...found.solved.proposals, ...repairsOf(found.repair)];
      const specs = [frame.spec, ...proposals.map((proposal) => proposal.spec)];
      return {
        ...frame,
        target,
        ...found,
        cautions: cautionsOf(specs, pantry, body, catalogue),
      };
    }),
    endpoint(routesRoute, async ({ body }, c) => {
      const { task, target, frame, pantry } = readAimed(body, context);
      const routes = await compute.run("routes", task, c.get("exchange"));
      const specs = [frame.spec, ...routes.map((route) => route.proposal?.spec ?? null)];
      const keeps = keepsOf(task);
      return { ...frame, target, routes, keeps, cautions: cautionsOf(specs, pantry, body, catalogue) };
    }),
    endpoint(repairRoute, async ({ body }, c) => {
      const { task, target, frame, pantry } = readAimed(body, context);
      const { result, keeps, report } = await compute.run("repair", task, c.get("exchange"));
      const specs = [frame.spec, ...repairsOf(report).map((proposal) => proposal.spec)];
      return {
        ...frame,
        target,
        status: result.status,
        nearest: result.infeasible?.nearest.point ?? null,
        repair: report,
        keeps,
        cautions: cautionsOf(specs, pantry, body, catalogue),
      };
    }),
  ];
}
