import { randomUUID } from "node:crypto";
import type { MiddlewareHandler } from "hono";
import { routePath } from "hono/route";
import type { Logger } from "pino";
import type { ApiEnv, Exchange } from "./context.ts";
import type { Lifecycle } from "./lifecycle.ts";
import type { Metrics } from "./metrics.ts";
import type { ProblemSlug } from "./problems/registry.ts";
import { headerOf } from "./read/header.ts";
import { traceOf } from "./trace.ts";

/** Safe to echo and to log; anything else is replaced. */
const REQUEST_ID = /^[\w=.-]{1,64}$/;

const tenths = (ms: number) => Math.round(ms * 10) / 10;

interface Surroundings {
  logger: Logger;
  metrics: Metrics;
  lifecycle: Lifecycle;
}

/**
 * A class for its getter: an object written out with one gets a hidden class of its own, which outlives it and
 * kept everything about a request from the collector's first pass. That cost as much as placing the drink.
 */
class Around implements Exchange {
  queuedMs?: number;
  workedMs?: number;
  problem?: ProblemSlug;
  fault?: Error;
  question?: string;
  readonly #request: Request;

  constructor(
    readonly requestId: string,
    request: Request,
  ) {
    this.#request = request;
  }

  /** Made when it is first looked at, which most routes never do. */
  get signal(): AbortSignal {
    return this.#request.signal;
  }
}

/**
 * Around every request: its id, its part in what is counted, and one line in the log. Never a body, never a
 * query, never an address.
 */
export function frame({ logger, metrics, lifecycle }: Surroundings): MiddlewareHandler<ApiEnv> {
  return async (c, next) => {
    const started = performance.now();
    const given = headerOf(c, "x-request-id");
    const exchange = new Around(
      given !== undefined && REQUEST_ID.test(given) ? given : randomUUID(),
      c.req.raw,
    );
    c.set("exchange", exchange);
    await next();
    // Whoever keeps this connection is told to make a new one, which reaches another server.
    if (lifecycle.isStopping) c.res.headers.set("Connection", "close");
    const { requestId, problem, fault, queuedMs, workedMs } = exchange;
    const ms = performance.now() - started;
    const { status } = c.res;
    metrics.count(routePath(c, -1), status, ms / 1000, exchange);
    if (fault) logger.error({ requestId, err: fault }, "unexpected fault");
    if (!logger.isLevelEnabled("info")) return;
    logger.info(
      {
        requestId,
        ...traceOf(headerOf(c, "traceparent")),
        method: c.req.method,
        path: c.req.path.slice(0, 200),
        status,
        ...(problem && { problem }),
        ms: tenths(ms),
        ...(queuedMs !== undefined && { queuedMs: tenths(queuedMs) }),
        ...(workedMs !== undefined && { workedMs: tenths(workedMs) }),
      },
      "request",
    );
  };
}
