import { createRoute, z } from "@hono/zod-openapi";
import { compress } from "hono/compress";
import { etag } from "hono/etag";
import { createMiddleware } from "hono/factory";
import { USUAL_COVERAGE } from "../../engine/catalogue.ts";
import type { ApiContext } from "../context.ts";
import { nearestKey } from "../nearest.ts";
import { ProblemError } from "../problems.ts";
import { createRouter, jsonAnswer, problemResponses } from "../router.ts";
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
import { echo, IdSchema } from "../schemas/strict.ts";
import { coverageLimits } from "../schemas/target.ts";

const tags = ["Reference data"];

/** Data that changes only with a release: validators by content, so that a reload costs one round trip. */
const revalidated = [
  compress(),
  etag(),
  createMiddleware(async (c, next) => {
    await next();
    if (c.res.status === 200) c.res.headers.set("Cache-Control", "no-cache");
  }),
];

const pantry = createRoute({
  method: "get",
  path: "/pantry",
  operationId: "listPantry",
  tags,
  middleware: revalidated,
  summary: "Every ingredient with its composition, uncertainty and source",
  responses: { ...jsonAnswer(PantrySchema, "The pantry"), ...problemResponses() },
});

const pantryItem = createRoute({
  method: "get",
  path: "/pantry/{id}",
  operationId: "getPantryItem",
  tags,
  middleware: revalidated,
  summary: "One ingredient",
  request: { params: z.object({ id: IdSchema.openapi({ example: "juice-lime" }) }) },
  responses: {
    ...jsonAnswer(IngredientSchema, "The ingredient"),
    ...problemResponses("not-found", "invalid-request"),
  },
});

const references = createRoute({
  method: "get",
  path: "/references",
  operationId: "listReferences",
  tags,
  middleware: revalidated,
  summary: "The reference drinks, placed, and their families",
  responses: { ...jsonAnswer(ReferencesSchema, "The reference drinks"), ...problemResponses() },
});

const targets = createRoute({
  method: "get",
  path: "/targets",
  operationId: "listTargets",
  tags,
  middleware: revalidated,
  summary: "Regions to aim for: computed from the reference drinks, and published bands",
  request: {
    query: z.strictObject({
      coverage: coverageLimits(z.coerce.number()).default(USUAL_COVERAGE).openapi({
        description: "Share of a family's drinks that its region is meant to hold.",
      }),
    }),
  },
  responses: { ...jsonAnswer(TargetsSchema, "The targets"), ...problemResponses("invalid-request") },
});

const sources = createRoute({
  method: "get",
  path: "/sources",
  operationId: "listSources",
  tags,
  middleware: revalidated,
  summary: "Where the numbers come from, and how good each source is",
  responses: { ...jsonAnswer(SourcesSchema, "The sources"), ...problemResponses() },
});

const glasses = createRoute({
  method: "get",
  path: "/glasses",
  operationId: "listGlasses",
  tags,
  middleware: revalidated,
  summary: "Glasses and their wash lines",
  responses: { ...jsonAnswer(GlassesSchema, "The glasses"), ...problemResponses() },
});

const cautions = createRoute({
  method: "get",
  path: "/cautions",
  operationId: "listCautions",
  tags,
  middleware: revalidated,
  summary: "The usual cautions. Local law, food codes and licensed practice come first",
  responses: { ...jsonAnswer(CautionsSchema, "The cautions"), ...problemResponses() },
});

const demo = createRoute({
  method: "get",
  path: "/demo",
  operationId: "getDemo",
  tags,
  middleware: revalidated,
  summary: "An invented bench to look around in",
  responses: { ...jsonAnswer(DemoSchema, "The demo bench"), ...problemResponses() },
});

/** What the engine works from, as it works from it. */
export function referenceRoutes({ data, catalogue }: ApiContext) {
  const app = createRouter();
  app.openapi(pantry, (c) => c.json({ ingredients: data.pantry }, 200));
  app.openapi(pantryItem, (c) => {
    const { id } = c.req.valid("param");
    const item = catalogue.pantry.get(id);
    if (!item) {
      const nearest = nearestKey(id, catalogue.pantry.keys());
      throw new ProblemError("not-found", `no ingredient has the id ${echo(id)}`, [
        {
          in: "path",
          pointer: "#/id",
          detail: "no such ingredient",
          remedy: nearest ? `did you mean ${nearest}?` : "see GET /v1/pantry",
        },
      ]);
    }
    return c.json(item, 200);
  });
  app.openapi(references, (c) => c.json({ drinks: catalogue.drinks(), families: data.families }, 200));
  app.openapi(targets, (c) => c.json(catalogue.targets(c.req.valid("query").coverage), 200));
  app.openapi(sources, (c) => c.json({ sources: data.sources }, 200));
  app.openapi(glasses, (c) => c.json({ glasses: data.glasses }, 200));
  app.openapi(cautions, (c) => c.json({ cautions: data.cautions }, 200));
  app.openapi(demo, (c) => c.json({ bench: data.demo }, 200));
  return app;
}
