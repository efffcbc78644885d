import { fileURLToPath } from "node:url";
import { serve } from "@hono/node-server";
import { pino } from "pino";
import manifest from "../package.json" with { type: "json" };
import { loadReferenceData } from "../reference-data/load.ts";
import { createApp } from "./app.ts";
import { readEnv } from "./env.ts";

const settings = readEnv(process.env);
if ("errors" in settings) {
  process.stderr.write(`The settings are wrong:\n${settings.errors.map((e) => `  ${e}\n`).join("")}`);
  process.exit(1);
}
const { HOST, PORT, LOG_LEVEL, SHUTDOWN_SECONDS } = settings.env;
const logger = pino({ level: LOG_LEVEL });

// Beside this file once built (.build/api/main.js); from the source, where the build would put it.
const viz = import.meta.url.endsWith(".ts") ? "../.build/viz" : "../viz";

const app = createApp({
  data: loadReferenceData(),
  engineVersion: manifest.version,
  logger,
  vizDir: fileURLToPath(new URL(viz, import.meta.url)),
});

const server = serve(
  {
    fetch: app.fetch,
    hostname: HOST,
    port: PORT,
    // Slow senders are cut off by Node itself when the app's own timeout cannot answer them.
    serverOptions: { requestTimeout: 30_000, headersTimeout: 10_000, keepAliveTimeout: 5_000 },
  },
  ({ address, port }) => {
    const host = address.includes(":") ? `[${address}]` : address;
    logger.info({ address, port }, `Steelyard is at http://${host}:${port}`);
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
function stop(signal: string): void {
  if (stopping) return;
  stopping = true;
  logger.info({ signal }, "stopping: finishing the requests in flight");
  server.close(() => {
    logger.info("stopped");
    process.exit(0);
  });
  if ("closeIdleConnections" in server) server.closeIdleConnections();
  setTimeout(() => {
    logger.warn("requests still open after the time allowed; closing them");
    process.exit(1);
  }, SHUTDOWN_SECONDS * 1000).unref();
}
process.on("SIGTERM", () => stop("SIGTERM"));
process.on("SIGINT", () => stop("SIGINT"));
