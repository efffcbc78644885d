import { brotliDecompressSync, gunzipSync } from "node:zlib";
import { Hono } from "hono";
import { describe, expect, test } from "vitest";
import type { ApiEnv } from "../../api/context.ts";
import { encodingFor } from "../../api/packing.ts";
import { requireKnown, tagOfVersion } from "../../api/preconditions.ts";
import { ProblemError } from "../../api/problems/problem.ts";
import { declaredRoutes, KEPT, post, readProblem, testApp } from "./harness.ts";

// RFC 9110: section 13 (conditional requests), 12.5.3 (Accept-Encoding), 9.3.7 (OPTIONS), 15.5.16 (415).

const app = testApp();
const get = (path: string, headers: Record<string, string> = {}, method = "GET") =>
  app.request(path, { method, headers });

const reads = (await declaredRoutes(app)).filter(
  (r) => r.method === "get" && r.path.startsWith("/v1") && !KEPT.test(r.path),
);
const paths = [
  ...reads.map((r) => r.path),
  "/openapi.json",
  "/docs",
  "/docs/swagger-ui.css",
  "/docs/start.js",
  "/problems",
  "/problems/busy",
];

describe.each(paths)("GET %s", (path) => {
  test("has a strong tag, and says 304 without a body to who has it", async () => {
    const first = await get(path);
    const tag = first.headers.get("etag")!;
    expect(tag).toMatch(/^"[^"]+"$/);
    for (const known of [tag, `W/${tag}`, `"other", ${tag}`, "*"]) {
      const again = await get(path, { "If-None-Match": known });
      expect(again.status, known).toBe(304);
      expect(again.headers.get("etag")).toBe(tag);
      expect(again.headers.get("vary")).toBe("Accept-Encoding");
      expect(await again.text()).toBe("");
    }
    expect((await get(path, { "If-None-Match": '"other"' })).status).toBe(200);
  });

  test("is packed as asked, and unpacks to the same bytes", async () => {
    const plain = Buffer.from(await (await get(path)).arrayBuffer());
    for (const [accepted, encoding, unpack] of [
      ["br, gzip", "br", brotliDecompressSync],
      ["gzip", "gzip", gunzipSync],
      ["gzip, br;q=0", "gzip", gunzipSync],
    ] as const) {
      const packed = await get(path, { "Accept-Encoding": accepted });
      expect(packed.headers.get("vary")).toBe("Accept-Encoding");
      if (plain.length < 1000) {
        expect(packed.headers.get("content-encoding")).toBeNull();
        continue;
      }
      expect(packed.headers.get("content-encoding"), accepted).toBe(encoding);
      const bytes = Buffer.from(await packed.arrayBuffer());
      expect(bytes.length).toBeLessThan(plain.length);
      expect(unpack(bytes).equals(plain)).toBe(true);
      // Other bytes, another tag.
      expect(packed.headers.get("etag")).not.toBe((await get(path)).headers.get("etag"));
    }
  });

  test("HEAD says the same without a body", async () => {
    const head = await get(path, {}, "HEAD");
    expect(head.status).toBe(200);
    expect(head.headers.get("etag")).toBe((await get(path)).headers.get("etag"));
    expect(await head.text()).toBe("");
  });

  test("OPTIONS says which methods there are", async () => {
    const options = await get(path, {}, "OPTIONS");
    expect(options.status).toBe(204);
    expect(options.headers.get("allow")).toBe("GET, HEAD, OPTIONS");
  });

  test("an unknown name in the query is refused like an unknown field", async () => {
    if (!path.startsWith("/v1")) return;
    const problem = await readProblem(await get(`${path}?covrage=0.5`));
    expect(problem.errors).toEqual([
      expect.objectContaining({ in: "query", pointer: "#", detail: 'unknown field "covrage"' }),
    ]);
    if (path === "/v1/targets") expect(problem.errors[0]!.remedy).toContain("write coverage");
  });
});

test.each(["/healthz", "/readyz", "/metrics"])("%s says how it is now, and is never stored", async (path) => {
  const response = await get(path);
  expect(response.headers.get("cache-control")).toBe("no-store");
  expect(response.headers.get("etag")).toBeNull();
});

test.each([
  ["?coverage=", "give a number"],
  ["?coverage=x", "give a number"],
  ["?coverage=0.5&coverage=0.6", 'give "coverage" once'],
  ["?coverage=2", "at most 0.99"],
  ["?coverage=0.555", "a multiple of 0.01"],
])("/v1/targets%s is refused", async (query, remedy) => {
  const problem = await readProblem(await get(`/v1/targets${query}`));
  expect(problem.errors).toEqual([expect.objectContaining({ in: "query", pointer: "#/coverage" })]);
  expect(problem.errors[0]!.remedy).toContain(remedy);
});

test("which encoding a client prefers among those it takes", () => {
  expect(encodingFor(undefined)).toBeNull();
  expect(encodingFor("")).toBeNull();
  expect(encodingFor("identity")).toBeNull();
  expect(encodingFor("GZIP")).toBe("gzip");
  expect(encodingFor("gzip;q=0.5, br;q=0.1")).toBe("br");
  expect(encodingFor("br;q=0, *")).toBe("gzip");
  expect(encodingFor("*;q=0")).toBeNull();
  expect(encodingFor("deflate, zstd")).toBeNull();
});

describe("a body", () => {
  const body = JSON.stringify({ text: "2 oz aged rum" });
  test.each([
    { "Content-Encoding": "gzip" },
    { "Content-Type": "application/json; charset=utf-16" },
    { "Content-Type": "application/vnd.api+json" },
  ])("%o is refused, with what is taken", async (headers) => {
    const response = await post(app, "/v1/parse", body, headers as unknown as Record<string, string>);
    expect((await readProblem(response)).type).toBe("/problems/unsupported-media-type");
    expect(response.headers.get("accept-encoding")).toBe("identity");
    expect(response.headers.get("accept-post")).toBe("application/json");
  });

  test.each(["application/json", "application/json; charset=UTF-8", 'application/json;charset="utf-8"'])(
    "%s is taken",
    async (type) => {
      expect((await post(app, "/v1/parse", body, { "Content-Type": type })).status).toBe(200);
    },
  );

  test("that is not UTF-8 is refused, not patched up", async () => {
    const latin = Buffer.from('{"text":"2 oz cacha\xe7a"}', "latin1");
    const response = await app.request("/v1/parse", {
      method: "POST",
      headers: { "Content-Type": "application/json", "Content-Length": String(latin.length) },
      body: latin,
    });
    expect((await readProblem(response)).type).toBe("/problems/malformed-json");
  });
});

describe("a write that names the version it saw", () => {
  const ask = async (tag: string | null, headers: Record<string, string>): Promise<string> => {
    const app = new Hono<ApiEnv>();
    app.onError((error, c) => c.text(error instanceof ProblemError ? error.slug : "fault"));
    app.put("/", (c) => {
      requireKnown(c, tag);
      return c.text("written");
    });
    return (await app.request("/", { method: "PUT", headers })).text();
  };
  const present = tagOfVersion(3);

  test.each<[string, string | null, Record<string, string>, string]>([
    ["the present version", present, { "If-Match": present }, "written"],
    ["one of several", present, { "If-Match": `"v1", ${present}` }, "written"],
    ["any version there is", present, { "If-Match": "*" }, "written"],
    ["an older version", present, { "If-Match": '"v2"' }, "precondition-failed"],
    ["a weak tag", present, { "If-Match": `W/${present}` }, "precondition-failed"],
    ["no version", present, {}, "precondition-required"],
    ["a version of what is gone", null, { "If-Match": present }, "precondition-failed"],
    ["any version of what is not there", null, { "If-Match": "*" }, "precondition-failed"],
    ["that there is none, rightly", null, { "If-None-Match": "*" }, "written"],
    ["that there is none, wrongly", present, { "If-None-Match": "*" }, "precondition-failed"],
    ["nothing, where nothing is", null, {}, "written"],
  ])("%s", async (_, tag, headers, result) => {
    expect(await ask(tag, headers)).toBe(result);
  });
});

// Fetch Standard, section 3.2 (CORS protocol).
describe("pages of other origins", () => {
  const friend = "https://bar.example";
  const open = testApp({ corsOrigins: [friend] });
  const preflight = {
    Origin: friend,
    "Access-Control-Request-Method": "POST",
    "Access-Control-Request-Headers": "content-type",
  };

  test("are kept out unless the setting lets them in", async () => {
    const closed = await get("/v1/sources", { Origin: friend });
    expect(closed.headers.get("access-control-allow-origin")).toBeNull();
    const response = await app.request("/v1/place", { method: "OPTIONS", headers: preflight });
    expect(response.headers.get("access-control-allow-origin")).toBeNull();
  });

  test("may ask, send and read when it does", async () => {
    const asked = await open.request("/v1/place", { method: "OPTIONS", headers: preflight });
    expect(asked.status).toBe(204);
    expect(asked.headers.get("access-control-allow-origin")).toBe(friend);
    expect(asked.headers.get("access-control-allow-methods")).toContain("POST");
    expect(asked.headers.get("access-control-allow-headers")).toContain("Content-Type");
    const got = await open.request("/v1/sources", { headers: { Origin: friend } });
    expect(got.headers.get("access-control-allow-origin")).toBe(friend);
    expect(got.headers.get("access-control-expose-headers")).toContain("ETag");
    expect(got.headers.get("vary")).toMatch(/Origin/);
    expect(got.headers.get("vary")).toMatch(/Accept-Encoding/);
    const stranger = await open.request("/v1/sources", { headers: { Origin: "https://other.example" } });
    expect(stranger.headers.get("access-control-allow-origin")).toBeNull();
  });
});
