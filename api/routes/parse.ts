import { createRoute } from "@hono/zod-openapi";
import { parseRecipe } from "../../engine/recipe/parse-recipe.ts";
import type { ApiContext } from "../context.ts";
import { withOwnIngredients } from "../own-ingredients.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { ParseAnswerSchema, ParseBodySchema } from "../schemas/parse.ts";
import { unitSettingsOf } from "./place-options.ts";

const route = createRoute({
  method: "post",
  path: "/parse",
  operationId: "parse",
  tags: ["Drinks"],
  summary: "Read a pasted spec line by line; say what was not read, and why",
  request: jsonBody(ParseBodySchema),
  responses: {
    ...jsonAnswer(ParseAnswerSchema, "Each line: read, to be chosen, or unread with the reason"),
    ...problemResponses(...BODY_PROBLEMS),
  },
});

export function parseRoutes({ catalogue }: ApiContext) {
  return createRouter().openapi(route, (c) => {
    const body = c.req.valid("json");
    const own = withOwnIngredients(catalogue.pantry, body.ingredients);
    const recipe = parseRecipe(body.text, own.pantry, { unitSettings: unitSettingsOf(body) });
    return c.json({ recipe, assumptions: own.assumptions, provenance: catalogue.provenance }, 200);
  });
}
