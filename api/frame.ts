import { randomUUID } from "node:crypto";
import type { MiddlewareHandler } from "hono";
import type { Logger } from "pino";
import type { ApiEnv, Exchange } from "./context.ts";

/** Safe to echo and to log; anything else is replaced. */
const REQUEST_ID = /^[\w=.-]{1,64}$/;

/** Around every request: its id, and one line in the log. Never a body, never a query, never an address. */
export function frame(logger: Logger): MiddlewareHandler<ApiEnv> {
  return async (c, next) => {
    const started = performance.now();
    const given = c.req.header("x-request-id");
    const exchange: Exchange = {
      requestId: given !== undefined && REQUEST_ID.test(given) ? given : randomUUID(),
    };
    c.set("exchange", exchange);
    await next();
    const { requestId, problem, fault } = exchange;
    if (fault) logger.error({ requestId, err: fault }, "unexpected fault");
    logger.info(
      {
        requestId,
        method: c.req.method,
        path: c.req.path.slice(0, 200),
        status: c.res.status,
        ...(problem && { problem }),
        ms: Math.round((performance.now() - started) * 100) / 100,
      },
      "request",
    );
  };
}
