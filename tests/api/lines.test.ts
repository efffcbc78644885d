import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createApp } from "../../api/app.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { post, testApp } from "./harness.ts";

// Many drinks in one request, one a line (NDJSON).

const app = createApp({ data: loadReferenceData(), engineVersion: "0.0.0-test", maxBodyBytes: 2000 });
const one = testApp();

const drink = (limeOz: number) => ({
  spec: {
    name: "Sour",
    method: "shaken",
    lines: [
      { ingredient: "rum-aged", amount: 2, unit: "oz" },
      { ingredient: "juice-lime", amount: limeOz, unit: "oz" },
    ],
  },
});

interface Line {
  line: number;
  answer?: Record<string, unknown>;
  problem?: { type: string; errors: { pointer: string }[] };
}

function ask(body: string | ReadableStream<Uint8Array>): Promise<Response> {
  const init = { method: "POST", headers: { "Content-Type": "application/x-ndjson" }, body, duplex: "half" };
  return Promise.resolve(app.request(new Request("http://localhost/v1/place", init as RequestInit)));
}

async function answersTo(body: string | ReadableStream<Uint8Array>): Promise<Line[]> {
  const response = await ask(body);
  expect(response.status).toBe(200);
  expect(response.headers.get("content-type")).toBe("application/x-ndjson");
  const text = await response.text();
  return text === ""
    ? []
    : text
        .trimEnd()
        .split("\n")
        .map((line) => JSON.parse(line) as Line);
}

/** A body handed over in pieces of these sizes. */
function inPieces(text: string, sizes: readonly number[]): ReadableStream<Uint8Array> {
  let rest = new TextEncoder().encode(text);
  let turn = 0;
  return new ReadableStream({
    pull(controller) {
      if (rest.length === 0) return controller.close();
      const size = sizes[turn++ % sizes.length]!;
      controller.enqueue(rest.slice(0, size));
      rest = rest.slice(size);
    },
  });
}

test("each drink gets the answer it gets alone, in order", async () => {
  const amounts = [0.25, 0.5, 0.75, 1];
  const lines = await answersTo(amounts.map((oz) => JSON.stringify(drink(oz))).join("\n"));
  expect(lines.map(({ line }) => line)).toEqual([1, 2, 3, 4]);
  for (const [i, oz] of amounts.entries()) {
    expect(lines[i]!.answer).toEqual(await (await post(one, "/v1/place", drink(oz))).json());
  }
});

test("a line that is wrong is told by itself and stops no other; empty ones are skipped and counted", async () => {
  const good = JSON.stringify(drink(0.75));
  const body = [good, "{", "", JSON.stringify({ spec: 3 }), "   ", "[]", good].join("\r\n");
  const lines = await answersTo(`${body}\n`);
  expect(lines.map(({ line, problem }) => [line, problem?.type])).toEqual([
    [1, undefined],
    [2, "/problems/malformed-json"],
    [4, "/problems/invalid-request"],
    [6, "/problems/invalid-request"],
    [7, undefined],
  ]);
  expect(lines[2]!.problem!.errors[0]!.pointer).toMatch(/^#\/spec/);
});

test("a line that is too long is skipped, however long, and the next one answered", async () => {
  const good = JSON.stringify(drink(0.75));
  const lines = await answersTo(inPieces(`${"x".repeat(10_000)}\n${good}\n${"y".repeat(3000)}`, [700]));
  expect(lines.map(({ line, problem }) => [line, problem?.type])).toEqual([
    [1, "/problems/too-large"],
    [2, undefined],
    [3, "/problems/too-large"],
  ]);
});

test("nothing asked is nothing answered", async () => {
  expect(await answersTo("")).toEqual([]);
  expect(await answersTo("\n\n")).toEqual([]);
});

test("how the bytes are cut on their way makes no difference", async () => {
  const named = { spec: { ...drink(0.5).spec, name: "Piña — ½ 🍍" } };
  const body = [drink(0.25), named, { spec: null }].map((line) => JSON.stringify(line)).join("\n");
  const anonymous = (lines: Line[]) => JSON.stringify(lines).replaceAll(/"requestId":"[^"]*"/g, "");
  const whole = anonymous(await answersTo(body));
  await fc.assert(
    fc.asyncProperty(
      fc.array(fc.integer({ min: 1, max: 200 }), { minLength: 1, maxLength: 6 }),
      async (sizes) => {
        expect(anonymous(await answersTo(inPieces(body, sizes)))).toBe(whole);
      },
    ),
    { numRuns: 20 },
  );
});

describe("backpressure", () => {
  /** An endless stack of drinks, and how many of them were taken. */
  function endless() {
    const line = new TextEncoder().encode(`${JSON.stringify(drink(0.75))}\n`);
    const taken = { lines: 0, isCancelled: false };
    const stream = new ReadableStream<Uint8Array>(
      {
        pull(controller) {
          taken.lines += 1;
          controller.enqueue(line);
        },
        cancel() {
          taken.isCancelled = true;
        },
      },
      { highWaterMark: 0 },
    );
    return { stream, taken };
  }

  test("drinks are taken as answers are read, not before, and no more once the reader leaves", async () => {
    const { stream, taken } = endless();
    const reader = (await ask(stream)).body!.getReader();
    for (let i = 1; i <= 20; i += 1) {
      await reader.read();
      // One answer read, one waiting, one in work.
      expect(taken.lines).toBeLessThanOrEqual(i + 2);
    }
    await reader.cancel();
    expect(taken.isCancelled).toBe(true);
    const before = taken.lines;
    await new Promise((resolve) => setImmediate(resolve));
    expect(taken.lines).toBe(before);
  });
});

test("JSON and nothing else is still one drink", async () => {
  const text = `${JSON.stringify(drink(1))}\n${JSON.stringify(drink(1))}`;
  expect((await post(one, "/v1/place", text)).status).toBe(400);
  const other = await one.request("/v1/ask", {
    method: "POST",
    headers: { "Content-Type": "application/x-ndjson" },
    body: "{}",
  });
  expect(other.status).toBe(415);
});
