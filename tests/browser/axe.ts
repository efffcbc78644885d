import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import type { Locator, Page } from "playwright-core";

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

/** Whether the words of one thing stand apart from what is behind them, as it looks now: findings, one line each. */
export async function contrastOf(page: Page, thing: Locator): Promise<string[]> {
  if (!(await page.evaluate("typeof axe === 'object'"))) await page.evaluate(AXE);
  return thing.evaluate(async (element) => {
    const { axe } = window as unknown as { axe: typeof import("axe-core") };
    const { violations } = await axe.run(element, { runOnly: ["color-contrast"] });
    return violations.flatMap(({ nodes }) => nodes.map(({ html }) => html.slice(0, 120)));
  });
}
