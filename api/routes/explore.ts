import { createRoute } from "@hono/zod-openapi";
import type { RepairReport } from "../../engine/explore/repair.ts";
import type { Proposal } from "../../engine/types.ts";
import type { ApiContext } from "../context.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { ExploreAnswerSchema, RepairAnswerSchema, RoutesAnswerSchema } from "../schemas/explore.ts";
import { ExploreBodySchema, RepairBodySchema } from "../schemas/solve.ts";
import { cautionsOf } from "./cautions-of.ts";
import { readSolve } from "./read-solve.ts";
import { withoutRows } from "./without-rows.ts";

const problems = problemResponses(...BODY_PROBLEMS, "unread-lines", "busy", "overrun");

const exploreRoute = createRoute({
  method: "post",
  path: "/explore",
  operationId: "explore",
  tags: ["Drinks"],
  summary: "The least change and its rivals: deeper, surer, cheaper; what to measure; or why nothing does it",
  request: jsonBody(ExploreBodySchema),
  responses: {
    ...jsonAnswer(ExploreAnswerSchema, "The certified answer, and what else is worth choosing"),
    ...problems,
  },
});

const routesRoute = createRoute({
  method: "post",
  path: "/routes",
  operationId: "compareRoutes",
  tags: ["Drinks"],
  summary: "Each way of going about it, side by side: pour, add, swap, syrup, method, acid, scale",
  request: jsonBody(ExploreBodySchema),
  responses: {
    ...jsonAnswer(RoutesAnswerSchema, "One least change a way; those that get there first"),
    ...problems,
  },
});

const repairRoute = createRoute({
  method: "post",
  path: "/repair",
  operationId: "explainInfeasible",
  tags: ["Drinks"],
  summary: "Why a request cannot be met, and which single change would let it be",
  request: jsonBody(RepairBodySchema),
  responses: { ...jsonAnswer(RepairAnswerSchema, "The limits in conflict and the ways out"), ...problems },
});

const repairsOf = (report: RepairReport | null): Proposal[] =>
  report?.repairs.map((repair) => repair.proposal) ?? [];

export function exploreRoutes({ catalogue, compute }: ApiContext) {
  const app = createRouter();
  app.openapi(exploreRoute, async (c) => {
    const body = c.req.valid("json");
    const { task, frame, pantry } = readSolve(body, catalogue);
    const target = catalogue.resolveTarget(body.target, "/target", frame.spec);
    const found = await compute.run("explore", { ...task, target });
    const proposals = [...found.proposals, ...found.solved.proposals, ...repairsOf(found.repair)];
    const specs = [frame.spec, ...proposals.map((proposal) => proposal.spec)];
    return c.json(
      {
        ...frame,
        target,
        ...found,
        solved: withoutRows(found.solved),
        cautions: cautionsOf(specs, pantry, body, catalogue),
      },
      200,
    );
  });
  app.openapi(routesRoute, async (c) => {
    const body = c.req.valid("json");
    const { task, frame, pantry } = readSolve(body, catalogue);
    const target = catalogue.resolveTarget(body.target, "/target", frame.spec);
    const routes = await compute.run("routes", { ...task, target });
    const specs = [frame.spec, ...routes.map((route) => route.proposal?.spec ?? null)];
    return c.json({ ...frame, target, routes, cautions: cautionsOf(specs, pantry, body, catalogue) }, 200);
  });
  app.openapi(repairRoute, async (c) => {
    const body = c.req.valid("json");
    const { task, frame, pantry } = readSolve(body, catalogue);
    const target = catalogue.resolveTarget(body.target, "/target", frame.spec);
    const { result, report } = await compute.run("repair", { ...task, target });
    const specs = [frame.spec, ...repairsOf(report).map((proposal) => proposal.spec)];
    return c.json(
      {
        ...frame,
        target,
        status: result.status,
        nearest: result.infeasible?.nearest.point ?? null,
        repair: report,
        cautions: cautionsOf(specs, pantry, body, catalogue),
      },
      200,
    );
  });
  return app;
}
