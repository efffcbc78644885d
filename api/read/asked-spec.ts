import type { z } from "zod";
import type { Pantry, Spec } from "../../engine/types.ts";
import type { Catalogue } from "../catalogue.ts";
import type { OwnIngredientsSchema } from "../schemas/ingredient.ts";
import type { SpecInput } from "../schemas/spec.ts";
import { withOwnIngredients } from "./own-ingredients.ts";
import { readSettings, type Settings } from "./settings.ts";
import { type ReadSpec, readSpec } from "./spec.ts";

/** What of a request says how its specs are read. */
export type Reads = Settings & { ingredients?: z.infer<typeof OwnIngredientsSchema> | undefined };

/** The one spec a request asks about, with the pantry it is poured from and what the answer says of both. */
export function askedSpec(
  body: Reads & { spec: SpecInput },
  catalogue: Catalogue,
): { pantry: Pantry; found: Omit<ReadSpec, "pantry"> } {
  const own = withOwnIngredients(catalogue.pantry, body.ingredients);
  const { pantry, ...found } = readSpec(body.spec, own.pantry, readSettings(body, catalogue), "/spec");
  return { pantry, found: { ...found, assumptions: [...own.assumptions, ...found.assumptions] } };
}

/** Several specs of one request, each with its pointer, in one pantry with all that was made of their texts. */
export function askedSpecs(
  body: Reads,
  inputs: readonly { spec: SpecInput; at: string }[],
  catalogue: Catalogue,
): { specs: Spec[]; pantry: Pantry; assumptions: string[] } {
  const own = withOwnIngredients(catalogue.pantry, body.ingredients);
  const read = inputs.map(({ spec, at }) => readSpec(spec, own.pantry, readSettings(body, catalogue), at));
  return {
    specs: read.map(({ spec }) => spec),
    pantry: new Map(read.flatMap(({ pantry }) => [...pantry])),
    assumptions: [...own.assumptions, ...read.flatMap(({ assumptions }) => assumptions)],
  };
}
