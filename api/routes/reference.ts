import { z } from "zod";
import { USUAL_COVERAGE } from "../../engine/catalogue.ts";
import { idShape } from "../../engine/shapes/amounts.ts";
import { echo } from "../../engine/shapes/check.ts";
import { nearestKey } from "../../engine/shapes/nearest-key.ts";
import type { ApiContext } from "../context.ts";
import type { Endpoint } from "../endpoint.ts";
import { fixedEndpoint } from "../fixed.ts";
import { ProblemError } from "../problems/problem.ts";
import { DemoSchema } from "../schemas/bench.ts";
import { IngredientSchema } from "../schemas/ingredient.ts";
import {
  CautionsSchema,
  GlassesSchema,
  PantrySchema,
  ReferencesSchema,
  SourcesSchema,
  TargetsSchema,
} from "../schemas/reference.ts";
import { coverageShape } from "../schemas/target.ts";

const shared = { method: "get", tags: ["Reference data"] } as const;

const pantryItem = {
  ...shared,
  path: "/v1/pantry/{id}",
  operationId: "getPantryItem",
  summary: "One ingredient",
  params: z.strictObject({ id: idShape }),
  example: { id: "juice-lime" },
  answers: { 200: { description: "The ingredient", schema: IngredientSchema } },
  problems: ["not-found", "invalid-request"],
} as const;

const targets = {
  ...shared,
  path: "/v1/targets",
  operationId: "listTargets",
  summary: "Regions to aim for: computed from the reference drinks, and published bands",
  query: z.strictObject({ coverage: z.optional(coverageShape) }),
  answers: { 200: { description: "The targets", schema: TargetsSchema } },
  problems: ["invalid-request"],
} as const;

/** A list that is the same for everyone. */
function list(
  name: string,
  operationId: string,
  summary: string,
  description: string,
  schema: z.ZodType,
  make: () => unknown,
): Endpoint {
  const answers = { 200: { description, schema } };
  return fixedEndpoint({ ...shared, path: `/v1/${name}`, operationId, summary, answers }, make);
}

/** What the engine works from, as it works from it. */
export function referenceRoutes({ data, catalogue }: ApiContext): Endpoint[] {
  return [
    list(
      "pantry",
      "listPantry",
      "Every ingredient with its composition, uncertainty and source",
      "The pantry",
      PantrySchema,
      () => ({ ingredients: data.pantry }),
    ),
    fixedEndpoint(
      pantryItem,
      ({ params: { id } }) => catalogue.pantry.get(id) ?? noSuchIngredient(id, catalogue.pantry.keys()),
      ({ params: { id } }) => id,
    ),
    list(
      "references",
      "listReferences",
      "The reference drinks, placed, and their families",
      "The reference drinks",
      ReferencesSchema,
      () => ({
        drinks: catalogue.drinks(),
        families: data.families,
        balanced: data.balanced,
        bands: data.bands,
      }),
    ),
    fixedEndpoint(
      targets,
      ({ query: { coverage = USUAL_COVERAGE } }) => catalogue.targets(coverage),
      ({ query: { coverage = USUAL_COVERAGE } }) => coverage.toFixed(2),
    ),
    list(
      "sources",
      "listSources",
      "Where the numbers come from, and how good each source is",
      "The sources",
      SourcesSchema,
      () => ({ sources: data.sources }),
    ),
    list("glasses", "listGlasses", "Glasses and their wash lines", "The glasses", GlassesSchema, () => ({
      glasses: data.glasses,
    })),
    list(
      "cautions",
      "listCautions",
      "The usual cautions. Local law, food codes and licensed practice come first",
      "The cautions",
      CautionsSchema,
      () => ({ cautions: data.cautions }),
    ),
    list("demo", "getDemo", "An invented bench to look around in", "The demo bench", DemoSchema, () => ({
      bench: data.demo,
    })),
  ];
}

function noSuchIngredient(id: string, known: Iterable<string>): never {
  const nearest = nearestKey(id, known);
  throw new ProblemError("not-found", `no ingredient has the id ${echo(id)}`, {
    in: "path",
    issues: [
      {
        pointer: "/id",
        detail: "no such ingredient",
        remedy: nearest ? `did you mean ${nearest}?` : "see GET /v1/pantry",
      },
    ],
  });
}
