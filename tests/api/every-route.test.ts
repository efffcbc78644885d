import { describe, expect, test } from "vitest";
import { declaredRoutes, KEPT, post, readProblem, testApp } from "./harness.ts";

const app = testApp();
// The routes of the store, which answer by what is kept and who asks, have tests of their own in kept/.
const routes = (await declaredRoutes(app)).filter(({ path }) => !KEPT.test(path));
const reads = routes.filter((r) => r.method === "get");
const writes = routes.filter((r) => r.method === "post");

test("the routes promised are there", () => {
  expect(routes.map((r) => `${r.method} ${r.path}`).sort()).toEqual(
    [
      "get /healthz",
      "get /readyz",
      "get /v1/cautions",
      "get /v1/demo",
      "get /v1/glasses",
      "get /v1/pantry",
      "get /v1/pantry/juice-lime",
      "get /v1/references",
      "get /v1/sources",
      "get /v1/targets",
      "get /v1/tasting-words",
      "post /v1/ask",
      "post /v1/batch",
      "post /v1/card",
      "post /v1/card/read",
      "post /v1/dose",
      "post /v1/explore",
      "post /v1/flight",
      "post /v1/kitchen/adjust",
      "post /v1/kitchen/blend",
      "post /v1/kitchen/compare",
      "post /v1/kitchen/compile",
      "post /v1/kitchen/liqueur",
      "post /v1/kitchen/measure",
      "post /v1/kitchen/proof",
      "post /v1/kitchen/syrup",
      "post /v1/kitchen/thin",
      "post /v1/kitchen/wash",
      "post /v1/melt",
      "post /v1/panel",
      "post /v1/parse",
      "post /v1/place",
      "post /v1/repair",
      "post /v1/routes",
      "post /v1/solve",
      "post /v1/swaps",
      "post /v1/table-range",
      "post /v1/thrift/cost",
      "post /v1/thrift/servings",
      "post /v1/thrift/shopping",
      "post /v1/thrift/small-pour",
      "post /v1/thrift/split-build",
      "post /v1/trail",
    ].sort(),
  );
});

describe.each(reads.map((route) => [route.path] as const))("GET %s", (path) => {
  test("answers what it declares, no more and no less", async () => {
    const response = await app.request(path);
    expect(response.status).toBe(200);
    expect(response.headers.get("content-type")).toContain("application/json");
    // That it is what the document says, no more and no less, is checked by the harness.
    expect(await response.json()).toBeTypeOf("object");
  });

  test("refuses another method with the ones it takes", async () => {
    const response = await app.request(path, { method: "DELETE" });
    const problem = await readProblem(response);
    expect(problem.type).toBe("/problems/method-not-allowed");
    expect(response.headers.get("allow")).toBe("GET, HEAD, OPTIONS");
  });
});

describe.each(writes.map((route) => [route.path, route] as const))("POST %s", (path, route) => {
  test("names every missing field", async () => {
    const problem = await readProblem(await post(app, path, {}));
    expect(problem.type).toBe("/problems/invalid-request");
    expect(problem.errors.length).toBeGreaterThan(0);
    for (const entry of problem.errors) {
      expect(entry).toMatchObject({ in: "body", detail: "missing" });
      expect(entry.remedy).toMatch(/^give it as an? /);
    }
  });

  test.each([
    ["a list", "[]"],
    ["null", "null"],
    ["a text", '"2 oz rum"'],
    ["a number", "3"],
  ])("refuses %s for a body", async (_, body) => {
    const problem = await readProblem(await post(app, path, body));
    expect(problem.type).toBe("/problems/invalid-request");
    expect(problem.errors[0]).toMatchObject({ pointer: "#", remedy: "give an object" });
  });

  test("names the nearest field for a misspelt one", async () => {
    const example = route.example;
    const key = Object.keys(example)[0]!;
    const misspelt = `${key.slice(0, -1)}x${key.slice(-1)}`;
    const { [key]: value, ...rest } = example;
    const problem = await readProblem(await post(app, path, { ...rest, [misspelt]: value }));
    const entry = problem.errors.find((e) => e.detail.includes(misspelt));
    expect(entry?.remedy).toContain(`write ${key} for "${misspelt}"`);
  });

  test.each([
    ["cut short", '{"spec": '],
    ["empty", ""],
    ["not JSON", "spec=rum"],
    ["NaN in it", '{"spec": NaN}'],
  ])("says when the JSON is bad: %s", async (_, body) => {
    const problem = await readProblem(await post(app, path, body));
    expect(problem.type).toBe("/problems/malformed-json");
  });

  test.each(["text/plain", "application/xml", "multipart/form-data", "application/jsonp"])(
    "refuses Content-Type %s",
    async (type) => {
      const problem = await readProblem(await post(app, path, route.example, { "Content-Type": type }));
      expect(problem.type).toBe("/problems/unsupported-media-type");
    },
  );

  test("refuses a body without a Content-Type", async () => {
    const body = new Blob([JSON.stringify(route.example)]);
    const problem = await readProblem(await app.request(path, { method: "POST", body }));
    expect(problem.type).toBe("/problems/unsupported-media-type");
  });

  test("refuses a body over the limit, declared or streamed", async () => {
    const body = JSON.stringify({ ...route.example, padding: "x".repeat(70_000) });
    const declared = await post(app, path, body, { "Content-Length": String(body.length) });
    expect((await readProblem(declared)).type).toBe("/problems/too-large");
    const stream = new Blob([body]).stream();
    const streamed = await app.request(
      new Request(`http://localhost${path}`, {
        method: "POST",
        headers: { "Content-Type": "application/json", "Transfer-Encoding": "chunked" },
        body: stream,
        duplex: "half",
      } as RequestInit),
    );
    expect((await readProblem(streamed)).type).toBe("/problems/too-large");
  });

  test("refuses another method with the ones it takes", async () => {
    const response = await app.request(path, { method: "GET" });
    expect((await readProblem(response)).type).toBe("/problems/method-not-allowed");
    expect(response.headers.get("allow")).toBe("POST, OPTIONS");
  });
});

test("nothing else is there, and says so as a problem", async () => {
  for (const [method, path] of [
    ["GET", "/v1"],
    ["GET", "/v1/plaice"],
    ["POST", "/v1/plaice"],
    ["DELETE", "/nowhere"],
    ["GET", "/%E0%A4%A"],
    ["GET", "/v1/pantry/"],
  ] as const) {
    const response = await app.request(path, { method });
    expect((await readProblem(response)).type, `${method} ${path}`).toBe("/problems/not-found");
  }
});
