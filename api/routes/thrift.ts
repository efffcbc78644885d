import { fail } from "../../engine/errors.ts";
import { place } from "../../engine/place/place.ts";
import { echo } from "../../engine/shapes/check.ts";
import { careOf } from "../../engine/thrift/care.ts";
import { costOf } from "../../engine/thrift/cost.ts";
import { needsOf } from "../../engine/thrift/needs.ts";
import { servedOf } from "../../engine/thrift/served.ts";
import { smallPour } from "../../engine/thrift/small-pour.ts";
import { splitBuild } from "../../engine/thrift/split-build.ts";
import {
  careWords,
  costWords,
  needWords,
  SERVED_CAUTION,
  servedWords,
  smallPourWords,
  splitWords,
} from "../../engine/thrift/words.ts";
import type { Pantry, Spec } from "../../engine/types.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint } from "../endpoint.ts";
import { askedSpec, askedSpecs, type Reads } from "../read/asked-spec.ts";
import { placeOptions, unitSettingsOf } from "../read/settings.ts";
import { ladderOf } from "../read/solve.ts";
import type { SpecInput } from "../schemas/spec.ts";
import {
  CostAnswerSchema,
  CostBodySchema,
  ServingsAnswerSchema,
  ServingsBodySchema,
  ShoppingAnswerSchema,
  ShoppingBodySchema,
  SmallPourAnswerSchema,
  SmallPourBodySchema,
  SplitBuildAnswerSchema,
  SplitBuildBodySchema,
} from "../schemas/thrift.ts";

const TAGS = ["Thrift"] as const;
const SOUR = { text: "2 oz gin\n3/4 oz lemon juice\n3/4 oz simple syrup", method: "shaken" } as const;
const DRIER = { text: "2 oz gin\n3/4 oz lemon juice\n1/2 oz simple syrup", method: "shaken" } as const;
const READS = { tags: TAGS, isLean: true, method: "post", problems: ["unread-lines"] } as const;

const cost = {
  ...READS,
  path: "/v1/thrift/cost",
  operationId: "costRounds",
  summary: "What the rounds of a bench cost, each and together, and what has no price yet",
  body: CostBodySchema,
  example: {
    glasses: [
      { id: "r1", spec: SOUR },
      { id: "r2", spec: DRIER },
    ],
    pricePerLitre: { gin: 25, "juice-lemon": 6 },
  },
  answers: { 200: { description: "The cost, as far as prices are known", schema: CostAnswerSchema } },
} as const;

const shopping = {
  ...READS,
  path: "/v1/thrift/shopping",
  operationId: "needsOfRounds",
  summary: "Bottles and fruit to have at hand for the next rounds, poor yields included",
  body: ShoppingBodySchema,
  example: { spec: SOUR, rounds: 6 },
  answers: { 200: { description: "What they need, ingredient by ingredient", schema: ShoppingAnswerSchema } },
} as const;

const small = {
  ...READS,
  path: "/v1/thrift/small-pour",
  operationId: "smallPour",
  summary: "A share of a drink on your ladder, and what the rounding does to the point",
  description: "Nothing is rounded away: what is below the smallest measure is poured as one, and named.",
  body: SmallPourBodySchema,
  example: { spec: SOUR, share: 0.5, ladder: "metric-jigger" },
  answers: { 200: { description: "The small glass, as `spec`", schema: SmallPourAnswerSchema } },
} as const;

const split = {
  ...READS,
  path: "/v1/thrift/split-build",
  operationId: "splitBuild",
  summary: "One base for several variants, and what each adds to its part of it",
  body: SplitBuildBodySchema,
  example: { variants: [SOUR, DRIER], ladder: "metric-jigger" },
  answers: { 200: { description: "What to pour once, and into each", schema: SplitBuildAnswerSchema } },
} as const;

const servings = {
  ...READS,
  path: "/v1/thrift/servings",
  operationId: "countServings",
  summary: "Standard drinks set before each taster so far, with the usual caution",
  description: "Served, not drunk: sips and spitting make it less. A count, no limit and no advice.",
  body: ServingsBodySchema,
  example: {
    glasses: [{ id: "r1", spec: SOUR }],
    servings: [{ taster: "Finch (invented)", glass: "r1", share: 0.25 }],
  },
  answers: { 200: { description: "Each taster's count", schema: ServingsAnswerSchema } },
} as const;

/** What rounds cost, need and waste, and what was set before whom. */
export function thriftRoutes({ catalogue }: ApiContext): Endpoint[] {
  const frame = (specs: readonly Spec[], pantry: Pantry, words: readonly string[]) => {
    const care = careOf(specs, pantry);
    return {
      allergens: care.allergens,
      words: [...words, ...careWords(care)],
      cautions: catalogue.cautionsFor(care.cautions),
      provenance: catalogue.provenance,
    };
  };
  const glassesOf = (body: Reads & { glasses: readonly { id: string; spec: SpecInput }[] }) => {
    const ids = body.glasses.map(({ id }) => id);
    ids.forEach((id, i) => {
      if (ids.indexOf(id) !== i)
        fail(`/glasses/${i}/id`, `${echo(id)} is there twice`, "give each glass an id of its own");
    });
    const inputs = body.glasses.map(({ spec }, i) => ({ spec, at: `/glasses/${i}/spec` }));
    const read = askedSpecs(body, inputs, catalogue);
    const options = placeOptions(body, catalogue);
    return { ...read, ids, placed: read.specs.map((spec) => place(spec, read.pantry, options)) };
  };

  return [
    endpoint(cost, ({ body }) => {
      const { ids, placed, specs, pantry, assumptions } = glassesOf(body);
      const together = costOf(placed);
      return {
        glasses: placed.map((glass, i) => ({ id: ids[i]!, cost: costOf([glass]) })),
        together,
        assumptions,
        ...frame(specs, pantry, [`Together: ${costWords(together)}`]),
      };
    }),
    endpoint(shopping, ({ body }) => {
      const { pantry, found } = askedSpec(body, catalogue);
      const glass = place(found.spec, pantry, placeOptions(body, catalogue));
      const needs = needsOf(glass, body.rounds, pantry, body.bottleMl);
      return { ...found, needs, ...frame([found.spec], pantry, needs.map(needWords)) };
    }),
    endpoint(small, ({ body }) => {
      const { pantry, found } = askedSpec(body, catalogue);
      const ladder = ladderOf(body.ladder, unitSettingsOf(body));
      const made = smallPour(found.spec, body.share, ladder, pantry, placeOptions(body, catalogue));
      const { point, finishedVolumeMl } = made.placement;
      return {
        ...found,
        spec: made.spec,
        point,
        finishedVolumeMl,
        drift: made.drift,
        heavy: made.heavy,
        ...frame([made.spec], pantry, smallPourWords(made)),
      };
    }),
    endpoint(split, ({ body }) => {
      const { specs, pantry, assumptions } = askedSpecs(
        body,
        body.variants.map((spec, i) => ({ spec, at: `/variants/${i}` })),
        catalogue,
      );
      const ladder = ladderOf(body.ladder, unitSettingsOf(body));
      const build = splitBuild(specs, ladder, pantry, placeOptions(body, catalogue));
      return { ...build, assumptions, ...frame(specs, pantry, [splitWords(build)]) };
    }),
    endpoint(servings, ({ body }) => {
      const { ids, placed, specs, pantry, assumptions } = glassesOf(body);
      const served = servedOf(
        body.servings.map(({ taster, glass, share = 1 }, i) => {
          const found = placed[ids.indexOf(glass)];
          if (!found)
            return fail(`/servings/${i}/glass`, `no glass has the id ${echo(glass)}`, "name one of glasses");
          return { taster, glass: found, share };
        }),
      );
      const words = [...served.map(servedWords), SERVED_CAUTION];
      return { served, assumptions, ...frame(specs, pantry, words) };
    }),
  ];
}
