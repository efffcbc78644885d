import type { Context, ErrorHandler, Hono, NotFoundHandler } from "hono";
import { TrieRouter } from "hono/router/trie-router";
import { EngineError } from "../../engine/errors.ts";
import { echo } from "../../engine/shapes/check.ts";
import { AskerLeft } from "../compute/compute.ts";
import type { ApiEnv } from "../context.ts";
import { JSON_HEADERS, send } from "../send.ts";
import { countOf, ProblemError, problem } from "./problem.ts";
import { PROBLEMS } from "./registry.ts";

/** What a thrown error is to the client; a fault of the server's own is noted for the log. */
export function problemOf(error: unknown, c: Context<ApiEnv>): ProblemError {
  if (error instanceof ProblemError) return error;
  if (error instanceof EngineError) {
    const { issues } = error;
    return new ProblemError("invalid-request", countOf(issues.length, "field"), { issues });
  }
  c.get("exchange").fault = error instanceof Error ? error : new Error(String(error));
  return new ProblemError("internal", PROBLEMS.internal.meaning);
}

/** Whatever is thrown becomes an answer here. */
export const onError: ErrorHandler<ApiEnv> = (error, c) => {
  // Nobody reads this answer; the status is for the log alone.
  if (error instanceof AskerLeft) return send(c, 499, null, JSON_HEADERS);
  const { slug, message, particulars } = problemOf(error, c);
  return problem(c, slug, message, particulars);
};

/** No route takes this: because there is no such path, or not with this method. OPTIONS asks which there are. */
export function notFound(app: Hono<ApiEnv>): NotFoundHandler<ApiEnv> {
  // Most requests never come here, and routes are still added after this is set up.
  let methods: TrieRouter<string> | undefined;
  return (c) => {
    methods ??= methodsByPath(app);
    const found = methods.match("ALL", c.req.path)[0].map(([method]) => method);
    if (found.length === 0)
      return problem(c, "not-found", `nothing answers ${c.req.method} ${echo(c.req.path)}`);
    const allowed = [...new Set([...found, ...(found.includes("GET") ? ["HEAD"] : []), "OPTIONS"])];
    const headers = { Allow: allowed.join(", ") };
    if (c.req.method === "OPTIONS") return send(c, 204, null, { ...JSON_HEADERS, ...headers });
    return problem(c, "method-not-allowed", `${c.req.path} takes ${headers.Allow}`, { headers });
  };
}

function methodsByPath(app: Hono<ApiEnv>): TrieRouter<string> {
  const router = new TrieRouter<string>();
  for (const { method, path } of app.routes) if (method !== "ALL") router.add("ALL", path, method);
  return router;
}
