import type { IncomingHttpHeaders } from "node:http";
import type { Context } from "hono";
import type { ApiEnv } from "../context.ts";

/** Read on every request; Node keeps each as one text however often it is sent. */
type UsualHeader =
  | "accept-encoding"
  | "content-encoding"
  | "content-length"
  | "content-type"
  | "traceparent"
  | "transfer-encoding"
  | "x-request-id";

/**
 * A header of the request, from Node's own table where there is one: the standard `Headers` checks its name
 * again each time it is asked.
 */
export function headerOf(c: Context<ApiEnv>, name: UsualHeader): string | undefined {
  const { incoming } = (c.env ?? {}) as { incoming?: { headers: IncomingHttpHeaders } };
  if (incoming === undefined) return c.req.header(name);
  const value = incoming.headers[name];
  return Array.isArray(value) ? value.join(", ") : value;
}
