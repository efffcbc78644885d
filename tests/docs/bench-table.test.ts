import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { type BenchResults, benchTable } from "../bench/table.ts";
import { ROOT } from "../rules/source-tree.ts";

// Figures of speed are never tested; that the README shows those of the last kept run is.
test("the README's table of ratios is the one the last kept run printed", () => {
  const kept = JSON.parse(readFileSync(join(ROOT, "tests/bench/results.json"), "utf8")) as BenchResults;
  expect(kept.rows.length).toBeGreaterThan(5);
  expect(kept.rows.every((r) => r.ratio > 0 && Number.isFinite(r.ratio))).toBe(true);
  expect(readFileSync(join(ROOT, "README.md"), "utf8")).toContain(benchTable(kept));
});
