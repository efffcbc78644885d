import { createRoute } from "@hono/zod-openapi";
import { under } from "../../engine/errors.ts";
import { place } from "../../engine/place/place.ts";
import type { ApiContext } from "../context.ts";
import { withOwnIngredients } from "../own-ingredients.ts";
import { readSpec } from "../read-spec.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { PlaceAnswerSchema, PlaceBodySchema } from "../schemas/place.ts";
import { placeOptions, unitSettingsOf } from "./place-options.ts";

const route = createRoute({
  method: "post",
  path: "/place",
  operationId: "place",
  tags: ["Drinks"],
  summary: "Where a finished drink sits: sugar, acid and alcohol, with their uncertainty",
  request: jsonBody(PlaceBodySchema),
  responses: {
    ...jsonAnswer(PlaceAnswerSchema, "The placed drink"),
    ...problemResponses(...BODY_PROBLEMS, "unread-lines"),
  },
});

export function placeRoutes({ catalogue }: ApiContext) {
  return createRouter().openapi(route, (c) => {
    const body = c.req.valid("json");
    const own = withOwnIngredients(catalogue.pantry, body.ingredients);
    const read = readSpec(body.spec, own.pantry, unitSettingsOf(body), "/spec");
    const placement = under("/spec", () => place(read.spec, own.pantry, placeOptions(body, catalogue)));
    return c.json(
      {
        spec: read.spec,
        reading: read.reading,
        assumptions: [...own.assumptions, ...read.assumptions],
        placement,
        cautions: catalogue.cautionsFor(placement.cautions),
        provenance: catalogue.provenance,
      },
      200,
    );
  });
}
