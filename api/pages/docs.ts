import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Hono } from "hono";
import { html } from "hono/html";
import type { ApiEnv } from "../context.ts";
import { fixed, sendFixed } from "../fixed.ts";
import { serveFile, serveHtml } from "./files.ts";
import { pageHeaders } from "./policy.ts";

/** The reference's own styles are written into its page. */
const POLICY = { "style-src": "'self' 'unsafe-inline'" };

const START =
  'SwaggerUIBundle({ url: "/openapi.json", dom_id: "#reference", deepLinking: true, validatorUrl: null });\n';

/**
 * The browsable reference; no request leaves this server.
 *
 * @param assets folder of its script and styles; default: the installed package
 */
export function serveDocs(
  app: Hono<ApiEnv>,
  assets = dirname(fileURLToPath(import.meta.resolve("swagger-ui-dist/package.json"))),
): void {
  const page = html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>Steelyard API</title>
        <link rel="icon" href="data:," />
        <link rel="stylesheet" href="/docs/swagger-ui.css" />
      </head>
      <body>
        <div id="reference"></div>
        <script src="/docs/swagger-ui-bundle.js"></script>
        <script src="/docs/start.js"></script>
      </body>
    </html>`;
  for (const path of ["/docs", "/docs/"]) serveHtml(app, path, page, POLICY);
  const start = fixed(START, pageHeaders("text/javascript; charset=utf-8"));
  app.get("/docs/start.js", (c) => sendFixed(c, start));
  for (const name of ["swagger-ui.css", "swagger-ui-bundle.js"]) {
    serveFile(app, `/docs/${name}`, join(assets, name), POLICY);
  }
}
