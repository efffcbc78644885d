import { Writable } from "node:stream";
import { pino } from "pino";
import { describe, expect, test } from "vitest";
import { nearestKey } from "../../engine/shapes/nearest-key.ts";
import { post, readProblem, testApp } from "./harness.ts";

const app = testApp();
const line = { ingredient: "rum-aged", amount: 2, unit: "oz" };
const sour = {
  name: "Sour",
  method: "shaken",
  lines: [
    line,
    { ingredient: "juice-lime", amount: 0.75, unit: "oz" },
    { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
  ],
};

async function entriesFor(path: string, body: unknown) {
  const problem = await readProblem(await post(app, path, body));
  expect(problem.status).toBe(422);
  return problem.errors;
}
const placeErrors = (spec: unknown) => entriesFor("/v1/place", { spec });

describe("a wrong field is named by a JSON pointer, with what to do", () => {
  test("each one, not only the first", async () => {
    const errors = await placeErrors({
      ...sour,
      method: "shook",
      lines: [{ ...line, amount: "two" }, { ...line, unit: "ounces" }, { ...line, amount: -1 }, line],
    });
    expect(errors).toEqual([
      expect.objectContaining({ pointer: "#/spec/method", remedy: expect.stringContaining("shaken") }),
      expect.objectContaining({ pointer: "#/spec/lines/0/amount", remedy: "give a number" }),
      expect.objectContaining({ pointer: "#/spec/lines/1/unit", remedy: expect.stringContaining("oz") }),
      expect.objectContaining({ pointer: "#/spec/lines/2/amount", remedy: "give at least 0" }),
    ]);
  });

  test("a misspelt key deep inside names the key meant", async () => {
    const [error] = await placeErrors({
      ...sour,
      lines: [{ ingredient: "rum-aged", amuont: 2, unit: "oz" }],
    });
    expect(error).toMatchObject({ pointer: "#/spec/lines/0/amount", detail: "missing" });
    const errors = await placeErrors({ ...sour, lines: [{ ...line, stgae: "top" }] });
    expect(errors).toHaveLength(1);
    expect(errors[0]).toMatchObject({
      pointer: "#/spec/lines/0",
      detail: 'unknown field "stgae"',
      remedy: expect.stringContaining('write stage for "stgae"'),
    });
  });

  test("a spec by lines and by text at once is refused", async () => {
    const errors = await placeErrors({ ...sour, text: "2 oz rum" });
    expect(errors).toHaveLength(1);
    expect(errors[0]!.detail).toContain('"text"');
  });

  test("an unknown ingredient names the nearest one", async () => {
    const errors = await placeErrors({ ...sour, lines: [line, { ...line, ingredient: "juice-limes" }] });
    expect(errors).toEqual([
      expect.objectContaining({
        pointer: "#/spec/lines/1/ingredient",
        remedy: expect.stringContaining("juice-lime"),
      }),
    ]);
  });

  test("so does one in the options of a solve", async () => {
    const errors = await entriesFor("/v1/solve", {
      spec: sour,
      target: { id: "family:sour" },
      additions: ["juice-lemmon"],
      locks: ["rum-aged", "nothing-like-it-at-all"],
    });
    expect(errors.map((e) => e.pointer)).toEqual(["#/additions/0", "#/locks/1"]);
    expect(errors[0]!.remedy).toContain("juice-lemon");
  });

  test("more ingredients to move than a solve can take: says how many, and that locks help", async () => {
    const pantry = (await (await app.request("/v1/pantry")).json()).ingredients.map(
      (i: { id: string }) => i.id,
    );
    const many = pantry.slice(0, 18).map((ingredient: string) => ({ ingredient, amount: 1, unit: "cl" }));
    const body = { spec: { ...sour, lines: many }, target: { id: "family:sour" } };
    const errors = await entriesFor("/v1/solve", body);
    expect(errors).toEqual([
      expect.objectContaining({ pointer: "#/locks", detail: expect.stringContaining("18") }),
    ]);
    const locked = await post(app, "/v1/solve", { ...body, locks: pantry.slice(0, 15) });
    expect(locked.status).toBe(200);
  });

  test("an unknown target names the nearest one", async () => {
    const errors = await entriesFor("/v1/solve", { spec: sour, target: { id: "family:sours" } });
    expect(errors).toEqual([
      expect.objectContaining({ pointer: "#/target/id", remedy: expect.stringContaining("family:sour") }),
    ]);
  });

  test("a target of an unknown kind lists the kinds", async () => {
    const errors = await entriesFor("/v1/solve", { spec: sour, target: { kind: "sphere", radius: 1 } });
    expect(errors).toHaveLength(1);
    expect(errors[0]).toMatchObject({
      pointer: "#/target/kind",
      remedy: expect.stringContaining("ellipsoid"),
    });
  });

  test("what the engine refuses points into the body too", async () => {
    const errors = await placeErrors({ ...sour, lines: [{ ...line, amount: 0 }] });
    expect(errors[0]!.pointer).toMatch(/^#\/spec/);
    expect(errors[0]!.remedy).not.toBe("");
  });

  test("a measured glass is given one way", async () => {
    const errors = await placeErrors({
      ...sour,
      dilution: { model: "measured", finishedVolumeMl: 150, waterMl: 40 },
    });
    expect(errors).toEqual([
      expect.objectContaining({ pointer: "#/spec/dilution", remedy: expect.stringContaining("exactly one") }),
    ]);
  });

  test("a bad query says it is the query", async () => {
    const problem = await readProblem(await app.request("/v1/targets?coverage=2"));
    expect(problem.errors).toEqual([expect.objectContaining({ in: "query", pointer: "#/coverage" })]);
    const unknown = await readProblem(await app.request("/v1/targets?cover=0.5"));
    expect(unknown.errors[0]!.detail).toContain("cover");
  });

  test("an unknown pantry item is a 404 that names the nearest", async () => {
    const problem = await readProblem(await app.request("/v1/pantry/juice-lyme"));
    expect(problem.status).toBe(404);
    expect(problem.errors[0]).toMatchObject({ in: "path", remedy: expect.stringContaining("juice-lime") });
  });

  test("keys that JavaScript treats specially are unknown fields like any other", async () => {
    for (const key of ["__proto__", "constructor", "toString"]) {
      const errors = await entriesFor("/v1/place", `{"spec": ${JSON.stringify(sour)}, "${key}": {"a": 1}}`);
      expect(errors[0]!.detail).toContain(key);
    }
  });
});

describe("a spec as text is read in full or refused line by line", () => {
  test("read: the answer echoes how, assumptions included", async () => {
    const response = await post(app, "/v1/place", {
      spec: { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" },
    });
    const answer = await response.json();
    expect(response.status, JSON.stringify(answer)).toBe(200);
    expect(answer.spec.lines).toHaveLength(3);
    expect(answer.reading.map((r: { lineNumber: number }) => r.lineNumber)).toEqual([1, 2, 3]);
    expect(answer.reading[0]).toMatchObject({ ingredient: "rum-aged", amount: 2, unit: "oz" });
  });

  test("unread and ambiguous lines: one entry each", async () => {
    const problem = await readProblem(
      await post(app, "/v1/place", {
        spec: { text: "2 oz aged rum\n1 oz moonlight\nxyzzy plugh\n3/4 oz lime juice", method: "shaken" },
      }),
    );
    expect(problem.type).toBe("/problems/unread-lines");
    expect(problem.errors).toHaveLength(2);
    expect(problem.errors[0]).toMatchObject({
      pointer: "#/spec/text",
      detail: expect.stringContaining("line 2"),
    });
    expect(problem.errors[1]!.detail).toContain("line 3");
  });

  test("no method anywhere: asked for, not assumed", async () => {
    const problem = await readProblem(
      await post(app, "/v1/place", { spec: { text: "2 oz aged rum\n3/4 oz lime juice" } }),
    );
    expect(problem.type).toBe("/problems/invalid-request");
    expect(problem.errors).toEqual([expect.objectContaining({ pointer: "#/spec/method" })]);
  });
});

test("own ingredients are used, and what was assumed about them is said", async () => {
  const response = await post(app, "/v1/place", {
    spec: { name: "House", method: "none", lines: [{ ingredient: "prep-house", amount: 100, unit: "ml" }] },
    ingredients: [{ id: "prep-house", name: "House prep", sugarsGPer100Ml: { sucrose: 30 }, abvPercent: 20 }],
  });
  const answer = await response.json();
  expect(response.status, JSON.stringify(answer)).toBe(200);
  expect(answer.placement.point.sugarGPer100Ml).toBeCloseTo(30, 9);
  expect(answer.placement.point.abvPercent).toBeCloseTo(20, 9);
  expect(answer.assumptions).toEqual([expect.stringContaining("taken as exact")]);
});

test("an infeasible solve is an answer, not a problem", async () => {
  const response = await post(app, "/v1/solve", {
    spec: sour,
    target: { kind: "box", abvPercent: [80, 90] },
  });
  const answer = await response.json();
  expect(response.status, JSON.stringify(answer)).toBe(200);
  expect(answer.result.status).toBe("infeasible");
  expect(answer.result.proposals).toEqual([]);
});

test("the problem echoes the request id it was given, or a new one", async () => {
  const response = await app.request("/v1/nothing", { headers: { "X-Request-Id": "abc-123" } });
  expect((await readProblem(response)).requestId).toBe("abc-123");
  expect(response.headers.get("x-request-id")).toBe("abc-123");
  const odd = await app.request("/v1/nothing", { headers: { "X-Request-Id": "a b<c" } });
  expect((await readProblem(odd)).requestId).toMatch(/^[0-9a-f-]{36}$/);
});

test("a body that does not arrive in time is a 408", async () => {
  const slow = testApp({ bodyTimeoutMs: 20 });
  const body = new ReadableStream({
    start: (controller) => controller.enqueue(new TextEncoder().encode('{"spec"')),
  });
  const problem = await readProblem(
    await slow.request(
      new Request("http://localhost/v1/place", {
        method: "POST",
        headers: { "Content-Type": "application/json", "Content-Length": "400" },
        body,
        duplex: "half",
      } as RequestInit),
    ),
  );
  expect(problem.type).toBe("/problems/request-timeout");
});

test("a fault of ours is a 500 that gives nothing away, and is logged", async () => {
  const lines: string[] = [];
  const sink = new Writable({
    write(chunk, _, done) {
      lines.push(String(chunk));
      done();
    },
  });
  const broken = testApp({
    logger: pino(sink),
    compute: {
      run: () => Promise.reject(new Error("the secret is in the cellar")),
    },
  });
  const response = await post(broken, "/v1/solve", { spec: sour, target: { id: "family:sour" } });
  const text = await response.clone().text();
  expect((await readProblem(response)).type).toBe("/problems/internal");
  expect(text).not.toContain("cellar");
  expect(lines.join("")).toContain("cellar");
});

test("the log has one line a request, without bodies or queries", async () => {
  const lines: string[] = [];
  const sink = new Writable({
    write(chunk, _, done) {
      lines.push(String(chunk));
      done();
    },
  });
  const logged = testApp({ logger: pino(sink) });
  await post(logged, "/v1/parse", { text: "2 oz unmistakable" });
  await post(logged, "/v1/parse?note=private", { text: "2 oz unmistakable" });
  const posted = lines.map((text) => JSON.parse(text)).filter((entry) => entry.method === "POST");
  expect(posted).toEqual([
    expect.objectContaining({ path: "/v1/parse", status: 200 }),
    expect.objectContaining({ path: "/v1/parse", status: 422, problem: "invalid-request" }),
  ]);
  expect(lines.join("")).not.toContain("unmistakable");
  expect(lines.join("")).not.toContain("private");
});

test("the nearest key: slips are caught, strangers are not", () => {
  const keys = ["name", "method", "lines", "dilution", "glass"];
  expect(nearestKey("mehtod", keys)).toBe("method");
  expect(nearestKey("Lines", keys)).toBe("lines");
  expect(nearestKey("line", keys)).toBe("lines");
  expect(nearestKey("glas", keys)).toBe("glass");
  expect(nearestKey("colour", keys)).toBeNull();
  expect(nearestKey("", [])).toBeNull();
});
