import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { type BenchResults, benchTable } from "../bench/table.ts";
import { ROOT } from "../rules/source-tree.ts";

/** A Markdown table's cells, without the padding that the formatter adds and without the rule below the head. */
const cells = (text: string): string[][] =>
  text
    .split("\n")
    .filter((line) => line.startsWith("|") && !/^\|[\s|:-]+$/.test(line))
    .map((line) => line.split("|").map((cell) => cell.trim()));

// Figures of speed are never tested; that the README shows those of the last kept run is.
test("the README's table of ratios is the one the last kept run printed", () => {
  const kept = JSON.parse(readFileSync(join(ROOT, "tests/bench/results.json"), "utf8")) as BenchResults;
  expect(kept.rows.length).toBeGreaterThan(5);
  expect(kept.rows.every((r) => r.ratio > 0 && Number.isFinite(r.ratio))).toBe(true);
  expect(cells(readFileSync(join(ROOT, "README.md"), "utf8"))).toEqual(cells(benchTable(kept)));
});
