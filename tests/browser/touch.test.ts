import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { enterRoom, openSite, type Site, visit } from "./open-page.ts";

// A phone in a wet hand: 390 px, fingers and no mouse.

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const PHONE = { width: 390, height: 844, touch: true };
/** The enhanced target size of WCAG 2.2, 2.5.5, px. */
const TARGET_PX = 44;

/** Controls with a side below 44 px: neither the control nor the label around it is large enough. */
const smallTargets = (page: Page) =>
  page.evaluate((least) => {
    const controls = [
      ...document.querySelectorAll<HTMLElement>(
        "header :is(a, button), main :is(button, input, select, textarea, summary)",
      ),
    ];
    return controls.flatMap((control) => {
      // What lets a finger through is no target: an arm shows the amount until its line is opened.
      const through = getComputedStyle(control).pointerEvents === "none";
      if (!control.checkVisibility() || through || control.closest(".visually-hidden, .skip, svg")) return [];
      const held = control.closest("label") ?? control;
      const box = held.getBoundingClientRect();
      if (box.height >= least - 0.5 && box.width >= least - 0.5) return [];
      const said = control.getAttribute("aria-label") ?? control.textContent ?? "";
      return [
        `${control.tagName.toLowerCase()}.${control.className}#${control.id} “${said.trim().slice(0, 30)}” ${box.width.toFixed(0)} × ${box.height.toFixed(0)}`,
      ];
    });
  }, TARGET_PX);

/** A finger that can be moved while it is down. */
async function fingerOf(page: Page) {
  const finger = await page.context().newCDPSession(page);
  return (type: "touchStart" | "touchMove" | "touchEnd", at?: { x: number; y: number }) =>
    finger.send("Input.dispatchTouchEvent", { type, touchPoints: at ? [at] : [] });
}

describe("touch targets of", () => {
  test.each([
    "/",
    "/taste",
    "/card",
    "/present",
    "/benches",
    "/menu",
    "/preps/syrup",
    "/preps/ice",
    "/lessons",
  ])("%s are 44 px", async (path) => {
    const { page, context } = await enterRoom(site, path, PHONE);
    expect(await smallTargets(page)).toEqual([]);
    await context.close();
  });
});

test("a spec line is one row until it is touched, and opens when it is", async () => {
  const { page, context } = await visit(site, "/", PHONE);
  const line = page.locator("li.line").first();
  const heightOf = async () => (await line.boundingBox())?.height ?? 0;
  const shut = await heightOf();
  expect(shut).toBeLessThan(76);
  await line.locator(".line-name").tap();
  await page.waitForFunction((was) => document.querySelector("li.line")!.clientHeight > 2 * was, shut);
  await context.close();
});

test("every arm to slide on is 44 px high to a finger, on a phone and on a tablet", async () => {
  for (const screen of [PHONE, { width: 1180, height: 820, touch: true }]) {
    const { page, context } = await visit(site, "/", screen);
    await page.locator("li.line .line-name").first().tap();
    const line = page.locator("li.line").first();
    await line.locator(".line-more").waitFor();
    const slider = line.locator("input[type=range]");
    const amount = line.locator("input.amount");
    const touch = await fingerOf(page);
    // All of it takes the finger, its rims as well.
    for (const rim of [3, TARGET_PX - 3]) {
      await slider.evaluate((node) => node.scrollIntoView({ block: "center" }));
      const arm = (await slider.boundingBox())!;
      const before = await amount.inputValue();
      const at = (i: number) => ({ x: arm.x + arm.width * 0.6 - 15 * i, y: arm.y + rim });
      await touch("touchStart", at(0));
      for (let i = 1; i <= 6; i += 1) await touch("touchMove", at(i));
      await touch("touchEnd");
      await expect.poll(() => amount.inputValue()).not.toBe(before);
      await page.getByRole("button", { name: "Undo" }).tap();
      await expect.poll(() => amount.inputValue()).toBe(before);
    }
    await page.locator(".question input").fill("how much lime for sour range");
    await page.locator(".question button[type=submit]").tap();
    await page.locator(".dose-rows").waitFor();
    const arms = () =>
      page
        .locator("input[type=range]:visible")
        .evaluateAll((all) =>
          all
            .filter((arm) => getComputedStyle(arm).pointerEvents !== "none")
            .map((arm) => arm.getBoundingClientRect().height),
        );
    // The opened line's and the dose's.
    await expect.poll(async () => (await arms()).length).toBe(2);
    expect(Math.min(...(await arms()))).toBeGreaterThanOrEqual(TARGET_PX);
    await context.close();
  }
});

test("a finger drags the drink's own mark to a wish, and what is under it stays under it", async () => {
  const { page, context } = await visit(site, "/", PHONE);
  await page.locator("#map").scrollIntoViewIfNeeded();
  await page.waitForLoadState("networkidle");
  const mark = page.locator("#map .m-mark.is-hand");
  await mark.waitFor();
  await mark.evaluate((node) => node.scrollIntoView({ block: "center" }));
  const box = (await mark.locator(".shape").first().boundingBox())!;
  const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  const touch = await fingerOf(page);
  const place = async () => {
    const map = (await page.locator("#map .map-host").boundingBox())!;
    return { map: Math.round(map.y), scroll: await page.evaluate(() => Math.round(scrollY)) };
  };
  const still = await place();
  await touch("touchStart", from);
  for (let i = 1; i <= 6; i += 1) {
    await touch("touchMove", { x: from.x + 8 * i, y: from.y - 10 * i });
    expect(await place()).toEqual(still);
  }
  // The whole way, not only until the page would have scrolled.
  const gap = async () => {
    const wish = (await page.locator("#map .wish-mark").boundingBox())!;
    return Math.hypot(wish.x + wish.width / 2 - from.x - 48, wish.y + wish.height / 2 - from.y + 60);
  };
  await expect.poll(gap).toBeLessThan(2);
  expect(await place()).toEqual(still);
  await touch("touchEnd");
  await page.locator("#wish").getByRole("button", { name: "Forget it" }).waitFor();
  await page.waitForFunction(() =>
    /→/.test(document.querySelector("#wish [role=status]")?.textContent ?? ""),
  );
  expect(await place()).toEqual(still);
  // What to pour stands beneath the map that the finger is on.
  const card = (await page.locator("#wish").boundingBox())!;
  const map = (await page.locator("#map .map-host").boundingBox())!;
  expect(card.y - (map.y + map.height)).toBeLessThan(20);
  expect(card.y).toBeGreaterThanOrEqual(map.y + map.height);
  await context.close();
});

test("asked how much, a phone shows the dose strip without a scroll between question and answer", async () => {
  const { page, context } = await visit(site, "/", PHONE);
  await page.locator(".question input").fill("how much lime for sour range");
  await page.locator(".question button[type=submit]").tap();
  await page.locator(".dose-rows").waitFor();
  const asked = (await page.locator(".question-row").boundingBox())!;
  const strip = (await page.locator(".dose-rows").boundingBox())!;
  // Head and foot of the page stay in sight and take about 180 px of it.
  expect(strip.y + strip.height - asked.y).toBeLessThan(844 - 180);
  await context.close();
});

test("a pasted spec's verdict stands below the bar, whole", async () => {
  const { page, context } = await visit(site, "/", PHONE);
  await page.getByRole("button", { name: "Paste your own spec" }).click();
  await page.locator("#paste-text").fill("2 oz bourbon\n3/4 oz lemon juice\n3/4 oz simple syrup\nShake");
  await page.locator(".paste-lines li").nth(2).waitFor();
  await page.getByRole("button", { name: "Use these lines" }).click();
  await page.waitForFunction(() => document.querySelector("#verdict")!.getBoundingClientRect().top < 300);
  const [bar, headline] = await page.evaluate(() =>
    [".top", "#headline"].map((part) => document.querySelector(part)!.getBoundingClientRect()),
  );
  expect(headline!.top).toBeGreaterThanOrEqual(bar!.bottom);
  await context.close();
});
