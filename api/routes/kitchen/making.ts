import { fail } from "../../../engine/errors.ts";
import { ACIDS_AT_HAND, powdersOf } from "../../../engine/prep/acids-at-hand.ts";
import { adjustJuice } from "../../../engine/prep/adjust.ts";
import { compareAcidWays } from "../../../engine/prep/compare.ts";
import { makeSyrup, type Syrup, thinSyrup } from "../../../engine/prep/syrup.ts";
import { adjustedWords, crystalWords, otherWayWords, waysWords } from "../../../engine/prep/words.ts";
import { echo } from "../../../engine/shapes/check.ts";
import type { ApiContext } from "../../context.ts";
import { type Endpoint, endpoint } from "../../endpoint.ts";
import { namedIngredients } from "../../read/named.ts";
import { asOwn, withOwnIngredients } from "../../read/own-ingredients.ts";
import { placeOptions, readSettings } from "../../read/settings.ts";
import { readSpec } from "../../read/spec.ts";
import {
  AdjustAnswerSchema,
  AdjustBodySchema,
  CompareAnswerSchema,
  CompareBodySchema,
  SyrupAnswerSchema,
  SyrupBodySchema,
  ThinAnswerSchema,
  ThinBodySchema,
} from "../../schemas/kitchen.ts";

const TAGS = ["Preps"] as const;
const said = (...sentences: (string | null)[]) => sentences.filter((s) => s !== null);

const syrup = {
  method: "post",
  path: "/v1/kitchen/syrup",
  operationId: "makeSyrup",
  tags: TAGS,
  isLean: true,
  summary: "A syrup of any sweetener: what to weigh, what it yields, whether it stays dissolved",
  body: SyrupBodySchema,
  example: { sweetener: "honey", strength: { by: "volume", ratio: 3 }, want: { volumeMl: 500 } },
  answers: {
    200: { description: "The syrup, and the ratio meant the other way", schema: SyrupAnswerSchema },
  },
} as const;

const thin = {
  method: "post",
  path: "/v1/kitchen/thin",
  operationId: "thinSyrup",
  tags: TAGS,
  isLean: true,
  summary: "Water that thins a syrup to a Brix or a sugar",
  body: ThinBodySchema,
  example: { syrup: "syrup-simple-2-1", amountG: 500, to: { brix: 50 } },
  answers: { 200: { description: "The water, and the thinner syrup", schema: ThinAnswerSchema } },
} as const;

const adjust = {
  method: "post",
  path: "/v1/kitchen/adjust",
  operationId: "adjustJuice",
  tags: TAGS,
  isLean: true,
  summary: "Grams of acid that bring a juice to an acidity, or to another juice's profile",
  description:
    "With sugarGPer100Ml it is a cordial; of water, toward lime or lemon, it is a sour that keeps. Weights are rounded to the scale, and all that follows is worked out from the rounded.",
  body: AdjustBodySchema,
  example: {
    juice: "juice-pineapple",
    volumeMl: 1000,
    goal: { like: "juice-lime" },
    acids: [{ acid: "citric" }, { acid: "malic" }],
  },
  answers: { 200: { description: "What to weigh, and what it becomes", schema: AdjustAnswerSchema } },
} as const;

const compare = {
  method: "post",
  path: "/v1/kitchen/compare",
  operationId: "compareAcidWays",
  tags: TAGS,
  isLean: true,
  summary: "Adjust the juice, or add citrus: the same drink equally sour both ways",
  body: CompareBodySchema,
  example: {
    spec: { text: "2 oz white rum\n1 1/2 oz pineapple juice\n1/4 oz simple syrup", method: "shaken" },
    juice: "juice-pineapple",
    adjusted: "juice-pineapple-adjusted",
    citrus: "juice-lime",
    ingredients: [
      {
        id: "juice-pineapple-adjusted",
        name: "Pineapple juice, acid-adjusted",
        role: "sour-juice",
        sugarsGPer100Ml: { sucrose: 6, glucose: 2.5, fructose: 2.5 },
        acidsGPer100Ml: { citric: 4, malic: 2 },
      },
    ],
  },
  answers: { 200: { description: "Both drinks, placed", schema: CompareAnswerSchema } },
  problems: ["unread-lines"],
} as const;

/** Syrups, and juices brought to an acidity. */
export function makingRoutes({ catalogue }: ApiContext): Endpoint[] {
  const frame = (words: (string | null)[], cautions: readonly string[] = []) => ({
    words: said(...words),
    cautions: catalogue.cautionsFor(cautions),
    provenance: catalogue.provenance,
  });
  const sent = (made: Syrup) => ({ ...made, ingredient: asOwn(made.ingredient) });
  return [
    endpoint(syrup, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { strength, want, simmered } = body;
      const parts = namedIngredients({ sweetener: body.sweetener, water: body.water ?? "water" }, pantry);
      const { otherWay, ...made } = makeSyrup({ ...parts, strength, want, ...(simmered && { simmered }) });
      return {
        syrup: sent(made),
        otherWay: otherWay && { by: otherWay.by, syrup: sent(otherWay.syrup) },
        ...frame(
          [otherWayWords({ ...made, otherWay }), crystalWords(made.crystals)],
          [...(made.ingredient.cautions ?? []), ...(simmered ? ["hot-sugar"] : [])],
        ),
      };
    }),
    endpoint(thin, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const named = namedIngredients({ syrup: body.syrup, water: "water" }, pantry);
      const made = thinSyrup(named.syrup, named.water, body.amountG, body.to);
      return {
        ...made,
        ingredient: asOwn(made.ingredient),
        ...frame([crystalWords(made.crystals)], made.ingredient.cautions),
      };
    }),
    endpoint(adjust, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { juice, goal, acids, sugar = "sugar", volumeMl, sugarGPer100Ml, scaleStepG } = body;
      const named = namedIngredients({ juice, sugar }, pantry);
      const made = adjustJuice({
        ...named,
        volumeMl,
        goal: "like" in goal ? namedGoal(goal.like) : goal,
        acids: acids.map((a) => ({ ...a, purity: a.purity ?? ACIDS_AT_HAND[a.acid].purity })),
        powders: powdersOf(pantry),
        ...(sugarGPer100Ml !== undefined && { sugarGPer100Ml }),
        ...(scaleStepG !== undefined && { scaleStepG }),
      });
      return {
        ...made,
        ingredient: asOwn(made.ingredient),
        ...frame(adjustedWords(made), made.ingredient.cautions),
      };
      function namedGoal(id: string) {
        return { like: namedIngredients({ "goal/like": id }, pantry)["goal/like"] };
      }
    }),
    endpoint(compare, ({ body }) => {
      const own = withOwnIngredients(catalogue.pantry, body.ingredients);
      const read = readSpec(body.spec, own.pantry, readSettings({}, catalogue), "/spec");
      const named = namedIngredients({ adjusted: body.adjusted, citrus: body.citrus }, read.pantry);
      const line = read.spec.lines.findIndex(({ ingredient }) => ingredient === body.juice);
      if (line < 0) {
        const there = [...new Set(read.spec.lines.map(({ ingredient }) => ingredient))].join(", ");
        fail("/juice", `the drink holds no ${echo(body.juice)}`, `name one of its ingredients: ${there}`);
      }
      const options = placeOptions({}, catalogue);
      const ways = compareAcidWays(read.spec, line, named.adjusted, named.citrus, read.pantry, options);
      const both = [ways.adjusted, ...(ways.added ? [ways.added] : [])];
      return {
        spec: read.spec,
        reading: read.reading,
        made: read.made,
        assumptions: [...own.assumptions, ...read.assumptions],
        ...ways,
        ...frame(
          [waysWords(ways, named.citrus.name)],
          both.flatMap(({ placement }) => placement.cautions),
        ),
      };
    }),
  ];
}
