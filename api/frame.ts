import { randomUUID } from "node:crypto";
import type { Context, Handler, MiddlewareHandler, Next } from "hono";
import { routePath } from "hono/route";
import { RegExpRouter } from "hono/router/reg-exp-router";
import { SmartRouter } from "hono/router/smart-router";
import { TrieRouter } from "hono/router/trie-router";
import type { RouterRoute } from "hono/types";
import type { Logger } from "pino";
import type { ApiEnv, Exchange } from "./context.ts";
import type { Lifecycle } from "./lifecycle.ts";
import type { Metrics } from "./metrics.ts";
import { onError } from "./problems/doors.ts";
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

/** An answer may wait so long for others. */
const MOST_WAIT_MS = 1;

/**
 * Gives a promise that all who ask in one turn of the event loop share, so that their answers leave together: with
 * a client or a proxy on the same machine, waking it once for each answer can cost as much as placing the drink.
 * Kept at the end of the turn, which is at once where nobody else asks, or when the turn takes long.
 */
function turns(): () => Promise<void> {
  let turn: { untilMs: number; over: Promise<void>; end(): void } | null = null;
  return () => {
    const now = performance.now();
    if (turn === null) {
      let end = () => {};
      const over = new Promise<void>((resolve) => {
        end = resolve;
      });
      const mine = { untilMs: now + MOST_WAIT_MS, over, end };
      turn = mine;
      setImmediate(() => {
        mine.end();
        if (turn === mine) turn = null;
      });
    }
    const { untilMs, over, end } = turn;
    if (now >= untilMs) {
      turn = null;
      end();
    }
    return over;
  };
}

type Answers = Handler<ApiEnv> | MiddlewareHandler<ApiEnv>;
type Frame = (answers: Answers) => (c: Context<ApiEnv>, next: Next) => Promise<Response>;

/**
 * Around every request: its id, its part in what is counted, and one line in the log. Never a body, never a
 * query, never an address.
 */
export function frame({ logger, metrics, lifecycle }: Surroundings): Frame {
  const endOfTurn = turns();
  const note = (c: Context<ApiEnv>, exchange: Exchange, status: number, ms: number): void => {
    const { requestId, problem, fault, queuedMs, workedMs } = exchange;
    metrics.count(routePath(c, -1) || "/*", status, ms / 1000, exchange);
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
  return (answers) => async (c, next) => {
    // What one handler leaves to the next, or to the answer for what is not found, is framed already.
    if (c.get("exchange")) return (await answers(c, next)) ?? c.res;
    const started = performance.now();
    const given = headerOf(c, "x-request-id");
    const exchange = new Around(
      given !== undefined && REQUEST_ID.test(given) ? given : randomUUID(),
      c.req.raw,
    );
    c.set("exchange", exchange);
    let response: Response;
    try {
      response = (await answers(c, next)) ?? c.res;
    } catch (error) {
      response = await onError(error as Error, c);
    }
    await endOfTurn();
    // Whoever keeps this connection is told to make a new one, which reaches another server.
    if (lifecycle.isStopping) response.headers.set("Connection", "close");
    note(c, exchange, response.status, performance.now() - started);
    return response;
  };
}

/**
 * hono's own router, which frames each handler as it is added: a frame that is a middleware of its own makes a
 * chain of every request, whose links cost more than what is in the frame.
 */
export class FramedRouter extends SmartRouter<[Answers, RouterRoute]> {
  readonly #frame: Frame;

  constructor(frame: Frame) {
    super({ routers: [new RegExpRouter(), new TrieRouter()] });
    this.#frame = frame;
  }

  override add(method: string, path: string, [answers, route]: [Answers, RouterRoute]): void {
    super.add(method, path, [this.#frame(answers), route]);
  }
}
