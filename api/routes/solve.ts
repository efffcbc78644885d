import { createRoute } from "@hono/zod-openapi";
import type { ApiContext } from "../context.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { SolveAnswerSchema, SolveBodySchema } from "../schemas/solve.ts";
import { cautionsOf } from "./cautions-of.ts";
import { readSolve } from "./read-solve.ts";
import { withoutRows } from "./without-rows.ts";

const route = createRoute({
  method: "post",
  path: "/solve",
  operationId: "solve",
  tags: ["Drinks"],
  summary: "The least change that brings a drink into a target",
  description:
    "An answer that no change does it is an answer: 200 with status infeasible. A solve that runs out of time says limit_reached, with the best so far and the gap.",
  request: jsonBody(SolveBodySchema),
  responses: {
    ...jsonAnswer(SolveAnswerSchema, "What the solver found, and how sure it is"),
    ...problemResponses(...BODY_PROBLEMS, "unread-lines", "busy", "overrun"),
  },
});

export function solveRoutes({ catalogue, compute }: ApiContext) {
  return createRouter().openapi(route, async (c) => {
    const body = c.req.valid("json");
    const { task, frame, pantry } = readSolve(body, catalogue);
    const target = catalogue.resolveTarget(body.target, "/target", frame.spec);
    const result = await compute.run("solve", { ...task, target });
    const specs = [frame.spec, ...result.proposals.map((proposal) => proposal.spec)];
    return c.json(
      {
        ...frame,
        target,
        result: body.certificateRows ? result : withoutRows(result),
        cautions: cautionsOf(specs, pantry, body, catalogue),
      },
      200,
    );
  });
}
