import { createRoute } from "@hono/zod-openapi";
import { LADDERS } from "../../engine/amounts/ladder.ts";
import { pointOf, swapIngredient } from "../../engine/explore/changed-spec.ts";
import { swapEffects } from "../../engine/explore/routes.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import type { ApiContext } from "../context.ts";
import { withOwnIngredients } from "../own-ingredients.ts";
import { ProblemError } from "../problems.ts";
import { readSpec } from "../read-spec.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { SwapsAnswerSchema, SwapsBodySchema } from "../schemas/explore.ts";
import { echo } from "../schemas/strict.ts";
import { cautionsOf } from "./cautions-of.ts";
import { unitSettingsOf } from "./place-options.ts";

const route = createRoute({
  method: "post",
  path: "/swaps",
  operationId: "listSwaps",
  tags: ["Drinks"],
  summary: "What swapping one ingredient for each other of its role moves, and what it cannot",
  request: jsonBody(SwapsBodySchema),
  responses: {
    ...jsonAnswer(SwapsAnswerSchema, "Each alternative, and where the drink goes with it"),
    ...problemResponses(...BODY_PROBLEMS, "unread-lines"),
  },
});

export function swapsRoutes({ catalogue }: ApiContext) {
  return createRouter().openapi(route, (c) => {
    const body = c.req.valid("json");
    const { pantry, assumptions } = withOwnIngredients(catalogue.pantry, body.ingredients);
    const unitSettings = unitSettingsOf(body);
    const { spec, ...read } = readSpec(body.spec, pantry, unitSettings, "/spec");
    const held = spec.lines.map((line) => line.ingredient);
    if (!held.includes(body.ingredient)) {
      throw new ProblemError("invalid-request", "not in the drink", [
        {
          in: "body",
          pointer: "#/ingredient",
          detail: `the drink holds no ${echo(body.ingredient)}`,
          remedy: `name one of its ingredients: ${[...new Set(held)].join(", ")}`,
        },
      ]);
    }
    const target = catalogue.resolveTarget(body.target, "/target", spec);
    // Amounts are not changed, so the ladder only says how a piece or a gram is written.
    const request = { spec, pantry, target, unitSettings, ladder: LADDERS["metric-jigger"] };
    const swaps = swapEffects(request, body.ingredient);
    const before = pointOf(request, spec);
    const specs = [spec, ...swaps.map((swap) => swapIngredient(request, body.ingredient, swap.ingredient))];
    return c.json(
      {
        spec,
        reading: read.reading,
        assumptions: [...assumptions, ...read.assumptions],
        target,
        before: before.point,
        membershipBefore: compileTarget(target).membership(before.vector),
        swaps,
        cautions: cautionsOf(specs, pantry, body, catalogue),
        provenance: catalogue.provenance,
      },
      200,
    );
  });
}
