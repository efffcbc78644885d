import { z } from "zod";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint } from "../endpoint.ts";
import { ProblemError } from "../problems/problem.ts";
import { PROBLEMS } from "../problems/registry.ts";
import { ProvenanceSchema } from "../schemas/reference.ts";

const HealthSchema = z
  .object({ status: z.literal("ok"), provenance: ProvenanceSchema })
  .meta({ id: "Health" });

const health = {
  method: "get",
  path: "/healthz",
  operationId: "health",
  tags: ["Server"],
  summary: "The server is up and its data are loaded",
  description:
    "For whatever restarts a server that hangs. True until the very end. Never stored (Cache-Control: no-store, no tag): an answer from before says nothing about now.",
  answers: { 200: { description: "Up", schema: HealthSchema } },
} as const;

const readiness = {
  method: "get",
  path: "/readyz",
  operationId: "readiness",
  tags: ["Server"],
  summary: "The server wants requests",
  description:
    "For whatever shares requests out among servers. Refused from the moment the server is told to stop. Never stored, like the other.",
  answers: {
    200: {
      description: "Ready",
      schema: z.object({ status: z.literal("ready") }).meta({ id: "Readiness" }),
    },
  },
  problems: ["stopping"],
} as const;

export function healthRoutes({ catalogue, lifecycle }: ApiContext): Endpoint[] {
  return [
    endpoint(health, () => ({ status: "ok" as const, provenance: catalogue.provenance })),
    endpoint(readiness, () => {
      if (lifecycle.isStopping) throw new ProblemError("stopping", PROBLEMS.stopping.meaning);
      return { status: "ready" as const };
    }),
  ];
}
