import { createMiddleware } from "hono/factory";
import { methodNotAllowed } from "hono/method-not-allowed";
import { requestId } from "hono/request-id";
import { secureHeaders } from "hono/secure-headers";
import { type Logger, pino } from "pino";
import type { ReferenceData } from "../engine/types.ts";
import { type Catalogue, createCatalogue } from "./catalogue.ts";
import { type Compute, inThread } from "./compute/compute.ts";
import type { ApiContext } from "./context.ts";
import { openApiDocument } from "./openapi.ts";
import { notFound, onError, problem } from "./problems.ts";
import { receiveBody } from "./receive-body.ts";
import { type ApiEnv, createRouter } from "./router.ts";
import { askRoutes } from "./routes/ask.ts";
import { exploreRoutes } from "./routes/explore.ts";
import { healthRoutes } from "./routes/health.ts";
import { parseRoutes } from "./routes/parse.ts";
import { placeRoutes } from "./routes/place.ts";
import { referenceRoutes } from "./routes/reference.ts";
import { solveRoutes } from "./routes/solve.ts";
import { swapsRoutes } from "./routes/swaps.ts";
import { trailRoutes } from "./routes/trail.ts";
import { docsRoutes, pageRoutes, problemPages } from "./static.ts";

export interface AppDeps {
  data: ReferenceData;
  /** Default: made from `data`. */
  catalogue?: Catalogue;
  engineVersion?: string;
  /** Default: no logs. */
  logger?: Logger;
  /** Folder of the built page; null serves the API alone. */
  vizDir?: string | null;
  /** Default: solves run in the calling thread. */
  compute?: Compute;
  maxBodyBytes?: number;
  /** Time for a body to arrive. How long the work may take is the solver's budget. */
  bodyTimeoutMs?: number;
}

const MAX_BODY_BYTES = 64 * 1024;
const BODY_TIMEOUT_MS = 10_000;

/** One line a request: never a body, never a query, never an address. */
function requestLog(logger: Logger) {
  return createMiddleware<ApiEnv>(async (c, next) => {
    const started = performance.now();
    const log = logger.child({ requestId: c.get("requestId") });
    c.set("log", log);
    await next();
    log.info(
      {
        method: c.req.method,
        path: c.req.path.slice(0, 200),
        status: c.res.status,
        ms: Math.round((performance.now() - started) * 100) / 100,
      },
      "request",
    );
  });
}

/** The whole server, without a socket. */
export function createApp(deps: AppDeps) {
  const context: ApiContext = {
    data: deps.data,
    catalogue: deps.catalogue ?? createCatalogue(deps.data, deps.engineVersion ?? "unversioned"),
    compute: deps.compute ?? inThread(),
  };

  const app = createRouter();
  app.use(requestId({ limitLength: 64 }));
  app.use(requestLog(deps.logger ?? pino({ level: "silent" })));
  // TLS, and so its strict-transport header, belongs to whatever stands in front.
  app.use(secureHeaders({ strictTransportSecurity: false, xFrameOptions: "DENY" }));
  app.use(
    methodNotAllowed({
      app,
      onMethodNotAllowed: (c, methods) =>
        problem(c, "method-not-allowed", `${c.req.path} takes ${methods.join(", ")}`, [], {
          Allow: methods.join(", "),
        }),
    }),
  );
  app.use("/v1/*", receiveBody(deps.maxBodyBytes ?? MAX_BODY_BYTES, deps.bodyTimeoutMs ?? BODY_TIMEOUT_MS));
  app.onError(onError);
  app.notFound(notFound);

  for (const routes of [
    placeRoutes,
    solveRoutes,
    exploreRoutes,
    swapsRoutes,
    askRoutes,
    parseRoutes,
    trailRoutes,
    referenceRoutes,
  ]) {
    app.route("/v1", routes(context));
  }
  app.route("/", healthRoutes(context));
  const document = openApiDocument(app, context.catalogue.provenance.engine);
  app.get("/openapi.json", (c) => c.json(document));
  app.route("/docs", docsRoutes());
  app.route("/problems", problemPages());
  app.route("/", pageRoutes(deps.vizDir ?? null));
  return app;
}
