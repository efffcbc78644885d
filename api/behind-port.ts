import { existsSync, readFileSync } from "node:fs";
import type { RequestListener } from "node:http";
import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { getRequestListener } from "@hono/node-server";
import type { Logger } from "pino";
import type { Region } from "../engine/catalogue.ts";
import manifest from "../package.json" with { type: "json" };
import { loadReferenceData } from "../reference-data/load.ts";
import { createApp } from "./app.ts";
import { createCatalogue } from "./catalogue.ts";
import { type Compute, inThread } from "./compute/compute.ts";
import { Pool } from "./compute/pool.ts";
import { toWire } from "./compute/wire.ts";
import type { Examples } from "./examples.ts";
import type { Lifecycle } from "./lifecycle.ts";
import { dataFolder, type Env } from "./settings.ts";
import { type StoreDoor, storeDoor } from "./store/open.ts";

/** What answers requests, and what ends with the server. */
export interface Loaded {
  listener: RequestListener;
  compute: Compute;
  store: StoreDoor;
}

/**
 * Everything behind the port: data, schemas, routes, solvers. Loaded once the server listens, as it takes longer
 * than everything before. `entry` is the file the server was started from.
 */
export function loadBehindPort(entry: URL, env: Env, logger: Logger, lifecycle: Lifecycle): Loaded {
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
    // From the source, those of the last build, as the page is; none before the first.
    examples: () =>
      writtenBefore<Examples>(beside(isSource ? "../.build/api/examples.json" : "./examples.json"), {}),
    ...(!isSource && { docsDir: fileURLToPath(beside("./docs")) }),
    // Beside this folder once built (.build/api/main.js); from the source, where the build would put it.
    vizDir: fileURLToPath(beside(isSource ? "../.build/viz" : "../viz")),
  });

  // Everything but the benches works without it, and it is tried again when it is next needed.
  store.open().catch((error: Error) => logger.error(`Nothing can be kept: ${error.message}`));
  compute.warm?.();
  void catalogue.warm().then(() => logger.debug("family regions ready"));
  return { listener: getRequestListener(app.fetch), compute, store };
}

/** What the build has written beside the program; a server run from its source goes without. */
function writtenBefore<T>(file: URL, otherwise: T): T {
  return existsSync(file) ? (JSON.parse(readFileSync(file, "utf8")) as T) : otherwise;
}
