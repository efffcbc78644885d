import { existsSync, readdirSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join, relative, sep } from "node:path";
import type { Hono } from "hono";
import { getMimeType } from "hono/utils/mime";
import type { ApiEnv } from "../context.ts";
import { type Fixed, fixed, sendFixed } from "../fixed.ts";
import { send } from "../send.ts";
import { HTML, pageHeaders } from "./policy.ts";

/** Built files whose name holds a hash of their content never change. */
const HASHED = /-[\w-]{8}\.\w+$/;
const FOR_GOOD = "public, max-age=31536000, immutable";

/** Serve one file at a path; it is read when first asked for, and kept. */
export function serveFile(
  app: Hono<ApiEnv>,
  path: string,
  file: string,
  policy: Record<string, string> = {},
): void {
  let kept: Promise<Fixed> | undefined;
  const read = async (): Promise<Fixed> =>
    fixed(new Uint8Array(await readFile(file)), {
      ...pageHeaders(getMimeType(file) ?? "application/octet-stream", policy),
      ...(HASHED.test(path) && { "Cache-Control": FOR_GOOD }),
    });
  app.get(path, async (c) => {
    kept ??= read();
    return sendFixed(c, await kept);
  });
}

/**
 * Rooms of the page that have addresses of their own: each is answered with the page, which then shows the room.
 * The page's list is viz/rooms.tsx.
 */
const ROOMS = ["bench", "benches", "present", "lessons", "pantry", "taste", "card", "preps", "menu"] as const;

/** The page, from the folder the build wrote it to. Its files are the only paths there are: none leads out. */
export function servePage(app: Hono<ApiEnv>, folder: string | null): void {
  if (!folder || !existsSync(folder)) {
    app.get("/", (c) =>
      send(
        c,
        503,
        "The page is not built; run: npm run build. The API is up: see /docs and /openapi.json.",
        pageHeaders("text/plain; charset=utf-8"),
      ),
    );
    return;
  }
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile()) continue;
    const file = join(entry.parentPath, entry.name);
    const path = `/${relative(folder, file).split(sep).join("/")}`;
    serveFile(app, path, file);
    if (path === "/index.html") {
      for (const address of ["/", ...ROOMS.flatMap((room) => [`/${room}`, `/${room}/:id`])]) {
        serveFile(app, address, file);
      }
    }
  }
  app.get("/sources.html", (c) => send(c, 301, null, { ...pageHeaders(HTML), Location: "/pantry" }));
}

/** Serve a page written here. */
export function serveHtml(
  app: Hono<ApiEnv>,
  path: string,
  html: { toString(): string },
  policy?: Record<string, string>,
): void {
  const answer = fixed(`${html}`, pageHeaders(HTML, policy));
  app.get(path, (c) => sendFixed(c, answer));
}
