import { LADDERS } from "../../engine/amounts/ladder.ts";
import { fail } from "../../engine/errors.ts";
import { pointOf, swapIngredient } from "../../engine/explore/changed-spec.ts";
import { echo } from "../../engine/shapes/check.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import { cautionsOf } from "../answer/cautions-of.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint, SOLVER_PROBLEMS } from "../endpoint.ts";
import { aim } from "../read/aim.ts";
import { withOwnIngredients } from "../read/own-ingredients.ts";
import { readSettings, unitSettingsOf } from "../read/settings.ts";
import { readSpec } from "../read/spec.ts";
import { SwapsAnswerSchema, SwapsBodySchema } from "../schemas/explore.ts";

const route = {
  method: "post",
  path: "/v1/swaps",
  operationId: "listSwaps",
  tags: ["Drinks"],
  isLean: true,
  summary: "What swapping one ingredient for each other of its role moves, and what it cannot",
  body: SwapsBodySchema,
  example: {
    spec: { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" },
    ingredient: "rum-aged",
    target: { id: "family:sour" },
  },
  answers: {
    200: { description: "Each alternative, and where the drink goes with it", schema: SwapsAnswerSchema },
  },
  problems: SOLVER_PROBLEMS,
} as const;

export function swapsRoutes({ catalogue, compute }: ApiContext): Endpoint[] {
  return [
    endpoint(route, async ({ body }, c) => {
      const own = withOwnIngredients(catalogue.pantry, body.ingredients);
      const unitSettings = unitSettingsOf(body);
      const { spec, pantry, ...read } = readSpec(
        body.spec,
        own.pantry,
        readSettings(body, catalogue),
        "/spec",
      );
      const held = spec.lines.map((line) => line.ingredient);
      if (!held.includes(body.ingredient)) {
        fail(
          "/ingredient",
          `the drink holds no ${echo(body.ingredient)}`,
          `name one of its ingredients: ${[...new Set(held)].join(", ")}`,
        );
      }
      const { target, frame } = aim(
        body.target,
        {
          spec,
          reading: read.reading,
          made: read.made,
          assumptions: [...own.assumptions, ...read.assumptions],
        },
        pantry,
        catalogue,
      );
      // Amounts are not changed, so the ladder only says how a piece or a gram is written.
      const request = { spec, pantry, target, unitSettings, ladder: LADDERS["metric-jigger"] };
      const { ingredient } = body;
      const swaps = await compute.run("swaps", { ingredient, request }, c.get("exchange"));
      const before = pointOf(request, spec);
      const specs = [spec, ...swaps.map((swap) => swapIngredient(request, ingredient, swap.ingredient))];
      return {
        ...frame,
        target,
        before: before.point,
        membershipBefore: compileTarget(target).membership(before.vector),
        swaps,
        cautions: cautionsOf(specs, pantry, body, catalogue),
        provenance: catalogue.provenance,
      };
    }),
  ];
}
