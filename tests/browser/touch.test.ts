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
      // A slider's arm is thin; the row's own less and more, 44 px each, do the same.
      if (!control.checkVisibility() || control.closest(".visually-hidden, .skip, .poise, svg")) return [];
      const held = control.closest("label") ?? control;
      const box = held.getBoundingClientRect();
      if (box.height >= least - 0.5 && box.width >= least - 0.5) return [];
      const said = control.getAttribute("aria-label") ?? control.textContent ?? "";
      return [
        `${control.tagName.toLowerCase()}.${control.className}#${control.id} “${said.trim().slice(0, 30)}” ${box.width.toFixed(0)} × ${box.height.toFixed(0)}`,
      ];
    });
  }, TARGET_PX);

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

test("a finger drags the drink's own mark to a wish", async () => {
  const { page, context } = await visit(site, "/", PHONE);
  await page.locator("#map").scrollIntoViewIfNeeded();
  await page.waitForLoadState("networkidle");
  const mark = page.locator("#map .m-mark.is-hand");
  await mark.waitFor();
  await mark.evaluate((node) => node.scrollIntoView({ block: "center" }));
  const box = (await mark.locator(".shape").first().boundingBox())!;
  const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  const finger = await context.newCDPSession(page);
  const touch = (type: "touchStart" | "touchMove" | "touchEnd", at?: { x: number; y: number }) =>
    finger.send("Input.dispatchTouchEvent", { type, touchPoints: at ? [at] : [] });
  await touch("touchStart", from);
  for (let i = 1; i <= 6; i += 1) await touch("touchMove", { x: from.x + 8 * i, y: from.y - 10 * i });
  await touch("touchEnd");
  await page.locator("#wish").waitFor();
  await page.locator("#map .wish-mark").waitFor();
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
