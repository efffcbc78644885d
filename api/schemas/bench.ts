import { z } from "@hono/zod-openapi";
import { ROUND_STATE_IDS } from "../../engine/ids.ts";
import { SpecSchema } from "./spec.ts";

export const RoundSchema = z
  .object({
    id: z.string(),
    number: z.number().int(),
    parent: z.string().nullable(),
    label: z.string(),
    spec: SpecSchema,
    notes: z.string().optional(),
    faults: z.array(z.string()).optional(),
    abandoned: z.boolean().optional(),
    state: z.enum(ROUND_STATE_IDS).optional(),
  })
  .openapi("Round");

export const BenchSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    rounds: z.array(RoundSchema),
    current: z.string(),
    target: z.string(),
    invented: z.boolean().optional(),
    story: z.string().optional(),
  })
  .openapi("Bench");

export const DemoSchema = z.object({ bench: BenchSchema }).openapi("Demo");
