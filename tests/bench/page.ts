import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { brotliCompressSync, gzipSync } from "node:zlib";
import type { Request } from "playwright-core";
import { openSite } from "../browser/open-page.ts";

// What a first visit brings over the wire, as Chromium counts it, beside the charting library's own full
// bundle: a yardstick everybody knows, most of which the page does not carry.

export interface PageBench {
  /** Page (document, scripts, styles) over the library's minified full bundle, both packed alike. */
  gzipRatio: number;
  brotliRatio: number;
  /** Everything of the first visit, data included, as sent, over the bundle packed with gzip. */
  allRatio: number;
}

async function weigh(request: Request) {
  return {
    isData: /^\/(v1\/|start-data)/.test(new URL(request.url()).pathname),
    sent: (await request.sizes()).responseBodySize,
    body: (await (await request.response())?.body()) ?? Buffer.alloc(0),
  };
}

/** Visit once with an empty cache and weigh what comes. Needs the built server and Chromium. */
export async function benchPage(): Promise<PageBench> {
  const site = await openSite();
  try {
    const page = await site.browser.newPage();
    // What is fetched ahead once the page is at rest is not waited for by anybody: those long timers never ring here.
    await page.addInitScript(() => {
      const set = window.setTimeout;
      window.setTimeout = ((act: () => void, ms = 0) => (ms >= 2000 ? 0 : set(act, ms))) as typeof setTimeout;
    });
    const finished: Request[] = [];
    page.on("requestfinished", (request) => {
      finished.push(request);
    });
    await page.goto(`${site.origin}/`, { waitUntil: "networkidle" });
    // Weighed when all have come: one that comes while the browser closes would never be told, and hold the run up.
    const loads = await Promise.all(finished.splice(0).map(weigh));
    const bodies = loads.filter((l) => !l.isData).map((l) => l.body);
    if (bodies.length === 0 || bodies.length === loads.length) throw new Error("the page did not load");

    const library = readFileSync(join(dirname(createRequire(import.meta.url).resolve("d3")), "d3.min.js"));
    const packed = (pack: (b: Buffer) => Buffer) =>
      bodies.reduce((sum, body) => sum + pack(body).length, 0) / pack(library).length;
    const sent = loads.reduce((sum, l) => sum + l.sent, 0);
    return {
      gzipRatio: packed(gzipSync),
      brotliRatio: packed(brotliCompressSync),
      allRatio: sent / gzipSync(library).length,
    };
  } finally {
    await site.close();
  }
}
