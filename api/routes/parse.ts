import { parseRecipe } from "../../engine/recipe/parse-recipe.ts";
import { spoken } from "../../engine/recipe/words.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint } from "../endpoint.ts";
import { asOwn, withOwnIngredients } from "../read/own-ingredients.ts";
import { readSettings } from "../read/settings.ts";
import { ParseAnswerSchema, ParseBodySchema } from "../schemas/parse.ts";

const route = {
  method: "post",
  path: "/v1/parse",
  operationId: "parse",
  tags: ["Drinks"],
  isLean: true,
  summary: "Read a pasted spec line by line; say what was not read, and why",
  body: ParseBodySchema,
  example: {
    text: "Shaken\n2 oz aged rum\n3/4 oz lime juice\na splash of moonlight\n3 dashes aromatic bitters",
  },
  answers: {
    200: {
      description: "Each line: read, to be chosen, or unread with the reason",
      schema: ParseAnswerSchema,
    },
  },
} as const;

export function parseRoutes({ catalogue }: ApiContext): Endpoint[] {
  return [
    endpoint(route, ({ body }) => {
      const own = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { made, ...recipe } = spoken(parseRecipe(body.text, own.pantry, readSettings(body, catalogue)));
      return {
        recipe,
        made: made.map(({ from, ingredient }) => ({ from, ingredient: asOwn(ingredient) })),
        assumptions: own.assumptions,
        provenance: catalogue.provenance,
      };
    }),
  ];
}
