import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { readProblem, testApp } from "./harness.ts";

const root = mkdtempSync(join(tmpdir(), "steelyard-"));
const viz = join(root, "viz");
mkdirSync(join(viz, "assets"), { recursive: true });
writeFileSync(join(root, "secret.txt"), "not for the web");
writeFileSync(join(viz, "index.html"), "<!doctype html><title>Page</title>");
writeFileSync(join(viz, "assets", "main-aB3_dE9f.js"), `export const x = 1;\n${"// filler\n".repeat(300)}`);
writeFileSync(join(viz, "assets", "plain.css"), "body{}");
afterAll(() => rmSync(root, { recursive: true }));

const app = testApp({ vizDir: viz });
const get = (path: string, headers: Record<string, string> = {}) => app.request(path, { headers });

describe("the page", () => {
  test("is served at / with a policy that lets nothing else in", async () => {
    const response = await get("/");
    expect(response.status).toBe(200);
    expect(response.headers.get("content-type")).toBe("text/html; charset=utf-8");
    expect(response.headers.get("cache-control")).toBe("no-cache");
    const policy = response.headers.get("content-security-policy")!;
    expect(policy).toContain("default-src 'self'");
    expect(policy).toContain("script-src 'self';");
    expect(policy).not.toMatch(/https?:|\*|unsafe-eval|script-src[^;]*unsafe/);
  });

  test.each(["/bench", "/bench/b1", "/benches", "/card/b1", "/menu"])("answers its room %s", async (path) => {
    const response = await get(path);
    expect(response.status).toBe(200);
    expect(await response.text()).toContain("<title>Page</title>");
    // What lets page and solver share memory.
    expect(response.headers.get("cross-origin-opener-policy")).toBe("same-origin");
    expect(response.headers.get("cross-origin-embedder-policy")).toBe("require-corp");
  });

  test("has assets with their types; hashed ones are kept for good", async () => {
    const script = await get("/assets/main-aB3_dE9f.js");
    expect(script.headers.get("content-type")).toContain("javascript");
    expect(script.headers.get("cache-control")).toContain("immutable");
    const style = await get("/assets/plain.css");
    expect(style.headers.get("content-type")).toContain("text/css");
    expect(style.headers.get("cache-control")).toBe("no-cache");
  });

  test("is compressed for those who ask", async () => {
    const script = await get("/assets/main-aB3_dE9f.js", { "Accept-Encoding": "gzip" });
    expect(script.headers.get("content-encoding")).toBe("gzip");
    expect((await script.arrayBuffer()).byteLength).toBeLessThan(500);
  });

  test.each([
    "/../secret.txt",
    "/%2e%2e/secret.txt",
    "/..%2fsecret.txt",
    "/assets/..%2f..%2fsecret.txt",
    "/assets/%2e%2e/%2e%2e/secret.txt",
    "/..%5csecret.txt",
    "/assets//../../secret.txt",
    "/%00",
    "/assets/main-aB3_dE9f.js%00.css",
    "/nothing.js",
  ])("does not leave its folder: %s", async (path) => {
    const response = await app.request(new Request(`http://localhost${path}`));
    const text = await response.clone().text();
    expect(text).not.toContain("not for the web");
    expect((await readProblem(response)).status).toBe(404);
  });

  test("when it is not built, says how, and the API still works", async () => {
    const bare = testApp({ vizDir: join(root, "absent") });
    const response = await bare.request("/");
    expect(response.status).toBe(503);
    expect(await response.text()).toContain("npm run build");
    expect((await bare.request("/healthz")).status).toBe(200);
  });
});

describe("the reference at /docs", () => {
  test("loads only what this server serves", async () => {
    const page = await get("/docs");
    expect(page.status).toBe(200);
    const html = await page.text();
    const loads = [...html.matchAll(/(?:src|href)="([^"]+)"/g)]
      .map((m) => m[1]!)
      .filter((l) => l !== "data:,");
    expect(loads.length).toBeGreaterThanOrEqual(3);
    for (const path of loads) {
      expect(path).toMatch(/^\//);
      const asset = await get(path);
      expect(asset.status, path).toBe(200);
      expect((await asset.text()).length, path).toBeGreaterThan(50);
    }
    expect(page.headers.get("content-security-policy")).toContain("script-src 'self';");
    expect(html).not.toMatch(/<script>|https?:\/\//);
  });

  test("starts from our own description", async () => {
    expect(await (await get("/docs/start.js")).text()).toContain('url: "/openapi.json"');
  });
});

describe("headers", () => {
  test("are the secure ones on every kind of answer, and no origin is let in", async () => {
    for (const path of ["/", "/healthz", "/v1/pantry", "/nowhere", "/docs", "/problems/too-large"]) {
      const response = await get(path, { Origin: "https://elsewhere.example" });
      expect(response.headers.get("x-content-type-options"), path).toBe("nosniff");
      expect(response.headers.get("content-security-policy"), path).toContain("frame-ancestors 'none'");
      expect(response.headers.get("referrer-policy"), path).toBe("no-referrer");
      expect(response.headers.get("access-control-allow-origin"), path).toBeNull();
      expect(response.headers.get("x-powered-by"), path).toBeNull();
      expect(response.headers.get("x-request-id"), path).toBeTruthy();
    }
  });

  test("let reference data be checked again cheaply", async () => {
    const first = await get("/v1/pantry");
    const tag = first.headers.get("etag")!;
    expect(tag).toBeTruthy();
    expect(first.headers.get("cache-control")).toBe("no-cache");
    const again = await get("/v1/pantry", { "If-None-Match": tag });
    expect(again.status).toBe(304);
    const squeezed = await get("/v1/pantry", { "Accept-Encoding": "gzip" });
    expect(squeezed.headers.get("content-encoding")).toBe("gzip");
    const weak = squeezed.headers.get("etag")!;
    const after = await get("/v1/pantry", { "Accept-Encoding": "gzip", "If-None-Match": weak });
    expect(after.status).toBe(304);
  });
});
