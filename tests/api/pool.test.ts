import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, afterEach, describe, expect, test } from "vitest";
import { type Asker, AskerLeft, type Compute } from "../../api/compute/compute.ts";
import { Pool } from "../../api/compute/pool.ts";
import { ProblemError } from "../../api/problems/problem.ts";
import { EngineError } from "../../engine/errors.ts";
import type { TaskInput } from "../../engine/tasks.ts";

// Threads of a made-up kind, so that each can misbehave on demand; the real one runs in server.test.ts.
const folder = mkdtempSync(join(tmpdir(), "steelyard-pool-"));
afterAll(() => rmSync(folder, { recursive: true }));
const entry = join(folder, "worker.mjs");
writeFileSync(
  entry,
  `import { parentPort, threadId, workerData } from "node:worker_threads";
   let runs = 0;
   parentPort.on("message", ({ message }) => {
     runs += 1;
     const answer = (what) => parentPort.postMessage({ value: { threadId, runs, what }, ms: 1 });
     if (message.do === "die") process.exit(3);
     if (message.do === "throw") throw new Error("a fault of the thread");
     if (message.do === "spin") for (;;);
     if (message.do === "hoard") for (const all = []; ; ) all.push(new Array(1e6).fill({}));
     if (message.do === "refuse") return parentPort.postMessage({ issues: [{ pointer: "/x", detail: "d", remedy: "r" }] });
     if (message.do === "search") {
       const look = setInterval(() => {
         if (Atomics.load(workerData.timeUp, 0) !== 1) return;
         clearInterval(look);
         answer("the best so far");
       }, 5);
       return;
     }
     setTimeout(() => answer("done"), message.ms ?? 0);
   });`,
);

interface Answer {
  threadId: number;
  /** How many the thread had run by then. */
  runs: number;
  what: string;
}

const pools: Compute[] = [];
afterEach(async () => {
  for (const pool of pools.splice(0)) await pool.close?.();
});

function poolOf({ short = 1, long = 1, maxWaitMs = 60_000, maxHeapMb = 512 } = {}) {
  const threads = { short, long };
  const pool = new Pool({
    entry: pathToFileURL(entry),
    threads,
    maxWaitMs,
    maxHeapMb,
    pack: (input) => input,
  });
  pools.push(pool);
  const run = (input: object, asker?: Asker) =>
    pool.run("solve", input as TaskInput<"solve">, asker) as unknown as Promise<Answer>;
  return { pool, run };
}

/** A search that ends only when it is told to. */
const SEARCH = { do: "search", spec: { lines: [1, 2, 3] }, timeBudgetMs: 60_000 };

test("threads are reused, and there are no more of them than allowed", async () => {
  const { pool, run } = poolOf();
  const answers = await Promise.all(Array.from({ length: 6 }, () => run({ ms: 20 })));
  expect(new Set(answers.map((a) => a.threadId)).size).toBeLessThanOrEqual(2);
  expect(pool.stats?.().threads).toBeLessThanOrEqual(2);
});

test("past the expected wait it says it is busy, with when to come back", async () => {
  const { run } = poolOf({ maxWaitMs: 130 });
  // Sixty milliseconds each is the first guess: one runs, two or three may wait.
  const all = await Promise.allSettled(Array.from({ length: 12 }, () => run({ spec: { lines: [1] } })));
  const refused = all.map((result) => result.status === "rejected");
  expect(refused.indexOf(true)).toBeGreaterThanOrEqual(2);
  expect(refused.indexOf(true)).toBeLessThanOrEqual(5);
  expect(refused.lastIndexOf(false)).toBeLessThan(refused.indexOf(true));
  for (const result of all) {
    if (result.status !== "rejected") continue;
    expect(result.reason).toMatchObject({ slug: "busy" });
    expect(Number(result.reason.particulars.headers["Retry-After"])).toBeGreaterThanOrEqual(1);
  }
});

test("those told to come back are not all told the same moment", async () => {
  const { run } = poolOf({ maxWaitMs: 3000 });
  // Nothing is known of so many ingredients: half of their budget, two seconds, is the first guess.
  const large = { ms: 60_000, spec: { lines: Array(12).fill(1) }, timeBudgetMs: 4000 };
  const all = Array.from({ length: 6 }, () =>
    run(large).catch((e) => e.particulars?.headers?.["Retry-After"]),
  );
  // One runs, one waits. Room comes when the first is half done, then every two seconds; no later than the
  // queue is long.
  expect(await Promise.all(all.slice(2))).toEqual(["1", "3", "4", "4"]);
});

test("who waits far longer than was expected is told so", async () => {
  const { run } = poolOf({ maxWaitMs: 100 });
  const leaves = new AbortController();
  const longer = [1, 2].map(() => run(SEARCH, { signal: leaves.signal }));
  const settled = Promise.allSettled(longer);
  const error = await run({ ms: 1, spec: { lines: [1] } }).catch((e: unknown) => e);
  expect(error).toMatchObject({ slug: "busy", particulars: { headers: { "Retry-After": "1" } } });
  leaves.abort();
  await settled;
});

test("a polite group of 32 is answered, everyone", async () => {
  const { run } = poolOf({ maxWaitMs: 15_000 });
  const answers = await Promise.all(Array.from({ length: 32 }, () => run({ ms: 5, spec: { lines: [1] } })));
  expect(answers.map((a) => a.what)).toEqual(Array(32).fill("done"));
});

test("past its budget a search gives the best it has", async () => {
  const { run } = poolOf();
  const asker: Asker = {};
  const { what } = await run({ ...SEARCH, timeBudgetMs: 30 }, asker);
  expect(what).toBe("the best so far");
  expect(asker.workedMs).toBeDefined();
});

test("a short one does not wait behind long ones, though nobody knew they were long", async () => {
  const { pool, run } = poolOf();
  const leaves = new AbortController();
  const long = [run(SEARCH, { signal: leaves.signal }), run(SEARCH, { signal: leaves.signal })];
  const settled = Promise.allSettled(long);
  // Another size: what was learned of those is not held against it.
  expect((await run({ ms: 1, spec: { lines: [1] } })).what).toBe("done");
  const { queued, running } = pool.stats!();
  expect(queued.long + running.long).toBeGreaterThanOrEqual(1);
  // By then the pool knows: the next one of their kind goes to the long lane at once.
  const next = run(SEARCH, { signal: leaves.signal });
  const after = pool.stats!();
  expect(after.queued.long + after.running.long).toBe(queued.long + running.long + 1);
  leaves.abort();
  await expect(next).rejects.toBeInstanceOf(AskerLeft);
  expect((await settled).map((s) => s.status)).toEqual(["rejected", "rejected"]);
});

describe("who leaves", () => {
  test("frees the thread at once", async () => {
    const { run } = poolOf();
    const leaves = new AbortController();
    const left = run(SEARCH, { signal: leaves.signal });
    const next = run({ ms: 1 });
    leaves.abort();
    await expect(left).rejects.toBeInstanceOf(AskerLeft);
    expect((await next).what).toBe("done");
  });

  test("while waiting is never worked for", async () => {
    const { pool, run } = poolOf();
    const leaves = new AbortController();
    const first = run({ ms: 50 });
    const waiting = Array.from({ length: 5 }, () => run(SEARCH, { signal: leaves.signal }));
    const settled = Promise.allSettled(waiting);
    leaves.abort();
    await settled;
    await first;
    expect(pool.stats!().queued).toEqual({ short: 0, long: 0 });
    const last = await run({ ms: 1 });
    expect(last.runs).toBeLessThanOrEqual(2);
  });

  test("does not take the answer from another who asked the same", async () => {
    const { run } = poolOf();
    const leaves = new AbortController();
    const first = run({ ms: 100 }, { signal: leaves.signal, question: "q" });
    const second = run({ ms: 100 }, { question: "q" });
    leaves.abort();
    expect((await second).what).toBe("done");
    await first.catch(() => {});
  });
});

test("the same question at one time is worked on once", async () => {
  const { run } = poolOf();
  const answers = await Promise.all(Array.from({ length: 8 }, () => run({ ms: 30 }, { question: "same" })));
  expect(new Set(answers.map((a) => `${a.threadId} ${a.runs}`)).size).toBe(1);
  // Another question is not.
  const [a, b] = await Promise.all([run({}, { question: "a" }), run({}, { question: "b" })]);
  expect(`${a.threadId} ${a.runs}`).not.toBe(`${b.threadId} ${b.runs}`);
});

test("a thread that never answers is stopped, and the next job gets a fresh one", async () => {
  const { run } = poolOf();
  const stuck = run({ do: "spin", timeBudgetMs: 1 });
  const after = run({});
  const error = await stuck.catch((e: unknown) => e);
  expect(error).toBeInstanceOf(ProblemError);
  expect(error).toMatchObject({ slug: "overrun" });
  expect((await after).what).toBe("done");
});

test("a thread that takes too much memory is stopped, and the next job gets a fresh one", async () => {
  const { run } = poolOf({ maxHeapMb: 48 });
  const greedy = run({ do: "hoard", timeBudgetMs: 30_000 });
  const after = run({});
  expect(await greedy.catch((e: unknown) => e)).toMatchObject({ slug: "overrun" });
  expect((await after).what).toBe("done");
});

test.each(["die", "throw"])("a thread that fails (%s) fails its own job only", async (how) => {
  const { run } = poolOf();
  const bad = run({ do: how });
  const after = run({});
  await expect(bad).rejects.toThrow();
  expect((await after).what).toBe("done");
});

test("what the engine refuses comes back as its own error", async () => {
  await expect(poolOf().run({ do: "refuse" })).rejects.toBeInstanceOf(EngineError);
});
