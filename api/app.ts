import { Hono } from "hono";
import { cors } from "hono/cors";
import { type Logger, pino } from "pino";
import type { ReferenceData } from "../engine/types.ts";
import { type Catalogue, createCatalogue } from "./catalogue.ts";
import { type Compute, inThread } from "./compute/compute.ts";
import type { ApiContext, ApiEnv } from "./context.ts";
import { type Endpoint, register } from "./endpoint.ts";
import type { Examples } from "./examples.ts";
import { type Fixed, fixedJson, sendFixed } from "./fixed.ts";
import { FramedRouter, frame } from "./frame.ts";
import type { Lifecycle } from "./lifecycle.ts";
import { createMetrics, serveMetrics } from "./metrics.ts";
import { openApiDocument } from "./openapi.ts";
import { serveStartData } from "./pages/data.ts";
import { serveDocs } from "./pages/docs.ts";
import { servePage } from "./pages/files.ts";
import { serveProblems } from "./pages/problems.ts";
import { notFound, onError } from "./problems/doors.ts";
import type { BodyLimits } from "./read/body.ts";
import { askRoutes } from "./routes/ask.ts";
import { exploreRoutes } from "./routes/explore.ts";
import { handedOverRoutes } from "./routes/handed-over.ts";
import { healthRoutes } from "./routes/health.ts";
import { benchRoutes } from "./routes/kept/bench.ts";
import { houseRoutes } from "./routes/kept/house.ts";
import { recordRoutes } from "./routes/kept/records.ts";
import { tasteRoutes } from "./routes/kept/taste.ts";
import { makingRoutes } from "./routes/kitchen/making.ts";
import { prepRecordRoutes } from "./routes/kitchen/records.ts";
import { spiritRoutes } from "./routes/kitchen/spirits.ts";
import { meltRoutes } from "./routes/melt.ts";
import { parseRoutes } from "./routes/parse.ts";
import { placeRoutes } from "./routes/place.ts";
import { referenceRoutes } from "./routes/reference.ts";
import { solveRoutes } from "./routes/solve.ts";
import { swapsRoutes } from "./routes/swaps.ts";
import { tableRoutes } from "./routes/tables.ts";
import { thriftRoutes } from "./routes/thrift.ts";
import { trailRoutes } from "./routes/trail.ts";
import { DEFAULT_SOLVE_BUDGET_MS } from "./schemas/solve.ts";
import { type StoreDoor, storeDoor } from "./store/open.ts";

export interface AppDeps extends Partial<BodyLimits> {
  data: ReferenceData;
  /** Default: made from `data`. */
  catalogue?: Catalogue;
  engineVersion?: string;
  /** Default: no logs. */
  logger?: Logger;
  /** Folder of the built page; null serves the API alone. */
  vizDir?: string | null;
  /** Folder of what the browsable reference needs; default: the installed package. */
  docsDir?: string | undefined;
  /** Default: solves run in the calling thread. */
  compute?: Compute;
  /** Origins whose pages may call the API from a browser; default: none but its own. */
  corsOrigins?: readonly string[];
  /** Default: kept in memory. */
  store?: StoreDoor;
  /** Default: it never stops. */
  lifecycle?: Lifecycle;
  /** Time a solve may take when its request does not say; default two seconds. */
  solveBudgetMs?: number;
  /** Example answers for the document, read when it is first asked for; default: none. */
  examples?: () => Examples;
  /** Whether this machine's own user needs no link to the benches; default yes. */
  isOpenHere?: boolean;
}

const USUAL_LIMITS: BodyLimits = { maxBodyBytes: 64 * 1024, bodyTimeoutMs: 10_000 };

/** Every endpoint of the API. A new room of routes is one more line here. */
export function apiEndpoints(context: ApiContext): Endpoint[] {
  return [
    ...placeRoutes(context),
    ...solveRoutes(context),
    ...exploreRoutes(context),
    ...swapsRoutes(context),
    ...askRoutes(context),
    ...parseRoutes(context),
    ...trailRoutes(context),
    ...tableRoutes(context),
    ...makingRoutes(context),
    ...prepRecordRoutes(context),
    ...spiritRoutes(context),
    ...meltRoutes(context),
    ...handedOverRoutes(context),
    ...thriftRoutes(context),
    ...referenceRoutes(context),
    ...recordRoutes(context),
    ...benchRoutes(context),
    ...houseRoutes(context),
    ...tasteRoutes(context),
    ...healthRoutes(context),
  ];
}

/** Lets pages of other origins call the API and read its answers (Fetch Standard, CORS protocol). */
function sharedWith(origins: readonly string[]) {
  return cors({
    origin: origins.includes("*") ? "*" : [...origins],
    allowHeaders: [
      "Authorization",
      "Content-Type",
      "If-Match",
      "If-None-Match",
      "Traceparent",
      "X-Request-Id",
    ],
    allowMethods: ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"],
    exposeHeaders: ["ETag", "Retry-After", "X-Request-Id"],
    maxAge: 600,
  });
}

/** The whole server, without a socket. */
export function createApp(deps: AppDeps): Hono<ApiEnv> {
  const context: ApiContext = {
    data: deps.data,
    catalogue: deps.catalogue ?? createCatalogue(deps.data, deps.engineVersion ?? "unversioned"),
    compute: deps.compute ?? inThread(),
    store: deps.store ?? storeDoor({ folder: null }),
    isOpenHere: deps.isOpenHere ?? true,
    lifecycle: deps.lifecycle ?? { isStopping: false },
    solveBudgetMs: deps.solveBudgetMs ?? DEFAULT_SOLVE_BUDGET_MS,
  };
  const limits: BodyLimits = {
    maxBodyBytes: deps.maxBodyBytes ?? USUAL_LIMITS.maxBodyBytes,
    bodyTimeoutMs: deps.bodyTimeoutMs ?? USUAL_LIMITS.bodyTimeoutMs,
  };

  const metrics = createMetrics(context.compute);
  const framed = frame({
    logger: deps.logger ?? pino({ level: "silent" }),
    metrics,
    lifecycle: context.lifecycle,
  });
  const app = new Hono<ApiEnv>({ router: new FramedRouter(framed) });
  if (deps.corsOrigins && deps.corsOrigins.length > 0) app.use(sharedWith(deps.corsOrigins));
  app.onError(onError);
  const missing = framed(notFound(app));
  app.notFound((c) => missing(c, async () => {}));

  const endpoints = apiEndpoints(context);
  for (const endpoint of endpoints) register(app, endpoint, limits);
  let document: Fixed | undefined;
  app.get("/openapi.json", (c) => {
    document ??= fixedJson(
      openApiDocument(endpoints, context.catalogue.provenance.engine, deps.examples?.()),
    );
    return sendFixed(c, document);
  });
  serveMetrics(app, metrics);
  serveDocs(app, deps.docsDir);
  serveProblems(app);
  serveStartData(app, deps.data);
  servePage(app, deps.vizDir ?? null);
  return app;
}
