import { z } from "zod";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint } from "../endpoint.ts";
import { ProvenanceSchema } from "../schemas/reference.ts";

const HealthSchema = z
  .object({ status: z.literal("ok"), provenance: ProvenanceSchema })
  .meta({ id: "Health" });

const route = {
  method: "get",
  path: "/healthz",
  operationId: "health",
  tags: ["Server"],
  summary: "The server is up and its data are loaded",
  answers: { 200: { description: "Up", schema: HealthSchema } },
} as const;

export function healthRoutes({ catalogue }: ApiContext): Endpoint[] {
  return [endpoint(route, () => ({ status: "ok" as const, provenance: catalogue.provenance }))];
}
