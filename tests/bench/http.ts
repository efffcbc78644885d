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

// Requests per second of POST /v1/place, by lines and by pasted text, against a bare hono route that reads the
// same JSON and answers with an equally long one: same machine, same run, same load, turn about. The figure that
// means something is the ratio; it moves with the drink placed, not with the machine. No body comes twice in a
// row of several thousand, so that an answer kept from before is of no use.

const CONNECTIONS = 20;
const SECONDS = 3;
const TURNS = 5;
const BODIES = 4000;

const amountOf = (i: number) => (1.5 + i / BODIES).toFixed(5);

const BODY = {
  lines: (i: number) => ({
    spec: {
      name: "Sour",
      method: "shaken",
      lines: [
        { ingredient: "rum-aged", amount: Number(amountOf(i)), unit: "oz" },
        { ingredient: "juice-lime", amount: 0.75, unit: "oz" },
        { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
      ],
    },
  }),
  text: (i: number) => ({
    spec: { method: "shaken", text: `${amountOf(i)} oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup` },
  }),
};

/** Ratios of one turn: place / bare. */
export interface HttpBench {
  lines: number[];
  text: number[];
}

/** The part of autocannon used here; the package brings no types. */
type Autocannon = (options: Record<string, unknown>) => Promise<{
  requests: { average: number };
  non2xx: number;
  errors: number;
}>;
const require = createRequire(import.meta.url);
const autocannon = require("autocannon") as Autocannon;

async function requestsPerSecond(url: string, bodies: readonly string[]): Promise<number> {
  const result = await autocannon({
    url,
    // On a thread of its own, so that the load does not slow the server it measures.
    workers: 1,
    requests: bodies.map((body) => ({
      method: "POST",
      headers: { "content-type": "application/json" },
      body,
    })),
    connections: CONNECTIONS,
    duration: SECONDS,
  });
  if (result.non2xx > 0 || result.errors > 0) {
    throw new Error(`${url}: ${result.non2xx} answers were not 2xx, ${result.errors} errors`);
  }
  return result.requests.average;
}

/** The app as it is shipped: the loader that runs the benches from source slows the engine's closures. */
export async function builtApp(): Promise<typeof App> {
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

export async function benchHttp(): Promise<HttpBench> {
  const { createApp } = await builtApp();
  const app = createApp({ data: loadReferenceData() });
  const kinds = ["lines", "text"] as const;
  const bodies = Object.fromEntries(
    kinds.map((kind) => [kind, Array.from({ length: BODIES }, (_, i) => JSON.stringify(BODY[kind](i)))]),
  ) as Record<keyof typeof BODY, string[]>;
  const bare = new Hono();
  for (const kind of kinds) {
    const sample = await app.request("/v1/place", {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: bodies[kind][0]!,
    });
    if (sample.status !== 200) throw new Error(`the drink of the bench was refused: ${await sample.text()}`);
    const answer: unknown = await sample.json();
    bare.post(`/${kind}`, async (c) => {
      await c.req.json();
      return c.json(answer);
    });
  }

  const servers = [app, bare].map((a) => serve({ fetch: a.fetch, port: 0, hostname: "127.0.0.1" }));
  await Promise.all(servers.map((s) => s.listening || once(s, "listening")));
  const [placeUrl, bareUrl] = servers.map((s) => `http://127.0.0.1:${(s.address() as AddressInfo).port}`);
  const ratios: HttpBench = { lines: [], text: [] };
  try {
    for (let turn = 0; turn < TURNS; turn++) {
      for (const kind of kinds) {
        const ours = await requestsPerSecond(`${placeUrl}/v1/place`, bodies[kind]);
        const theirs = await requestsPerSecond(`${bareUrl}/${kind}`, bodies[kind]);
        ratios[kind].push(ours / theirs);
      }
    }
  } finally {
    for (const server of servers) server.close();
  }
  return ratios;
}
