import { createRoute } from "@hono/zod-openapi";
import type { ApiContext } from "../context.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { RepairAnswerSchema, RoutesAnswerSchema } from "../schemas/explore.ts";
import { ExploreBodySchema } from "../schemas/solve.ts";
import { cautionsOf } from "./cautions-of.ts";
import { readSolve } from "./read-solve.ts";

const problems = problemResponses(...BODY_PROBLEMS, "unread-lines", "busy", "overrun");

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
  request: jsonBody(ExploreBodySchema),
  responses: { ...jsonAnswer(RepairAnswerSchema, "The limits in conflict and the ways out"), ...problems },
});

export function exploreRoutes({ catalogue, compute }: ApiContext) {
  const app = createRouter();
  app.openapi(routesRoute, async (c) => {
    const body = c.req.valid("json");
    const { task, frame, pantry } = readSolve(body, catalogue);
    const target = catalogue.resolveTarget(body.target, "/target");
    const routes = await compute.run("routes", { ...task, target });
    const specs = [frame.spec, ...routes.map((route) => route.proposal?.spec ?? null)];
    return c.json({ ...frame, target, routes, cautions: cautionsOf(specs, pantry, body, catalogue) }, 200);
  });
  app.openapi(repairRoute, async (c) => {
    const body = c.req.valid("json");
    const { task, frame, pantry } = readSolve(body, catalogue);
    const target = catalogue.resolveTarget(body.target, "/target");
    const { result, report } = await compute.run("repair", { ...task, target });
    const specs = [frame.spec, ...(report?.repairs ?? []).map((repair) => repair.proposal.spec)];
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
