import { once } from "node:events";
import { createRequire } from "node:module";
import type { AddressInfo } from "node:net";
import { serve } from "@hono/node-server";
import { Hono } from "hono";
import { loadReferenceData } from "../../reference-data/load.ts";
import { builtApp } from "./http.ts";

// Requests per second of answers that are the same for everyone, against a bare hono route that sends the same
// bytes with the same type: plain, packed, and where the client has them already. Same run, same load, turn about.

const CONNECTIONS = 20;
const SECONDS = 1;
const TURNS = 7;
const PATH = "/v1/references";

/** Ours over the bare route's, a turn each. */
export interface StaticBench {
  plain: number[];
  packed: number[];
  unchanged: number[];
}

type Autocannon = (options: Record<string, unknown>) => Promise<{
  requests: { average: number };
  errors: number;
  statusCodeStats: Record<string, { count: number }>;
}>;
const autocannon = createRequire(import.meta.url)("autocannon") as Autocannon;

async function requestsPerSecond(
  url: string,
  headers: Record<string, string>,
  status: number,
): Promise<number> {
  const result = await autocannon({ url, workers: 1, headers, connections: CONNECTIONS, duration: SECONDS });
  const statuses = Object.keys(result.statusCodeStats);
  if (result.errors > 0 || statuses.some((s) => Number(s) !== status)) {
    throw new Error(`${url}: ${result.errors} errors, statuses ${statuses.join()}`);
  }
  return result.requests.average;
}

export async function benchStatic(): Promise<StaticBench> {
  const { createApp } = await builtApp();
  const app = createApp({ data: loadReferenceData() });
  const asked = async (headers: Record<string, string>) => {
    const response = await app.request(PATH, { headers });
    return { tag: response.headers.get("etag") ?? "", bytes: new Uint8Array(await response.arrayBuffer()) };
  };
  const gzip = { "accept-encoding": "gzip" };
  const [plain, packed] = [await asked({}), await asked(gzip)];
  const bare = new Hono();
  const type = { "Content-Type": "application/json" };
  bare.get("/plain", (c) => c.body(plain.bytes, 200, type));
  bare.get("/packed", (c) => c.body(packed.bytes, 200, { ...type, "Content-Encoding": "gzip" }));
  bare.get("/unchanged", (c) => c.body(null, 304));

  const servers = [app, bare].map((a) => serve({ fetch: a.fetch, port: 0, hostname: "127.0.0.1" }));
  await Promise.all(servers.map((s) => s.listening || once(s, "listening")));
  const [ourUrl, bareUrl] = servers.map((s) => `http://127.0.0.1:${(s.address() as AddressInfo).port}`);
  const cases = {
    plain: [{}, 200],
    packed: [gzip, 200],
    unchanged: [{ "if-none-match": plain.tag }, 304],
  } as const;
  const ratios: StaticBench = { plain: [], packed: [], unchanged: [] };
  try {
    for (let turn = 0; turn < TURNS; turn++) {
      for (const [kind, [headers, status]] of Object.entries(cases)) {
        const ours = await requestsPerSecond(ourUrl + PATH, headers, status);
        const theirs = await requestsPerSecond(`${bareUrl}/${kind}`, headers, status);
        ratios[kind as keyof StaticBench].push(ours / theirs);
      }
    }
  } finally {
    for (const server of servers) server.close();
  }
  return ratios;
}
