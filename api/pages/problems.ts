import type { Hono } from "hono";
import { html } from "hono/html";
import type { ApiEnv } from "../context.ts";
import { PROBLEMS } from "../problems/registry.ts";
import { serveHtml } from "./files.ts";

const POLICY = { "default-src": "'none'" };

const shell = (title: string, body: ReturnType<typeof html>) =>
  html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <link rel="icon" href="data:," />
        <title>${title}</title>
      </head>
      <body>
        <main>${body}</main>
      </body>
    </html>`;

/** One page per kind of problem: where its `type` points. */
export function serveProblems(app: Hono<ApiEnv>): void {
  const kinds = Object.entries(PROBLEMS);
  const list = html`<h1>Problems this API answers with</h1>
    <ul>
      ${kinds.map(([slug, p]) => html`<li><a href="/problems/${slug}">${p.title}</a> (${p.status})</li>`)}
    </ul>`;
  serveHtml(app, "/problems", shell("Problems", list), POLICY);
  for (const [slug, p] of kinds) {
    const page = html`<h1>${p.title}</h1>
      <p>Status ${p.status}, type <code>/problems/${slug}</code>.</p>
      <p>${p.meaning}</p>
      <p><strong>What to do:</strong> ${p.remedy}</p>
      <p><a href="/problems">All problems</a> · <a href="/docs">API reference</a></p>`;
    serveHtml(app, `/problems/${slug}`, shell(p.title, page), POLICY);
  }
}
