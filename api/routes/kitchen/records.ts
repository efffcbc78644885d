import { applyMeasurements } from "../../../engine/prep/apply-measurements.ts";
import { affectedBy, compilePreps, labelOf } from "../../../engine/prep/compile.ts";
import { sugarFromBrix } from "../../../engine/prep/measure.ts";
import type { CompiledPrep } from "../../../engine/prep/types.ts";
import { brixWords, crystalWords, keepingWords, replacedWords } from "../../../engine/prep/words.ts";
import type { ApiContext } from "../../context.ts";
import { type Endpoint, endpoint } from "../../endpoint.ts";
import { namedIngredients } from "../../read/named.ts";
import { asOwn, withOwnIngredients } from "../../read/own-ingredients.ts";
import { MeasureAnswerSchema, MeasureBodySchema } from "../../schemas/kitchen.ts";
import { CompileAnswerSchema, CompileBodySchema } from "../../schemas/prep.ts";

const TAGS = ["Preps"] as const;

const compile = {
  method: "post",
  path: "/v1/kitchen/compile",
  operationId: "compilePreps",
  tags: TAGS,
  isLean: true,
  summary: "Records of house-made things as ingredients, with labels",
  description:
    "A prep may hold other preps; what is wrong with one spoils only what holds it. Measurements replace what was worked out, each with its own uncertainty.",
  body: CompileBodySchema,
  example: {
    preps: [
      {
        id: "honey-syrup",
        name: "Honey syrup",
        role: "syrup",
        parts: [
          { ingredient: "honey", amount: 300, unit: "g" },
          { ingredient: "water", amount: 100, unit: "g" },
        ],
        measured: [{ kind: "refractometer", readingBrix: 61.5 }],
        storage: "fridge",
        madeOn: "2031-05-09",
        batch: "1",
      },
    ],
  },
  answers: { 200: { description: "Each prep as an ingredient", schema: CompileAnswerSchema } },
} as const;

const measure = {
  method: "post",
  path: "/v1/kitchen/measure",
  operationId: "measureIngredient",
  tags: TAGS,
  isLean: true,
  summary: "A measured ingredient: what the instrument says in place of the table",
  description:
    "A refractometer's reading is taken apart: temperature, alcohol and acid are allowed for, so that a liqueur's sugar follows from its Brix and strength. With a hydrometer as well, strength and sugar are found together.",
  body: MeasureBodySchema,
  example: {
    ingredient: "triple-sec-40",
    measured: [
      { kind: "label-strength", abvPercent: 40 },
      { kind: "refractometer", readingBrix: 33.5, sampleTempC: 24 },
    ],
  },
  answers: { 200: { description: "The ingredient, and what was replaced", schema: MeasureAnswerSchema } },
} as const;

const wordsOf = (made: CompiledPrep): string[] =>
  [...made.replaced.map(replacedWords), crystalWords(made.crystals), keepingWords(made.keeping)].filter(
    (sentence) => sentence !== null,
  );

/** House-made things as records, and measurements. */
export function prepRecordRoutes({ catalogue }: ApiContext): Endpoint[] {
  return [
    endpoint(compile, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { preps, specs = [], changed } = body;
      const { compiled, failed } = compilePreps(preps, pantry);
      const made = [...compiled.values()];
      const touched = changed === undefined ? null : affectedBy(changed, preps, specs);
      return {
        preps: made.map((one) => ({
          id: one.prep.id,
          ingredient: asOwn(one.ingredient),
          composition: one.composition,
          replaced: one.replaced,
          ph: one.ph,
          crystals: one.crystals,
          keeping: one.keeping,
          useBy: one.useBy,
          contains: one.contains,
          label: labelOf(one),
          words: wordsOf(one),
        })),
        failed: [...failed].map(([id, issues]) => ({ id, issues: [...issues] })),
        ...(touched && {
          affected: {
            preps: touched.preps.map(({ id }) => id),
            specs: touched.specs.map((spec) => specs.indexOf(spec)),
          },
        }),
        words: [],
        cautions: catalogue.cautionsFor(made.flatMap(({ cautions }) => cautions)),
        provenance: catalogue.provenance,
      };
    }),
    endpoint(measure, ({ body }) => {
      const { pantry } = withOwnIngredients(catalogue.pantry, body.ingredients);
      const { ingredient } = namedIngredients({ ingredient: body.ingredient }, pantry);
      const after = applyMeasurements(ingredient, body.measured);
      const reading = body.measured.find((m) => m.kind === "refractometer");
      // With a density as well, strength and sugar come from both together.
      const alone = reading && !body.measured.some((m) => m.kind === "hydrometer");
      const brix = alone ? sugarFromBrix(after.ingredient, reading) : null;
      return {
        ingredient: asOwn(after.ingredient),
        replaced: after.replaced,
        brix,
        words: [...(brix ? [brixWords(brix)] : []), ...after.replaced.map(replacedWords)],
        cautions: catalogue.cautionsFor(ingredient.cautions ?? []),
        provenance: catalogue.provenance,
      };
    }),
  ];
}
