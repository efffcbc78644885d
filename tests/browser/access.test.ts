import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { contrastOf, scan } from "./axe.ts";
import { openSite, type Site, visit } from "./open-page.ts";

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const SIZES = [
  { name: "desktop", width: 1440, height: 900 },
  { name: "tablet", width: 1100, height: 800 },
  { name: "phone", width: 390, height: 844 },
] as const;

const sideScroll = (page: Page) =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

/** Everything open and answered: the state with the most on the page. */
async function openEverything(page: Page): Promise<void> {
  await page.locator("#ask-button").click();
  await page.locator("#answers li.card, #answers .infeasible p").first().waitFor();
  await page.getByRole("button", { name: "Compare a swap" }).click();
  await page.locator(".route-table").waitFor({ timeout: 60_000 });
  await page.locator("li.line .line-name").first().click();
  // What a fold holds may come from the server, and may hold folds itself.
  await page.waitForFunction(() => {
    const closed = [...document.querySelectorAll<HTMLDetailsElement>("details:not([open])")];
    for (const box of closed) box.open = true;
    return closed.length === 0 && document.querySelector(".swaps tbody tr") !== null;
  });
}

describe.each([
  { scheme: "light", size: SIZES[0] },
  { scheme: "light", size: SIZES[1] },
  { scheme: "dark", size: SIZES[2] },
] as const)("in $scheme at $size.name size", ({ scheme, size: { width, height } }) => {
  test("the bench has no finding, nothing wider than the screen, no trouble", async () => {
    const { page, context, troubles } = await visit(site, "/", { width, height, scheme });
    expect(await sideScroll(page)).toBeLessThanOrEqual(0);
    expect(await scan(page)).toEqual([]);
    await openEverything(page);
    expect(await sideScroll(page)).toBeLessThanOrEqual(0);
    expect(await scan(page)).toEqual([]);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a menu on the map has none either, and is there again after a reload", async () => {
    const { page, context, troubles } = await visit(site, "/menu", { width, height, scheme });
    await page.getByRole("button", { name: "Try an invented list" }).click();
    await page.locator(".menu-mark").first().waitFor();
    await page.locator(".take-care").waitFor();
    expect(await page.locator(".menu-count").textContent()).toBe("8 drinks on the map.");
    expect(await page.locator("#menu-alike ~ ul li").first().textContent()).toContain("one drink twice");
    expect(await sideScroll(page)).toBeLessThanOrEqual(0);
    expect(await scan(page)).toEqual([]);
    await page.reload();
    await page.locator(".menu-mark").first().waitFor();
    expect(await page.locator(".menu-count").textContent()).toBe("8 drinks on the map.");
    expect(troubles).toEqual([]);
    await context.close();
  });
});

test("nothing glides or swings for those who asked for less motion", async () => {
  const still = await visit(site);
  const moving = await visit(site, "/", { motion: "no-preference" });
  const motion = ({ page }: typeof still) =>
    page.evaluate(() => [
      getComputedStyle(document.documentElement).scrollBehavior,
      getComputedStyle(document.querySelector(".arm-beam")!).transitionDuration,
    ]);
  expect(await motion(still)).toEqual(["auto", "0s"]);
  expect(await motion(moving)).toEqual(["smooth", "0.25s"]);
  await still.context.close();
  await moving.context.close();
});

test("the manual theme wins over the system's, and is remembered", async () => {
  const { page, context } = await visit(site, "/", { scheme: "dark" });
  const paper = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const dark = await paper();
  await page.getByRole("button", { name: /^Measures/ }).click();
  await page.getByLabel("Theme").selectOption("light");
  const light = await paper();
  expect(light).not.toBe(dark);
  await page.waitForFunction(() =>
    Object.values(localStorage).some((kept) => /"theme":"light"|^light$/.test(kept)),
  );
  await page.reload();
  await page.locator("li.line").first().waitFor();
  expect(await paper()).toBe(light);
  await context.close();
});

test.each(["light", "dark"] as const)("in %s what the mouse is on can still be read", async (scheme) => {
  const { page, context } = await visit(site, "/", { width: 1440, height: 900, scheme });
  await page.locator(".m-mark.is-hand").waitFor();
  const faults: string[] = [];
  let pointed = 0;
  for (const thing of await page.locator(":is(header, main) :is(button, a, .segment, summary)").all()) {
    const box = await thing.boundingBox();
    if (!box || box.y < 0 || box.y + box.height > 900) continue;
    pointed += 1;
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    faults.push(...(await contrastOf(page, thing)));
  }
  expect(pointed).toBeGreaterThan(30);
  expect(faults).toEqual([]);
  await context.close();
});
