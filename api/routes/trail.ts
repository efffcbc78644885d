import { createRoute, type z } from "@hono/zod-openapi";
import type { Round } from "../../engine/types.ts";
import type { ApiContext } from "../context.ts";
import { withOwnIngredients } from "../own-ingredients.ts";
import { readSpec } from "../read-spec.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { TrailAnswerSchema, TrailBodySchema } from "../schemas/trail.ts";
import { placeOptions, unitSettingsOf } from "./place-options.ts";

const route = createRoute({
  method: "post",
  path: "/trail",
  operationId: "trail",
  tags: ["Drinks"],
  summary: "Where each round of a bench went, and which change did what",
  request: jsonBody(TrailBodySchema),
  responses: {
    ...jsonAnswer(TrailAnswerSchema, "Rounds placed; steps split among their changes"),
    ...problemResponses(...BODY_PROBLEMS, "unread-lines", "busy", "overrun"),
  },
});

type RoundInput = z.infer<typeof TrailBodySchema>["rounds"][number];

/** A round with what the caller left out: numbered by its place, changed from the one before. */
function complete(input: RoundInput, index: number, rounds: readonly RoundInput[]): Omit<Round, "spec"> {
  const { spec: _, ...given } = input;
  const number = input.number ?? index + 1;
  return {
    ...given,
    number,
    label: input.label ?? `Round ${number}`,
    parent: input.parent !== undefined ? input.parent : (rounds[index - 1]?.id ?? null),
  };
}

export function trailRoutes({ catalogue, compute }: ApiContext) {
  return createRouter().openapi(route, async (c) => {
    const body = c.req.valid("json");
    const own = withOwnIngredients(catalogue.pantry, body.ingredients);
    const assumptions = [...own.assumptions];
    const rounds = body.rounds.map((input, i): Round => {
      const read = readSpec(input.spec, own.pantry, unitSettingsOf(body), `/rounds/${i}/spec`);
      assumptions.push(...read.assumptions.map((a) => `round ${input.id}: ${a}`));
      return { ...complete(input, i, body.rounds), spec: read.spec };
    });
    const trail = await compute.run("trail", {
      rounds,
      pantry: own.pantry,
      options: placeOptions(body, catalogue),
    });
    return c.json({ trail, assumptions, provenance: catalogue.provenance }, 200);
  });
}
