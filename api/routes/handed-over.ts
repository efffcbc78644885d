import { planBatch } from "../../engine/batch/plan.ts";
import { batchWords } from "../../engine/batch/words.ts";
import { toJsonLd } from "../../engine/card/json-ld.ts";
import { makeCard } from "../../engine/card/make.ts";
import { readCard } from "../../engine/card/read.ts";
import { toCsv, toMarkdown, toText } from "../../engine/card/write.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint } from "../endpoint.ts";
import { askedSpec } from "../read/asked-spec.ts";
import { withOwnIngredients } from "../read/own-ingredients.ts";
import { placeOptions } from "../read/settings.ts";
import {
  BatchAnswerSchema,
  BatchBodySchema,
  CardAnswerSchema,
  CardBodySchema,
  ReadCardAnswerSchema,
  ReadCardBodySchema,
} from "../schemas/handed-over.ts";

const SPEC = {
  text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup",
  name: "Sour (invented)",
  method: "shaken",
} as const;

const batch = {
  method: "post",
  path: "/v1/batch",
  operationId: "planBatch",
  tags: ["Drinks"],
  isLean: true,
  summary: "The drink many times: pre-diluted, rounded to what is measured, with what keeps how long",
  body: BatchBodySchema,
  example: { spec: SPEC, size: { bottleMl: 750, bottles: 2 }, freezerTempC: -18 },
  answers: {
    200: { description: "What to pour, when, and what one serve comes to", schema: BatchAnswerSchema },
  },
  problems: ["unread-lines"],
} as const;

const card = {
  method: "post",
  path: "/v1/card",
  operationId: "makeCard",
  tags: ["Drinks"],
  summary: "The spec handed over: as JSON, text, Markdown, CSV and a schema.org Recipe",
  body: CardBodySchema,
  example: { spec: SPEC, garnish: "lime wheel" },
  answers: { 200: { description: "The card in every form", schema: CardAnswerSchema } },
  problems: ["unread-lines"],
} as const;

const read = {
  method: "post",
  path: "/v1/card/read",
  operationId: "readCard",
  tags: ["Drinks"],
  summary: "A card in any of its forms, back as a spec",
  description: "The point is worked out anew from what is read, never taken from the card.",
  body: ReadCardBodySchema,
  example: { text: "Sour\n\nMethod: Shaken\n\n60 mL Aged rum (40 % vol)\n22.5 mL Lime juice, fresh" },
  answers: { 200: { description: "The card and its spec", schema: ReadCardAnswerSchema } },
} as const;

/** The spec handed over, once or many times. */
export function handedOverRoutes({ catalogue }: ApiContext): Endpoint[] {
  return [
    endpoint(batch, ({ body }) => {
      const { pantry, found } = askedSpec(body, catalogue);
      const { size, dilutedShare, freezerTempC, boughtBottleMl } = body;
      const { cautions, ...plan } = planBatch(
        {
          spec: found.spec,
          size,
          ...(dilutedShare !== undefined && { dilutedShare }),
          ...(freezerTempC !== undefined && { freezerTempC }),
          ...(boughtBottleMl !== undefined && { boughtBottleMl }),
        },
        pantry,
        placeOptions(body, catalogue),
      );
      return {
        ...found,
        batch: plan,
        words: batchWords({ ...plan, cautions }),
        cautions: catalogue.cautionsFor(cautions),
        provenance: catalogue.provenance,
      };
    }),
    endpoint(card, ({ body }) => {
      const { pantry, found } = askedSpec(body, catalogue);
      const { garnish, notes, pourCost } = body;
      const made = makeCard(found.spec, pantry, {
        ...placeOptions(body, catalogue),
        ...(garnish !== undefined && { garnish }),
        ...(notes !== undefined && { notes }),
        ...(pourCost !== undefined && { pourCost }),
      });
      return {
        ...found,
        card: made,
        text: toText(made, pantry),
        markdown: toMarkdown(made, pantry),
        csv: toCsv(made, pantry),
        jsonLd: toJsonLd(made, pantry),
        provenance: catalogue.provenance,
      };
    }),
    endpoint(read, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { card: found, unread } = readCard(body.format ?? "text", body.text, {
        pantry,
        glasses: catalogue.glasses,
      });
      return { card: found, spec: found.spec, unread, provenance: catalogue.provenance };
    }),
  ];
}
