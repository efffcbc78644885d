import { Writable } from "node:stream";
import { pino } from "pino";
import { describe, expect, test } from "vitest";
import { type Compute, inThread } from "../../api/compute/compute.ts";
import { type App, post, testApp } from "./harness.ts";

// What an operator sees of the server: counts and log lines.

const drink = { spec: { text: "2 oz aged rum\n3/4 oz lime juice", method: "shaken" } };

interface Family {
  type: string;
  help: string;
  samples: { name: string; labels: Record<string, string>; value: number }[];
}

// OpenMetrics 1.0, section 5.1.1 (ABNF); the expressions are from memory of it.
const NAME = "[a-zA-Z_:][a-zA-Z0-9_:]*";
const LABEL = `[a-zA-Z_][a-zA-Z0-9_]*="(?:[^"\\\\\\n]|\\\\[n"\\\\])*"`;
// Infinity and "not a number" in any case: the strings of an ABNF are so (RFC 5234, section 2.3).
const ODD = "[+-]?[iI][nN][fF](?:[iI][nN][iI][tT][yY])?|[nN][aA][nN]";
const NUMBER = `[+-]?(?:\\d+(?:\\.\\d*)?|\\.\\d+)(?:[eE][+-]?\\d+)?|${ODD}`;
const TYPE = new RegExp(
  `^# TYPE (${NAME}) (counter|gauge|histogram|gaugehistogram|stateset|info|summary|unknown)$`,
);
const HELP = new RegExp(`^# HELP (${NAME}) ((?:[^\\\\\\n]|\\\\[n"\\\\])*)$`);
const SAMPLE = new RegExp(`^(${NAME})(?:\\{((?:${LABEL})(?:,${LABEL})*|)\\})? (${NUMBER})(?: ${NUMBER})?$`);
/** What a sample's name may have after its family's (section 5.1.3 on). */
const SUFFIXES: Record<string, readonly string[]> = {
  counter: ["_total", "_created"],
  gauge: [""],
  histogram: ["_bucket", "_count", "_sum", "_created"],
  summary: ["", "_count", "_sum", "_created"],
  info: ["_info"],
};

/** Read an exposition strictly; throw at the first line that is not one. */
function readOpenMetrics(text: string): Map<string, Family> {
  const lines = text.split("\n");
  expect(lines.splice(-2)).toEqual(["# EOF", ""]);
  const families = new Map<string, Family>();
  const seen = new Set<string>();
  let [name, now] = ["", {} as Family];
  for (const line of lines) {
    const described = TYPE.exec(line) ?? HELP.exec(line);
    if (described) {
      const [, family = "", said = ""] = described;
      if (family !== name) {
        if (families.has(family)) throw new Error(`${family} comes in two places`);
        [name, now] = [family, { type: "unknown", help: "", samples: [] }];
        families.set(name, now);
      }
      if (now.samples.length > 0) throw new Error(`${line} comes after samples`);
      now[line.startsWith("# TYPE") ? "type" : "help"] = said;
      continue;
    }
    const [, sample = "", labels = "", value = ""] = SAMPLE.exec(line) ?? [];
    if (!sample) throw new Error(`not a line of OpenMetrics: ${line}`);
    if (!SUFFIXES[now.type]?.some((end) => sample === name + end)) {
      throw new Error(`${sample} is no sample of the ${now.type} ${name}`);
    }
    if (seen.has(`${sample}{${labels}}`)) throw new Error(`${line} comes twice`);
    seen.add(`${sample}{${labels}}`);
    const pairs = [...labels.matchAll(/(\w+)="((?:[^"\\]|\\.)*)"/g)].map(([, k, v]) => [k!, v!] as const);
    const read = Number(value.replace(/inf(?:inity)?$/i, "Infinity"));
    now.samples.push({ name: sample, labels: Object.fromEntries(pairs), value: read });
  }
  return families;
}

async function metricsOf(app: App): Promise<Map<string, Family>> {
  const response = await app.request("/metrics");
  expect(response.status).toBe(200);
  expect(response.headers.get("content-type")).toBe(
    "application/openmetrics-text; version=1.0.0; charset=utf-8",
  );
  return readOpenMetrics(await response.text());
}

/** The value of one sample; 0 where there is none yet. */
function sampleOf(families: Map<string, Family>, name: string, labels: Record<string, string> = {}): number {
  const found = [...families.values()]
    .flatMap(({ samples }) => samples)
    .find((s) => s.name === name && Object.entries(labels).every(([k, v]) => s.labels[k] === v));
  return found?.value ?? 0;
}

describe("/metrics", () => {
  test("is OpenMetrics, line by line, and each histogram adds up", async () => {
    const app = testApp();
    await post(app, "/v1/place", drink);
    await app.request(`/nowhere"\n`);
    const families = await metricsOf(app);
    for (const [name, { type, help, samples }] of families) {
      expect(help, name).not.toBe("");
      if (type !== "histogram") continue;
      const series = new Map<string, number[]>();
      for (const { name: sample, labels, value } of samples) {
        const { le, ...rest } = labels;
        const key = JSON.stringify(rest);
        if (sample.endsWith("_bucket")) series.set(key, [...(series.get(key) ?? []), value]);
        if (le === "+Inf") expect(sampleOf(families, `${name}_count`, rest), name).toBe(value);
      }
      for (const counts of series.values()) expect(counts).toEqual([...counts].sort((a, b) => a - b));
    }
    const names = [...families.keys()];
    for (const name of ["http_requests", "http_request_duration_seconds", "solver_wait_seconds"]) {
      expect(names).toContain(name);
    }
    expect(names.some((name) => name.startsWith("nodejs_eventloop_lag"))).toBe(true);
  });

  test("counts each request by its route, never by its path, and by its status", async () => {
    const app = testApp();
    const before = await metricsOf(app);
    for (let i = 0; i < 3; i += 1) await post(app, "/v1/place", drink);
    await post(app, "/v1/place", {});
    await app.request("/v1/pantry/juice-lime");
    await app.request("/v1/pantry/juice-lemon");
    const after = await metricsOf(app);
    const risen = (name: string, labels: Record<string, string>) =>
      sampleOf(after, name, labels) - sampleOf(before, name, labels);
    expect(risen("http_requests_total", { route: "/v1/place", status: "200" })).toBe(3);
    expect(risen("http_requests_total", { route: "/v1/place", status: "422" })).toBe(1);
    expect(risen("http_requests_total", { route: "/v1/pantry/:id", status: "200" })).toBe(2);
    expect(risen("http_request_duration_seconds_count", { route: "/v1/place" })).toBe(4);
    const routes = after.get("http_requests")!.samples.map(({ labels }) => labels.route);
    expect(routes).not.toContain("/v1/pantry/juice-lime");
  });

  test("tells the solvers' queues, and how long was waited and worked", async () => {
    const { run } = inThread();
    const compute = {
      run: async (name, input, asker = {}) => {
        const value = await run(name, input);
        Object.assign(asker, { queuedMs: 20, workedMs: 300 });
        return value;
      },
      stats: () => ({ queued: { short: 4, long: 2 }, running: { short: 1, long: 3 }, threads: 4 }),
    } satisfies Compute as Compute;
    const app = testApp({ compute });
    await post(app, "/v1/trail", { rounds: [{ id: "r1", spec: drink.spec }] });
    const families = await metricsOf(app);
    expect(sampleOf(families, "solver_queue_depth", { lane: "short" })).toBe(4);
    expect(sampleOf(families, "solver_running", { lane: "long" })).toBe(3);
    expect(sampleOf(families, "solver_wait_seconds_sum")).toBeCloseTo(0.02, 9);
    expect(sampleOf(families, "solver_work_seconds_sum", { route: "/v1/trail" })).toBeCloseTo(0.3, 9);
  });
});

/** The log line of one request. */
async function logged(path: string, init: RequestInit, deps: Parameters<typeof testApp>[0] = {}) {
  const lines: Record<string, unknown>[] = [];
  const sink = new Writable({
    write: (chunk, _, done) => {
      lines.push(JSON.parse(String(chunk)) as Record<string, unknown>);
      done();
    },
  });
  const app = testApp({ logger: pino({ level: "info" }, sink), ...deps });
  await app.request(path, init);
  return lines.find(({ msg, path: asked }) => msg === "request" && asked === path)!;
}

describe("the log line of a request", () => {
  const asJson = { method: "POST", headers: { "Content-Type": "application/json" } };

  test("names the kind of problem, and nothing of the body, the query or the address", async () => {
    const line = await logged("/v1/place", { ...asJson, body: '{"spec": "secret-word"}' });
    expect(line).toMatchObject({ method: "POST", status: 422, problem: "invalid-request" });
    expect(JSON.stringify(line)).not.toContain("secret-word");
    expect(await logged("/v1/place", { ...asJson, body: "{" })).toMatchObject({ problem: "malformed-json" });
    expect(await logged("/v1/place", { ...asJson, body: JSON.stringify(drink) })).not.toHaveProperty(
      "problem",
    );
  });

  // W3C Trace Context, level 1, section 3.2; the valid header is that recommendation's own example, from memory.
  test.each([
    ["a valid one", "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01", true],
    [
      "a later version with more in it",
      "cc-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01-what-else",
      true,
    ],
    ["a version that there cannot be", "ff-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01", false],
    ["no trace", "00-00000000000000000000000000000000-b7ad6b7169203331-01", false],
    ["no parent", "00-0af7651916cd43dd8448eb211c80319c-0000000000000000-01", false],
    ["capitals", "00-0AF7651916CD43DD8448EB211C80319C-B7AD6B7169203331-01", false],
    ["a short one", "00-0af7651916cd43dd-b7ad6b7169203331-01", false],
    ["junk", "trace me", false],
  ])("says which trace it is part of: %s", async (_, traceparent, isTaken) => {
    const line = await logged("/healthz", { headers: { traceparent } });
    const trace = { traceId: "0af7651916cd43dd8448eb211c80319c", parentId: "b7ad6b7169203331" };
    if (isTaken) expect(line).toMatchObject(trace);
    else expect(line).not.toHaveProperty("traceId");
    expect(line.status).toBe(200);
  });
});
