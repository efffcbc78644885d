import { createServer, type RequestListener, type Server } from "node:http";
import { type Logger, pino } from "pino";
import type { Loaded } from "./behind-port.ts";
import { inTurn, onClientError } from "./connections.ts";
import type { Lifecycle } from "./lifecycle.ts";
import { type Env, readEnv } from "./settings.ts";

/** Time for a whole request to arrive: long for the drinks of a whole menu, of which each is answered at once. */
const REQUEST_MS = 300_000;
/** Time for its headers; and how often Node looks whether either has passed. */
const HEADERS_MS = 10_000;
const LOOK_MS = 2000;
/** A connection on which nothing moves for this long, neither way, is ended: longer than any answer takes. */
const STALL_MS = 120_000;

/**
 * Listen until told to stop. The port opens first and the rest is loaded then: whoever asks meanwhile is answered
 * when it is there, readiness included. `entry` is the file the server was started from.
 */
export function startServer(entry: URL): void {
  const settings = readEnv(process.env);
  if ("errors" in settings) {
    process.stderr.write(`The settings are wrong:\n${settings.errors.map((e) => `  ${e}\n`).join("")}`);
    process.exit(1);
  }
  const { env } = settings;
  const logger = pino({ level: env.LOG_LEVEL });
  const lifecycle: Lifecycle = { isStopping: false };

  let answer: RequestListener | null = null;
  const early: (() => void)[] = [];
  const server = createServer(
    {
      requestTimeout: REQUEST_MS,
      headersTimeout: HEADERS_MS,
      connectionsCheckingInterval: LOOK_MS,
      keepAliveTimeout: 1000 * env.KEEP_ALIVE_SECONDS,
    },
    inTurn((incoming, outgoing) => {
      if (answer) answer(incoming, outgoing);
      else early.push(() => incoming.socket.destroyed || answer?.(incoming, outgoing));
    }, env.MAX_PIPELINED),
  );
  server.maxConnections = env.MAX_CONNECTIONS;
  server.setTimeout(STALL_MS);
  server.on("clientError", onClientError);
  server.on("error", (error: NodeJS.ErrnoException) => cannotListen(error, env));
  server.listen(env.PORT, env.HOST, () => {
    const at = server.address();
    if (at === null || typeof at === "string") return;
    const host = at.address.includes(":") ? `[${at.address}]` : at.address;
    const loading = import("./behind-port.ts").then(({ loadBehindPort }) => {
      const loaded = loadBehindPort(entry, env, logger, lifecycle);
      answer = loaded.listener;
      for (const begin of early.splice(0)) begin();
      return loaded;
    });
    loading.catch((error: Error) => {
      logger.fatal({ err: error }, "cannot load what answers requests");
      process.exit(1);
    });
    stopOnSignal({ server, env, lifecycle, loading, logger });
    // Whoever hears this may stop it at once.
    logger.info({ address: at.address, port: at.port }, `Steelyard is at http://${host}:${at.port}`);
  });
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
  loading: Promise<Loaded>;
  logger: Logger;
}

/**
 * Leave without dropping anyone: first say so (not ready, `Connection: close` in each answer) and go on
 * serving; then close the port and finish what is in flight; then end.
 */
function stopOnSignal({ server, env, lifecycle, loading, logger }: Parts): void {
  const closePort = () => {
    server.close(() => {
      void loading
        .then(({ store, compute }) => Promise.allSettled([store.close(), compute.close?.()]))
        .finally(() => {
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
