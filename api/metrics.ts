import type { Hono } from "hono";
import {
  Counter,
  collectDefaultMetrics,
  Gauge,
  Histogram,
  type OpenMetricsContentType,
  Registry,
} from "prom-client";
import type { Compute } from "./compute/compute.ts";
import type { ApiEnv, Exchange } from "./context.ts";
import { COMMON_HEADERS, send } from "./send.ts";

/** Bounds of the histograms, seconds: from a placed drink to a solve at its limit. */
const SECONDS = [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10];

export interface Metrics {
  /** Count a request that was answered. */
  count(route: string, status: number, seconds: number, exchange: Exchange): void;
  /** Everything measured, as OpenMetrics text (1.0). */
  text(): Promise<string>;
  readonly contentType: string;
}

/** What an operator watches: requests, solvers, and whether the event loop keeps up. */
export function createMetrics(compute: Compute): Metrics {
  const register = new Registry<OpenMetricsContentType>();
  register.setContentType(Registry.OPENMETRICS_CONTENT_TYPE);
  // Processor, memory, and the delay of the event loop.
  collectDefaultMetrics({
    register: register as unknown as Registry<"text/plain; version=0.0.4; charset=utf-8">,
  });
  const registers = [register];
  const requests = new Counter({
    name: "http_requests",
    help: "Requests answered, by route and status",
    labelNames: ["route", "status"],
    registers,
  });
  const duration = new Histogram({
    name: "http_request_duration_seconds",
    help: "Time from a request's headers to its answer",
    labelNames: ["route"],
    buckets: SECONDS,
    registers,
  });
  const waited = new Histogram({
    name: "solver_wait_seconds",
    help: "Time that computations waited for a solver",
    buckets: SECONDS,
    registers,
  });
  const worked = new Histogram({
    name: "solver_work_seconds",
    help: "Time that solvers worked on computations",
    labelNames: ["route"],
    buckets: SECONDS,
    registers,
  });
  const gauge = (
    name: string,
    help: string,
    read: (stats: ReturnType<NonNullable<Compute["stats"]>>) => object,
  ) =>
    new Gauge({
      name,
      help,
      labelNames: ["lane"],
      registers,
      collect() {
        const stats = compute.stats?.();
        if (!stats) return;
        for (const [lane, value] of Object.entries(read(stats))) this.set({ lane }, value);
      },
    });
  gauge("solver_queue_depth", "Computations that wait for a solver", ({ queued }) => queued);
  gauge("solver_running", "Computations at work", ({ running }) => running);

  // Looked up once for each pair that occurs: a request costs two additions.
  const kept = new Map<string, { inc(): void; observe(seconds: number): void }>();
  const at = (route: string, status: number) => {
    const key = `${status} ${route}`;
    let pair = kept.get(key);
    if (!pair) {
      const [counter, histogram] = [requests.labels(route, String(status)), duration.labels(route)];
      pair = { inc: () => counter.inc(), observe: (seconds) => histogram.observe(seconds) };
      kept.set(key, pair);
    }
    return pair;
  };

  return {
    count(route, status, seconds, { queuedMs, workedMs }) {
      const pair = at(route, status);
      pair.inc();
      pair.observe(seconds);
      if (queuedMs !== undefined) waited.observe(queuedMs / 1000);
      if (workedMs !== undefined) worked.labels(route).observe(workedMs / 1000);
    },
    text: () => register.metrics(),
    contentType: register.contentType,
  };
}

/** What a monitoring system reads. Keep it from the outside where that matters: it tells how busy the server is. */
export function serveMetrics(app: Hono<ApiEnv>, { text, contentType }: Metrics): void {
  app.get("/metrics", async (c) =>
    send(c, 200, await text(), {
      ...COMMON_HEADERS,
      "Content-Type": contentType,
      "Cache-Control": "no-store",
    }),
  );
}
