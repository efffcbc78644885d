import { existsSync, readFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { getRequestListener } from "@hono/node-server";
import { type Logger, pino } from "pino";
import type { Region } from "../engine/catalogue.ts";
import manifest from "../package.json" with { type: "json" };
import { loadReferenceData } from "../reference-data/load.ts";
import { createApp } from "./app.ts";
import { createCatalogue } from "./catalogue.ts";
import { type Compute, inThread } from "./compute/compute.ts";
import { Pool } from "./compute/pool.ts";
import { toWire } from "./compute/wire.ts";
import { inTurn, onClientError } from "./connections.ts";
import type { Examples } from "./examples.ts";
import type { Lifecycle } from "./lifecycle.ts";
import { dataFolder, type Env, readEnv } from "./settings.ts";
import { type StoreDoor, storeDoor } from "./store/open.ts";

/** Time for a whole request to arrive: long for the drinks of a whole menu, of which each is answered at once. */
const REQUEST_MS = 300_000;
/** Time for its headers; and how often Node looks whether either has passed. */
const HEADERS_MS = 10_000;
const LOOK_MS = 2000;
/** A connection on which nothing moves for this long, neither way, is ended: longer than any answer takes. */
const STALL_MS = 120_000;

/** Listen until told to stop. `entry` is the file the server was started from. */
export function startServer(entry: URL): void {
  const settings = readEnv(process.env);
  if ("errors" in settings) {
    process.stderr.write(`The settings are wrong:\n${settings.errors.map((e) => `  ${e}\n`).join("")}`);
    process.exit(1);
  }
  const { env } = settings;
  const logger = pino({ level: env.LOG_LEVEL });
  const lifecycle: Lifecycle = { isStopping: false };
  // `npm run dev` runs the source, which a plain thread cannot load.
  const isSource = entry.pathname.endsWith(".ts");

  const data = loadReferenceData();
  const beside = (name: string) => new URL(name, entry);
  const regions = writtenBefore<readonly Region[]>(beside("./regions.json"), []);
  const catalogue = createCatalogue(data, manifest.version, regions);
  const store = storeDoor({ databaseUrl: env.DATABASE_URL, folder: dataFolder(env, process.env) });
  const compute = isSource
    ? inThread()
    : new Pool({
        entry: beside("./worker.js"),
        threads: { short: 1, long: env.SOLVERS ?? Math.max(1, availableParallelism() - 1) },
        maxWaitMs: 1000 * env.MAX_WAIT_SECONDS,
        pack: (input) => toWire(input, catalogue.pantry),
      });
  const app = createApp({
    data,
    catalogue,
    logger,
    store,
    compute,
    lifecycle,
    corsOrigins: env.CORS_ORIGINS,
    isOpenHere: env.OPEN_ON_THIS_MACHINE === "true",
    maxBodyBytes: 1024 * env.MAX_BODY_KB,
    bodyTimeoutMs: 1000 * env.BODY_SECONDS,
    solveBudgetMs: 1000 * env.SOLVE_SECONDS,
    examples: () => writtenBefore<Examples>(beside("./examples.json"), {}),
    ...(!isSource && { docsDir: fileURLToPath(beside("./docs")) }),
    // Beside this folder once built (.build/api/main.js); from the source, where the build would put it.
    vizDir: fileURLToPath(beside(isSource ? "../.build/viz" : "../viz")),
  });

  const server = createServer(
    {
      requestTimeout: REQUEST_MS,
      headersTimeout: HEADERS_MS,
      connectionsCheckingInterval: LOOK_MS,
      keepAliveTimeout: 1000 * env.KEEP_ALIVE_SECONDS,
    },
    inTurn(getRequestListener(app.fetch), env.MAX_PIPELINED),
  );
  server.maxConnections = env.MAX_CONNECTIONS;
  server.setTimeout(STALL_MS);
  server.on("clientError", onClientError);
  server.on("error", (error: NodeJS.ErrnoException) => cannotListen(error, env));
  server.listen(env.PORT, env.HOST, () => {
    const at = server.address();
    if (at === null || typeof at === "string") return;
    const host = at.address.includes(":") ? `[${at.address}]` : at.address;
    logger.info({ address: at.address, port: at.port }, `Steelyard is at http://${host}:${at.port}`);
    // Everything but the benches works without it, and it is tried again when it is next needed.
    store.open().catch((error: Error) => logger.error(`Nothing can be kept: ${error.message}`));
    compute.warm?.();
    void catalogue.warm().then(() => logger.debug("family regions ready"));
  });
  stopOnSignal({ server, env, lifecycle, compute, store, logger });
}

/** What the build has written beside the program; a server run from its source goes without. */
function writtenBefore<T>(file: URL, otherwise: T): T {
  return existsSync(file) ? (JSON.parse(readFileSync(file, "utf8")) as T) : otherwise;
}

function cannotListen(error: NodeJS.ErrnoException, { HOST, PORT }: Env): never {
  const because: Record<string, string> = {
    EADDRINUSE: `port ${PORT} on ${HOST} is in use; stop the other server or set PORT`,
    EACCES: `port ${PORT} needs rights this user does not have; set PORT to 1024 or more`,
    EADDRNOTAVAIL: `this machine has no address ${HOST}; set HOST`,
    ENOTFOUND: `the host ${HOST} is not known; set HOST`,
  };
  process.stderr.write(`Steelyard cannot listen: ${because[error.code ?? ""] ?? error.message}\n`);
  process.exit(1);
}

interface Parts {
  server: Server;
  env: Env;
  lifecycle: Lifecycle;
  compute: Compute;
  store: StoreDoor;
  logger: Logger;
}

/**
 * Leave without dropping anyone: first say so (not ready, `Connection: close` in each answer) and go on
 * serving; then close the port and finish what is in flight; then end.
 */
function stopOnSignal({ server, env, lifecycle, compute, store, logger }: Parts): void {
  const closePort = () => {
    server.close(() => {
      void Promise.allSettled([store.close(), compute.close?.()]).finally(() => {
        logger.info("stopped");
        process.exit(0);
      });
    });
    server.closeIdleConnections();
    setTimeout(() => {
      logger.warn("requests still open after the time allowed; closing them");
      process.exit(1);
    }, 1000 * env.SHUTDOWN_SECONDS).unref();
  };
  const stop = (signal: string): void => {
    if (lifecycle.isStopping) return;
    lifecycle.isStopping = true;
    logger.info({ signal, drainSeconds: env.DRAIN_SECONDS }, "stopping: finishing the requests in flight");
    // Requests that have come in by then and were not looked at yet are read first: their connections look idle.
    if (env.DRAIN_SECONDS > 0) setTimeout(() => setImmediate(closePort), 1000 * env.DRAIN_SECONDS);
    else closePort();
  };
  process.on("SIGTERM", () => stop("SIGTERM"));
  process.on("SIGINT", () => stop("SIGINT"));
}
