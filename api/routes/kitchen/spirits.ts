import { legalNamesOf } from "../../../engine/prep/legal.ts";
import { USUAL_SD } from "../../../engine/prep/measure.ts";
import { blendToStrength, buildLiqueur, proofDown, washSpirit } from "../../../engine/prep/spirit.ts";
import { legalWords } from "../../../engine/prep/words.ts";
import type { CautionId } from "../../../engine/types.ts";
import type { ApiContext } from "../../context.ts";
import { type Endpoint, endpoint } from "../../endpoint.ts";
import { namedIngredients } from "../../read/named.ts";
import { asOwn, withOwnIngredients } from "../../read/own-ingredients.ts";
import {
  BlendAnswerSchema,
  BlendBodySchema,
  LiqueurAnswerSchema,
  LiqueurBodySchema,
  ProofAnswerSchema,
  ProofBodySchema,
  WashAnswerSchema,
  WashBodySchema,
} from "../../schemas/kitchen.ts";

const TAGS = ["Preps"] as const;
/** Key of the source of what the caller gave. */
const USER = "user";

const proof = {
  method: "post",
  path: "/v1/kitchen/proof",
  operationId: "proofDown",
  tags: TAGS,
  isLean: true,
  summary: "Water that brings a plain spirit down to a strength, contraction included",
  body: ProofBodySchema,
  example: { amount: { volumeMl: 700 }, fromAbvPercent: 57, toAbvPercent: 45 },
  answers: { 200: { description: "Water, and what becomes of the volume", schema: ProofAnswerSchema } },
} as const;

const blend = {
  method: "post",
  path: "/v1/kitchen/blend",
  operationId: "blendSpirits",
  tags: TAGS,
  isLean: true,
  summary: "How much of each of two spirits makes a volume of a strength",
  body: BlendBodySchema,
  example: { first: "rum-overproof-63", second: "rum-white", abvPercent: 50, volumeMl: 700 },
  answers: { 200: { description: "Pours and weights", schema: BlendAnswerSchema } },
} as const;

const wash = {
  method: "post",
  path: "/v1/kitchen/wash",
  operationId: "washSpirit",
  tags: TAGS,
  isLean: true,
  summary: "Strength of a spirit after fruit, milk or fat washing",
  body: WashBodySchema,
  example: {
    spirit: "rum-aged",
    spiritMl: 700,
    addedG: 300,
    waterShare: 0.85,
    sugarShare: 0.1,
    recoveredMl: 760,
  },
  answers: { 200: { description: "The washed spirit", schema: WashAnswerSchema } },
} as const;

const liqueur = {
  method: "post",
  path: "/v1/kitchen/liqueur",
  operationId: "buildLiqueur",
  tags: TAGS,
  isLean: true,
  summary: "Spirit, sweetener and water for a liqueur of a strength and a sugar",
  body: LiqueurBodySchema,
  example: { base: "vodka", sweetener: "sugar", abvPercent: 25, sugarGPer100Ml: 25, volumeMl: 1000 },
  answers: {
    200: { description: "What to pour and weigh, and what it may be called", schema: LiqueurAnswerSchema },
  },
} as const;

/** Spirits brought to a strength. */
export function spiritRoutes({ catalogue }: ApiContext): Endpoint[] {
  const frame = (words: string[], cautions: readonly CautionId[] = []) => ({
    words,
    cautions: catalogue.cautionsFor([...cautions, "alcohol"]),
    provenance: catalogue.provenance,
  });
  return [
    endpoint(proof, ({ body }) => {
      const from = {
        value: body.fromAbvPercent,
        sd: body.fromSdPercent ?? USUAL_SD.labelPercent,
        source: USER,
      };
      return { ...proofDown(body.amount, from, body.toAbvPercent), ...frame([]) };
    }),
    endpoint(blend, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { first, second } = namedIngredients({ first: body.first, second: body.second }, pantry);
      const made = blendToStrength(first, second, body.abvPercent, body.volumeMl);
      return { ...made, ingredient: asOwn(made.ingredient), ...frame([], made.ingredient.cautions) };
    }),
    endpoint(wash, ({ body }) => {
      const { ingredients, spirit: id, ...how } = body;
      const { pantry } = withOwnIngredients(catalogue.pantry, ingredients);
      const { spirit } = namedIngredients({ spirit: id }, pantry);
      const { sugarShare, exchanged, recoveredMl, ...rest } = how;
      const made = washSpirit({
        ...rest,
        spirit,
        ...(sugarShare !== undefined && { sugarShare }),
        ...(exchanged !== undefined && { exchanged }),
        ...(recoveredMl !== undefined && { recoveredMl }),
      });
      return { ...made, ingredient: asOwn(made.ingredient), ...frame([], made.ingredient.cautions) };
    }),
    endpoint(liqueur, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { base, sweetener, water } = namedIngredients(
        { base: body.base, sweetener: body.sweetener, water: "water" },
        pantry,
      );
      const { abvPercent, sugarGPer100Ml, volumeMl } = body;
      const made = buildLiqueur({ base, sweetener, water, abvPercent, sugarGPer100Ml, volumeMl });
      const names = legalNamesOf(made.composition);
      return {
        ...made,
        ingredient: asOwn(made.ingredient),
        names,
        ...frame([legalWords(names)], made.ingredient.cautions),
      };
    }),
  ];
}
