import { OpenAPIHono, type RouteConfig } from "@hono/zod-openapi";
import type { Logger } from "pino";
import { defaultHook, PROBLEM_MEDIA_TYPE, PROBLEMS, type ProblemSlug } from "./problems.ts";
import { ProblemSchema } from "./schemas/problem.ts";

export interface ApiEnv {
  Variables: { requestId: string; log: Logger };
}

/** Every router is made here, so that each has the first of the three doors. */
export function createRouter(): OpenAPIHono<ApiEnv> {
  return new OpenAPIHono<ApiEnv>({ defaultHook });
}

/**
 * The problem answers a route declares; those of one status are described together.
 * Nothing adds them by itself: a route that forgets is caught by tests/api/openapi.test.ts.
 */
export function problemResponses(...slugs: ProblemSlug[]): NonNullable<RouteConfig["responses"]> {
  const byStatus = new Map<number, string[]>();
  for (const slug of [...slugs, "internal"] as const) {
    const { status, title } = PROBLEMS[slug];
    byStatus.set(status, [...(byStatus.get(status) ?? []), title]);
  }
  return Object.fromEntries(
    [...byStatus].map(([status, titles]) => [
      status,
      {
        description: titles.join(", or: "),
        content: { [PROBLEM_MEDIA_TYPE]: { schema: ProblemSchema } },
      },
    ]),
  );
}

/** What can go wrong with any JSON body. */
export const BODY_PROBLEMS = [
  "malformed-json",
  "request-timeout",
  "too-large",
  "unsupported-media-type",
  "invalid-request",
] as const satisfies ProblemSlug[];

/** One JSON body, required. */
export function jsonBody<S>(schema: S) {
  return { body: { required: true as const, content: { "application/json": { schema } } } };
}

/** One JSON answer. */
export function jsonAnswer<S>(schema: S, description: string) {
  return { 200: { description, content: { "application/json": { schema } } } };
}
