import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { defineConfig } from "vitest/config";

// Servers that tests start keep nothing among the user's own benches.
const folder = mkdtempSync(join(tmpdir(), "steelyard-tests-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/**/*.test.ts"],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    env: { DATA_DIR: folder },
  },
});
