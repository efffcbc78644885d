import { under } from "../../engine/errors.ts";
import { place } from "../../engine/place/place.ts";
import { toward } from "../answer/toward.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint } from "../endpoint.ts";
import { withOwnIngredients } from "../read/own-ingredients.ts";
import { placeOptions, readSettings } from "../read/settings.ts";
import { readSpec } from "../read/spec.ts";
import { PlaceAnswerSchema, PlaceBodySchema } from "../schemas/place.ts";

const route = {
  method: "post",
  path: "/v1/place",
  operationId: "place",
  tags: ["Drinks"],
  isLean: true,
  summary: "Where a finished drink sits: sugar, acid and alcohol, with their uncertainty",
  description:
    "Many drinks at once: send one body a line as application/x-ndjson, as many as you like. Each is answered by a line of its own, in order, as {line, answer} or {line, problem}; a line that is wrong does not stop the others.",
  body: PlaceBodySchema,
  inLines: true,
  example: {
    spec: { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" },
  },
  answers: { 200: { description: "The placed drink", schema: PlaceAnswerSchema } },
  problems: ["unread-lines"],
} as const;

export function placeRoutes({ catalogue }: ApiContext): Endpoint[] {
  return [
    endpoint(route, ({ body }) => {
      const own = withOwnIngredients(catalogue.pantry, body.ingredients);
      const read = readSpec(body.spec, own.pantry, readSettings(body, catalogue), "/spec");
      const placement = under("/spec", () =>
        place(read.spec, read.pantry, placeOptions(body, catalogue, body.include)),
      );
      return {
        spec: read.spec,
        reading: read.reading,
        made: read.made,
        assumptions: [...own.assumptions, ...read.assumptions],
        placement,
        ...(body.target && { toward: toward(body.target, read, placement.point, catalogue) }),
        ...(body.include?.includes("kin") && { kin: catalogue.kin(read.spec, read.pantry) }),
        cautions: catalogue.cautionsFor(placement.cautions),
        provenance: catalogue.provenance,
      };
    }),
  ];
}
