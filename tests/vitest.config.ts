import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { defineConfig } from "vitest/config";

// Servers that tests start keep nothing among the user's own benches.
const folder = mkdtempSync(join(tmpdir(), "steelyard-tests-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

/** What only computes holds no state between files, so its modules and the data are loaded once a worker. */
const PURE = ["engine", "published", "reference-data"].map((part) => `tests/${part}/**/*.test.ts`);

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // One on each processor: a browser's test waits for the page most of its time.
    maxWorkers: "100%",
    // A page draws after it is touched: what it comes to is awaited, not read in the same breath.
    expect: { poll: { timeout: 10_000 } },
    env: { DATA_DIR: folder },
    projects: [
      { extends: true, test: { name: "pure", include: PURE, isolate: false } },
      { extends: true, test: { name: "rest", include: ["tests/**/*.test.ts"], exclude: PURE } },
    ],
  },
});
