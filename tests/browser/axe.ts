import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import type { Page } from "playwright-core";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Findings of every weight but the least, one line each. */
export async function scan(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  const results = (await page.evaluate(
    "axe.run(document, { resultTypes: ['violations'], rules: { 'target-size': { enabled: true } } })",
  )) as AxeResults;
  return results.violations
    .filter((violation) => violation.impact !== "minor")
    .map((v) => `${v.id}: ${v.help} (${v.nodes.length}) ${v.nodes[0]?.html.slice(0, 160)}`);
}
