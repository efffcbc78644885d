import { once } from "node:events";
import { createRequire } from "node:module";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { serve } from "@hono/node-server";
import { build } from "esbuild";
import { Hono } from "hono";
import type * as App from "../../api/app.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

// Requests per second of POST /v1/place against a bare hono route that reads the same JSON and answers
// with an equally long one: same machine, same run, same load, turn about. The figure that means something
// is the ratio; it moves with the drink placed, not with the machine.

const CONNECTIONS = 20;
const SECONDS = 3;
const TURNS = 3;

const body = JSON.stringify({
  spec: {
    name: "Sour",
    method: "shaken",
    lines: [
      { ingredient: "rum-aged", amount: 2, unit: "oz" },
      { ingredient: "juice-lime", amount: 0.75, unit: "oz" },
      { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
    ],
  },
});

export interface HttpBench {
  placePerSecond: number;
  barePerSecond: number;
  /** place / bare. */
  ratio: number;
}

/** The part of autocannon used here; the package brings no types. */
type Autocannon = (options: Record<string, unknown>) => Promise<{
  requests: { average: number };
  non2xx: number;
  errors: number;
}>;
const require = createRequire(import.meta.url);
const autocannon = require("autocannon") as Autocannon;

async function requestsPerSecond(url: string): Promise<number> {
  const result = await autocannon({
    url,
    // On a thread of its own, so that the load does not slow the server it measures.
    workers: 1,
    method: "POST",
    headers: { "content-type": "application/json" },
    body,
    connections: CONNECTIONS,
    duration: SECONDS,
  });
  if (result.non2xx > 0 || result.errors > 0) {
    throw new Error(`${url}: ${result.non2xx} answers were not 2xx, ${result.errors} errors`);
  }
  return result.requests.average;
}

/** The app as it is shipped: the loader that runs the benches from source slows the engine's closures. */
async function builtApp(): Promise<typeof App> {
  const project = fileURLToPath(new URL("../..", import.meta.url));
  const outfile = join(project, ".build", "bench", "app.mjs");
  await build({
    entryPoints: [join(project, "api", "app.ts")],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    packages: "external",
    logLevel: "warning",
  });
  return import(pathToFileURL(outfile).href) as Promise<typeof App>;
}

const median = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)]!;

export async function benchHttp(): Promise<HttpBench> {
  const { createApp } = await builtApp();
  const app = createApp({ data: loadReferenceData() });
  const sample = await app.request("/v1/place", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body,
  });
  if (sample.status !== 200) throw new Error(`the drink of the bench was refused: ${await sample.text()}`);
  const answer: unknown = await sample.json();
  const bare = new Hono().post("/", async (c) => {
    await c.req.json();
    return c.json(answer);
  });

  const servers = [app, bare].map((a) => serve({ fetch: a.fetch, port: 0, hostname: "127.0.0.1" }));
  await Promise.all(servers.map((s) => s.listening || once(s, "listening")));
  const [placeUrl, bareUrl] = servers.map((s) => `http://127.0.0.1:${(s.address() as AddressInfo).port}`);
  const place: number[] = [];
  const plain: number[] = [];
  try {
    for (let i = 0; i < TURNS; i++) {
      place.push(await requestsPerSecond(`${placeUrl}/v1/place`));
      plain.push(await requestsPerSecond(`${bareUrl}/`));
    }
  } finally {
    for (const server of servers) server.close();
  }
  const placePerSecond = median(place);
  const barePerSecond = median(plain);
  return { placePerSecond, barePerSecond, ratio: placePerSecond / barePerSecond };
}
