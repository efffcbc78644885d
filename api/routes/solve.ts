import { cautionsOf } from "../answer/cautions-of.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint, SOLVER_PROBLEMS } from "../endpoint.ts";
import { readAimed } from "../read/aim.ts";
import { SolveAnswerSchema, SolveBodySchema } from "../schemas/solve.ts";

const route = {
  method: "post",
  path: "/v1/solve",
  operationId: "solve",
  tags: ["Drinks"],
  isLean: true,
  summary: "The least change that brings a drink into a target",
  description:
    "An answer that no change does it is an answer: 200 with status infeasible. A solve that runs out of time says limit_reached, with the best so far and the gap.",
  body: SolveBodySchema,
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
  answers: { 200: { description: "What the solver found, and how sure it is", schema: SolveAnswerSchema } },
  problems: SOLVER_PROBLEMS,
} as const;

export function solveRoutes(context: ApiContext): Endpoint[] {
  const { catalogue, compute } = context;
  return [
    endpoint(route, async ({ body }, c) => {
      const { task, target, frame, pantry } = readAimed(body, context);
      const { result, keeps } = await compute.run("solve", task, c.get("exchange"));
      const specs = [frame.spec, ...result.proposals.map((proposal) => proposal.spec)];
      return {
        ...frame,
        target,
        result,
        keeps,
        cautions: cautionsOf(specs, pantry, body, catalogue),
      };
    }),
  ];
}
