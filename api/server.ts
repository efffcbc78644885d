import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { serve } from "@hono/node-server";
import { pino } from "pino";
import manifest from "../package.json" with { type: "json" };
import { loadReferenceData } from "../reference-data/load.ts";
import { createApp } from "./app.ts";
import { createCatalogue } from "./catalogue.ts";
import { inThread } from "./compute/compute.ts";
import { createPool } from "./compute/pool.ts";
import { dataFolder, readEnv } from "./settings.ts";
import { storeDoor } from "./store/open.ts";

/** Time for a whole request to arrive: long for the drinks of a whole menu, of which each is answered at once. */
const REQUEST_MS = 300_000;
/** More threads than this only help a server that needs more than this. */
const MAX_SOLVERS = 4;

/** Listen until told to stop. `entry` is the file the solver threads start from. */
export function startServer(entry: URL): void {
  const settings = readEnv(process.env);
  if ("errors" in settings) {
    process.stderr.write(`The settings are wrong:\n${settings.errors.map((e) => `  ${e}\n`).join("")}`);
    process.exit(1);
  }
  const { HOST, PORT, LOG_LEVEL, SHUTDOWN_SECONDS, DATABASE_URL, OPEN_ON_THIS_MACHINE, CORS_ORIGINS } =
    settings.env;
  const logger = pino({ level: LOG_LEVEL });
  // `npm run dev` runs the source, which a plain thread cannot load.
  const fromSource = entry.pathname.endsWith(".ts");

  const data = loadReferenceData();
  const catalogue = createCatalogue(data, manifest.version);
  const store = storeDoor({ databaseUrl: DATABASE_URL, folder: dataFolder(settings.env, process.env) });
  // Everything but the benches works without it, and it is tried again when it is next needed.
  store.open().catch((error: Error) => logger.error(`Nothing can be kept: ${error.message}`));
  const app = createApp({
    data,
    catalogue,
    logger,
    store,
    corsOrigins: CORS_ORIGINS,
    isOpenHere: OPEN_ON_THIS_MACHINE === "true",
    // Beside this file once built (.build/api/main.js); from the source, where the build would put it.
    vizDir: fileURLToPath(new URL(fromSource ? "../.build/viz" : "../viz", entry)),
    // One core stays with the requests that need no solve.
    compute: fromSource
      ? inThread()
      : createPool(entry, Math.max(1, Math.min(MAX_SOLVERS, availableParallelism() - 1))),
  });

  const server = serve(
    {
      fetch: app.fetch,
      hostname: HOST,
      port: PORT,
      serverOptions: { requestTimeout: REQUEST_MS, headersTimeout: 10_000, keepAliveTimeout: 5_000 },
    },
    ({ address, port }) => {
      const host = address.includes(":") ? `[${address}]` : address;
      logger.info({ address, port }, `Steelyard is at http://${host}:${port}`);
      void catalogue.warm().then(() => logger.debug("family regions ready"));
    },
  );

  server.on("error", (error: NodeJS.ErrnoException) => {
    const because: Record<string, string> = {
      EADDRINUSE: `port ${PORT} on ${HOST} is in use; stop the other server or set PORT`,
      EACCES: `port ${PORT} needs rights this user does not have; set PORT to 1024 or more`,
      EADDRNOTAVAIL: `this machine has no address ${HOST}; set HOST`,
      ENOTFOUND: `the host ${HOST} is not known; set HOST`,
    };
    process.stderr.write(`Steelyard cannot listen: ${because[error.code ?? ""] ?? error.message}\n`);
    process.exit(1);
  });

  let stopping = false;
  const stop = (signal: string): void => {
    if (stopping) return;
    stopping = true;
    logger.info({ signal }, "stopping: finishing the requests in flight");
    server.close(() => {
      void store.close().finally(() => {
        logger.info("stopped");
        process.exit(0);
      });
    });
    if ("closeIdleConnections" in server) server.closeIdleConnections();
    setTimeout(() => {
      logger.warn("requests still open after the time allowed; closing them");
      process.exit(1);
    }, SHUTDOWN_SECONDS * 1000).unref();
  };
  process.on("SIGTERM", () => stop("SIGTERM"));
  process.on("SIGINT", () => stop("SIGINT"));
}
