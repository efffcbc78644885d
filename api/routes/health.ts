import { createRoute, z } from "@hono/zod-openapi";
import type { ApiContext } from "../context.ts";
import { createRouter, jsonAnswer, problemResponses } from "../router.ts";
import { ProvenanceSchema } from "../schemas/reference.ts";

const HealthSchema = z.object({ status: z.literal("ok"), provenance: ProvenanceSchema }).openapi("Health");

const route = createRoute({
  method: "get",
  path: "/healthz",
  operationId: "health",
  tags: ["Server"],
  summary: "The server is up and its data are loaded",
  responses: { ...jsonAnswer(HealthSchema, "Up"), ...problemResponses() },
});

export function healthRoutes({ catalogue }: ApiContext) {
  return createRouter().openapi(route, (c) =>
    c.json({ status: "ok" as const, provenance: catalogue.provenance }, 200, { "Cache-Control": "no-store" }),
  );
}
