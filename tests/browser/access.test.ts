import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openSite, type Site, visit } from "./open-page.ts";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

/** Serious and critical findings, one line each. */
async function scan(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  const results = (await page.evaluate(
    "axe.run(document, { resultTypes: ['violations'], rules: { 'target-size': { enabled: true } } })",
  )) as AxeResults;
  return results.violations
    .filter((violation) => violation.impact === "serious" || violation.impact === "critical")
    .map((v) => `${v.id}: ${v.help} (${v.nodes.length}) ${v.nodes[0]?.html.slice(0, 160)}`);
}

const SIZES = [
  { name: "desktop", width: 1280, height: 800 },
  { name: "phone", width: 390, height: 844 },
  { name: "small phone", width: 360, height: 740 },
] as const;

describe.each(["light", "dark"] as const)("in %s", (scheme) => {
  test.each(SIZES)(
    "the bench at $name size has no serious finding, nothing wider than the screen, no trouble",
    async ({ width, height }) => {
      const { page, context, troubles } = await visit(site, "/", { width, height, scheme });
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      expect(await scan(page)).toEqual([]);
      // Everything open and answered: the state with the most on the page.
      await page.locator("#ask-button").click();
      await page.locator("#proposals li.card, #proposals .infeasible p").first().waitFor();
      await page.getByRole("button", { name: "Compare a swap" }).click();
      await page.locator(".route-table").waitFor();
      await page.getByRole("button", { name: "Table of points" }).click();
      await page.evaluate(() => {
        for (const box of document.querySelectorAll("details")) box.open = true;
      });
      await page.locator(".line-swaps tbody tr").first().waitFor();
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      expect(await scan(page)).toEqual([]);
      expect(troubles).toEqual([]);
      await context.close();
    },
  );

  test.each(SIZES)(
    "the sources at $name size have no serious finding and nothing wider than the screen",
    async ({ width, height }) => {
      const { page, context, troubles } = await visit(site, "/sources.html", { width, height, scheme });
      await page.locator("#sources-title").waitFor();
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      expect(await scan(page)).toEqual([]);
      expect(troubles).toEqual([]);
      await context.close();
    },
  );
});

test("nothing glides or swings for those who asked for less motion", async () => {
  const still = await visit(site);
  const moving = await visit(site, "/", { motion: "no-preference" });
  const motion = ({ page }: typeof still) =>
    page.evaluate(() => [
      getComputedStyle(document.documentElement).scrollBehavior,
      getComputedStyle(document.querySelector(".beam-arm")!).transitionDuration,
    ]);
  expect(await motion(still)).toEqual(["auto", "0s"]);
  expect(await motion(moving)).toEqual(["smooth", "0.25s"]);
  await still.context.close();
  await moving.context.close();
});

test("the manual theme switch wins over the system's", async () => {
  const { page, context } = await visit(site, "/", { scheme: "dark" });
  const paper = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const dark = await paper();
  await page.getByLabel("Theme").selectOption("light");
  const light = await paper();
  expect(light).not.toBe(dark);
  await page.reload();
  await page.locator("li.line").first().waitFor();
  expect(await paper()).toBe(light);
  await context.close();
});

test("what the map shows is also in a table, and the reading is announced", async () => {
  const { page, context } = await visit(site);
  expect(await page.getByRole("table", { name: "Points on the map" }).locator("tbody tr").count()).toBe(7);
  await page.getByRole("button", { name: /^More/ }).first().click();
  await page.waitForFunction(() => /Sugar \d/.test(document.querySelector("#announcer")?.textContent ?? ""));
  await context.close();
});
