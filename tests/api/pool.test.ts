import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, expect, test } from "vitest";
import { createPool } from "../../api/compute/pool.ts";
import { ProblemError } from "../../api/problems/problem.ts";
import { EngineError } from "../../engine/errors.ts";
import type { TaskInput } from "../../engine/tasks.ts";

// Threads of a made-up kind, so that each can misbehave on demand; the real one runs in server.test.ts.
const folder = mkdtempSync(join(tmpdir(), "steelyard-pool-"));
afterAll(() => rmSync(folder, { recursive: true }));
const entry = join(folder, "worker.mjs");
writeFileSync(
  entry,
  `import { parentPort, threadId } from "node:worker_threads";
   parentPort.on("message", ({ input }) => {
     if (input.do === "die") process.exit(3);
     if (input.do === "throw") throw new Error("a fault of the thread");
     if (input.do === "spin") for (;;);
     if (input.do === "hoard") for (const all = []; ; ) all.push(new Array(1e6).fill({}));
     if (input.do === "refuse") return parentPort.postMessage({ issues: [{ pointer: "/x", detail: "d", remedy: "r" }] });
     setTimeout(() => parentPort.postMessage({ value: threadId }), input.ms ?? 0);
   });`,
);
const poolOf = (size: number, queue?: number) => {
  const pool = createPool(pathToFileURL(entry), size, queue);
  return (input: object) => pool.run("trail", input as TaskInput<"trail">) as unknown as Promise<number>;
};

test("as many threads as its size, each reused", async () => {
  const run = poolOf(2);
  const ids = await Promise.all(Array.from({ length: 6 }, () => run({ ms: 20 })));
  expect(new Set(ids).size).toBe(2);
});

test("past its queue it says it is busy, with when to come back", async () => {
  const run = poolOf(1, 1);
  const first = run({ ms: 100 });
  const second = run({ ms: 0 });
  await expect(run({})).rejects.toMatchObject({
    slug: "busy",
    particulars: { headers: { "Retry-After": "2" } },
  });
  await Promise.all([first, second]);
});

test("a thread that never answers is stopped, and the next job gets a fresh one", async () => {
  const run = poolOf(1);
  const stuck = run({ do: "spin", timeBudgetMs: -1300 });
  const after = run({});
  const error = await stuck.catch((e: unknown) => e);
  expect(error).toBeInstanceOf(ProblemError);
  expect(error).toMatchObject({ slug: "overrun" });
  expect(await after).toBeGreaterThan(0);
});

test("a thread that takes too much memory is stopped, and the next job gets a fresh one", async () => {
  const run = poolOf(1);
  const greedy = run({ do: "hoard", timeBudgetMs: 30_000 });
  const after = run({});
  expect(await greedy.catch((e: unknown) => e)).toMatchObject({ slug: "overrun" });
  expect(await after).toBeGreaterThan(0);
});

test.each(["die", "throw"])("a thread that fails (%s) fails its own job only", async (how) => {
  const run = poolOf(1);
  const bad = run({ do: how });
  const after = run({});
  await expect(bad).rejects.toThrow();
  expect(await after).toBeGreaterThan(0);
});

test("what the engine refuses comes back as its own error", async () => {
  await expect(poolOf(1)({ do: "refuse" })).rejects.toBeInstanceOf(EngineError);
});
