import { existsSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname } from "node:path";
import { serveStatic } from "@hono/node-server/serve-static";
import { Hono } from "hono";
import { compress } from "hono/compress";
import { createMiddleware } from "hono/factory";
import { html } from "hono/html";
import { PROBLEMS } from "./problems.ts";
import type { ApiEnv } from "./router.ts";

const require = createRequire(import.meta.url);

/** Nothing is loaded from elsewhere; no inline script; style attributes only (D3 and the reference set them). */
function policy(extra: Record<string, string> = {}): string {
  return Object.entries({
    "default-src": "'self'",
    "script-src": "'self'",
    "style-src": "'self'",
    "style-src-attr": "'unsafe-inline'",
    "img-src": "'self' data: blob:",
    "connect-src": "'self'",
    "worker-src": "'self'",
    "object-src": "'none'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
    ...extra,
  })
    .map(([directive, value]) => `${directive} ${value}`)
    .join("; ");
}

function withPolicy(value: string) {
  return createMiddleware<ApiEnv>(async (c, next) => {
    await next();
    c.res.headers.set("Content-Security-Policy", value);
  });
}

/**
 * Lets the page and its solver share memory, through which a long search is told to stop and give what it has.
 * Nothing is loaded from elsewhere, so nothing is lost by it.
 */
function withIsolation() {
  return createMiddleware<ApiEnv>(async (c, next) => {
    await next();
    c.res.headers.set("Cross-Origin-Opener-Policy", "same-origin");
    c.res.headers.set("Cross-Origin-Embedder-Policy", "require-corp");
  });
}

/** Built files whose name holds a hash of their content never change. */
const HASHED = /\/assets\/[^/]+-[\w-]{8}\.\w+$/;

function withCaching() {
  return createMiddleware<ApiEnv>(async (c, next) => {
    await next();
    if (c.res.status !== 200) return;
    c.res.headers.set(
      "Cache-Control",
      HASHED.test(c.req.path) ? "public, max-age=31536000, immutable" : "no-cache",
    );
  });
}

/**
 * Rooms of the page that have addresses of their own: each is answered with the page, which then shows the room.
 * The page's list is viz/rooms.tsx.
 */
const ROOMS = ["bench", "benches", "present", "lessons", "pantry", "taste", "card", "preps", "menu"] as const;

/** The page, from the folder the build wrote it to. */
export function pageRoutes(vizDir: string | null): Hono<ApiEnv> {
  const app = new Hono<ApiEnv>();
  if (!vizDir || !existsSync(vizDir)) {
    app.get("/", (c) =>
      c.text("The page is not built; run: npm run build. The API is up: see /docs and /openapi.json.", 503),
    );
    return app;
  }
  app.use(withPolicy(policy()), withIsolation(), withCaching(), compress());
  // "/" is a route; the rest is a fallback, so that a wrong method on an unknown path stays a 404.
  app.get("/", serveStatic({ root: vizDir }));
  const page = serveStatic({ root: vizDir, path: "index.html" });
  for (const room of ROOMS) app.get(`/${room}`, page).get(`/${room}/:id`, page);
  app.get("/sources.html", (c) => c.redirect("/pantry", 301));
  app.use("*", serveStatic({ root: vizDir }));
  return app;
}

/** The browsable reference. Its assets come from the installed package; no request leaves this server. */
export function docsRoutes(): Hono<ApiEnv> {
  const app = new Hono<ApiEnv>();
  const assets = dirname(require.resolve("swagger-ui-dist/package.json"));
  app.use(withPolicy(policy({ "style-src": "'self' 'unsafe-inline'" })), withCaching(), compress());
  app.get("/", (c) =>
    c.html(html`<!doctype html>
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
      </html>`),
  );
  app.get("/start.js", (c) =>
    c.body(
      'SwaggerUIBundle({ url: "/openapi.json", dom_id: "#reference", deepLinking: true, validatorUrl: null });\n',
      200,
      { "Content-Type": "text/javascript; charset=utf-8" },
    ),
  );
  for (const file of ["swagger-ui.css", "swagger-ui-bundle.js"]) {
    app.get(`/${file}`, serveStatic({ root: assets, path: file }));
  }
  return app;
}

/** One page per kind of problem: where its `type` points. */
export function problemPages(): Hono<ApiEnv> {
  const app = new Hono<ApiEnv>();
  app.use(withPolicy(policy({ "default-src": "'none'" })));
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
  app.get("/", (c) =>
    c.html(
      shell(
        "Problems",
        html`<h1>Problems this API answers with</h1>
          <ul>
            ${Object.entries(PROBLEMS).map(
              ([slug, p]) => html`<li><a href="/problems/${slug}">${p.title}</a> (${p.status})</li>`,
            )}
          </ul>`,
      ),
    ),
  );
  for (const [slug, p] of Object.entries(PROBLEMS)) {
    app.get(`/${slug}`, (c) =>
      c.html(
        shell(
          p.title,
          html`<h1>${p.title}</h1>
            <p>Status ${p.status}, type <code>/problems/${slug}</code>.</p>
            <p>${p.meaning}</p>
            <p><strong>What to do:</strong> ${p.remedy}</p>
            <p><a href="/problems">All problems</a> · <a href="/docs">API reference</a></p>`,
        ),
      ),
    );
  }
  return app;
}
