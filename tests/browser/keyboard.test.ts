import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { scan } from "./axe.ts";
import { openSite, reading, type Site, visit } from "./open-page.ts";

// Hands that never leave the keyboard: few stops, and a way for everything a pointer drags.

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const desk = { width: 1440, height: 900 };
/** Stops asked of a drink of four lines: fewer than these. */
const STOPS = 60;

/** The bench with all its parts there: a walk that overtakes the map and the rounds on their way counts too few. */
async function enter(path = "/") {
  const visited = await visit(site, path, desk);
  await visited.page.locator(".m-mark.is-hand").waitFor();
  await visited.page.locator(".rounds").first().waitFor();
  await visited.page.waitForLoadState("networkidle");
  return visited;
}

/** What has the focus, by its name; empty where nothing has. */
const held = (page: Page) =>
  page.evaluate(() => {
    const at = document.activeElement;
    if (!at || at === document.body) return "";
    const label = at.closest("label") ?? document.querySelector(`label[for="${at.id}"]`);
    return (
      (at.getAttribute("aria-label") ?? label?.textContent ?? at.textContent ?? "").trim() || `#${at.id}`
    );
  });

/** Each stop of the Tab key from the first of the page until it leaves it. */
async function walk(page: Page): Promise<string[]> {
  await page.locator("a.skip").first().focus();
  const seen = [await held(page)];
  while (seen.length < 2 * STOPS) {
    await page.keyboard.press("Tab");
    const at = await held(page);
    if (at === "") break;
    seen.push(at);
  }
  return seen;
}

/** Press Tab until it comes to what is called so. */
async function tabTo(page: Page, name: RegExp): Promise<void> {
  for (let i = 0; i < 2 * STOPS; i += 1) {
    if (name.test(await held(page))) return;
    await page.keyboard.press("Tab");
  }
  throw new Error(`Tab never comes to ${name}.`);
}

describe("the stops of a drink of four lines", () => {
  test("are fewer than 60, the jumps first, also when it has been changed", async () => {
    const { page, context } = await enter();
    const seen = await walk(page);
    expect(seen[0]).toBe("Skip to the spec");
    expect(seen.slice(0, 4).every((name) => name.startsWith("Skip to"))).toBe(true);
    for (const needed of [
      /^Bring it into range/,
      /^Amount of Lime/,
      /^All$/,
      /^Round 6[^,]/,
      /^Ask in/,
      /^API/,
    ])
      expect(
        seen.filter((name) => needed.test(name)),
        String(needed),
      ).toHaveLength(1);
    expect(seen.length).toBeLessThan(STOPS);
    await page.getByLabel("Amount of Lime juice, fresh").press("ArrowUp");
    await page.getByRole("button", { name: "Undo" }).and(page.locator(":enabled")).waitFor();
    const changed = await walk(page);
    expect(changed).toContain("Undo");
    expect(changed.length).toBeLessThan(STOPS);
    await context.close();
  }, 120_000);

  test("from a jump, Tab goes on inside the part it jumped to", async () => {
    const { page, context } = await enter();
    for (const [jump, part] of [
      ["Skip to the spec", "#spec"],
      ["Skip to what to change", "#answers"],
      ["Skip to the map", "#map"],
      ["Skip to the rounds", "#rounds"],
    ] as const) {
      await page.getByRole("link", { name: jump }).focus();
      await page.keyboard.press("Enter");
      await page.waitForFunction((to) => document.activeElement?.matches(to), part);
      await page.keyboard.press("Tab");
      expect(await page.evaluate((to) => document.activeElement?.closest(to) !== null, part), jump).toBe(
        true,
      );
    }
    await context.close();
  });
});

describe("several controls in one stop", () => {
  test("the map's bar: arrows, Home and End go along it, its menu opens and gives the focus back", async () => {
    const { page, context, troubles } = await enter();
    await page.locator("a.skip").first().focus();
    await tabTo(page, /^All$/);
    const along: string[] = [];
    for (const key of ["ArrowRight", "ArrowRight", "ArrowRight", "ArrowRight", "ArrowRight", "ArrowRight"]) {
      await page.keyboard.press(key);
      along.push(await held(page));
    }
    expect(along).toEqual(["The drink", "The range", "Zoom out", "Zoom in", "Save the picture", "All"]);
    await page.keyboard.press("ArrowLeft");
    expect(await held(page)).toBe("Save the picture");
    await page.keyboard.press("Enter");
    await page.keyboard.press("Tab");
    expect(await held(page)).toMatch(/^A drawing to hang/);
    await page.keyboard.press("Escape");
    expect(await held(page)).toBe("Save the picture");
    await page.keyboard.press("Home");
    await page.keyboard.press("End");
    await page.keyboard.press("ArrowLeft");
    const zoomed = () => page.locator("#map .layer-marks, #map .plot").first().innerHTML();
    const before = await zoomed();
    await page.keyboard.press("Enter");
    await expect.poll(zoomed).not.toBe(before);
    // The stop is where one left it.
    await page.keyboard.press("Tab");
    await page.keyboard.press("Shift+Tab");
    expect(await held(page)).toBe("Zoom in");
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("the unit is chosen by the arrows", async () => {
    const { page, context } = await enter();
    const amount = page.getByLabel("Amount of Lime juice, fresh");
    expect(await amount.inputValue()).toMatch(/oz$/);
    await page.locator("a.skip").first().focus();
    await tabTo(page, /^oz$/);
    await page.keyboard.press("ArrowRight");
    expect(await held(page)).toBe("mL");
    await expect.poll(() => amount.inputValue()).toMatch(/mL$/);
    await context.close();
  });

  test("a round opens to be read; its next stop puts it on the bench", async () => {
    const { page, context, troubles } = await enter();
    await page.getByLabel("Amount of Lime juice, fresh").press("ArrowUp");
    await page.locator("#rounds").focus();
    await tabTo(page, /^Round 5/);
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Open round 5" }).waitFor();
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    // What was changed is asked about in the next stops, not elsewhere on the page.
    await page.getByRole("button", { name: "Stay here" }).waitFor();
    await page.keyboard.press("Tab");
    expect(await held(page)).toBe("Keep it, then open round 5");
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    await expect.poll(() => page.locator(".edited").textContent()).toMatch(/round 5, as kept/);
    expect(troubles).toEqual([]);
    await context.close();
  });
});

describe("what a pointer drags, keys move:", () => {
  test("an amount on its arm, by rungs and by leaps, down to nothing", async () => {
    const { page, context } = await enter();
    const amount = page.getByRole("spinbutton", { name: "Amount of Lime juice, fresh" });
    const ml = async () => Number(await amount.getAttribute("aria-valuenow"));
    const start = await ml();
    await amount.focus();
    const reach = async (key: string) => {
      const was = await ml();
      await page.keyboard.press(key);
      await expect.poll(ml).not.toBe(was);
      return (await ml()) - was;
    };
    const rung = await reach("ArrowUp");
    expect(rung).toBeGreaterThan(0);
    expect(await reach("PageUp")).toBeCloseTo(4 * rung, 2);
    expect(await reach("PageDown")).toBeCloseTo(-4 * rung, 2);
    expect(await reach("ArrowDown")).toBeCloseTo(-rung, 2);
    expect(await ml()).toBeCloseTo(start, 2);
    // The arm itself, which a screen reader comes to, answers the same keys.
    const arm = page.getByRole("slider", { name: /^Lime juice, fresh/ });
    await arm.focus();
    expect(await reach("ArrowRight")).toBeCloseTo(rung, 2);
    await page.keyboard.press("Home");
    await expect.poll(ml).toBe(0);
    await context.close();
  });

  test("the drink's mark and the weights on all three arms to a wish, then to the bench", async () => {
    const { page, context, troubles } = await enter();
    const before = await reading(page);
    await page.locator("#map").focus();
    await tabTo(page, /on the bench$/);
    const wish = page.locator("#wish h3");
    const axes = async () =>
      ((await wish.textContent()) ?? "").match(/\d+(\.\d+)?/g)!.map((figure) => Number(figure));
    await page.keyboard.press("Shift+PageUp");
    await wish.waitFor();
    const step = (await axes())[2]! - before.abv;
    let at = await axes();
    for (const [key, axis, sign] of [
      ["ArrowRight", 0, 1],
      ["ArrowLeft", 0, -1],
      ["ArrowUp", 1, 1],
      ["ArrowDown", 1, -1],
      ["PageUp", 2, 1],
      ["PageDown", 2, -1],
    ] as const) {
      await page.keyboard.press(`Shift+${key}`);
      await expect
        .poll(async () => Math.sign((await axes())[axis]! - at[axis]!), { message: key })
        .toBe(sign);
      const now = await axes();
      for (const other of [0, 1, 2]) if (other !== axis) expect(now[other], key).toBe(at[other]);
      at = now;
    }
    // Keys that come faster than pictures are all counted.
    await page.locator("#map .m-mark:focus").evaluate((mark) => {
      for (const key of ["PageUp", "PageUp", "PageUp", "PageDown"])
        mark.dispatchEvent(new KeyboardEvent("keydown", { key, shiftKey: true, bubbles: true }));
    });
    await expect.poll(async () => (await axes())[2]! - at[2]!).toBeGreaterThan(1.5 * step);
    const put = page.locator("#wish").getByRole("button", { name: "Put it on the bench" });
    await put.and(page.locator(":enabled")).waitFor();
    expect(await scan(page)).toEqual([]);
    await tabTo(page, /^Put it on the bench/);
    await page.keyboard.press("Enter");
    await expect.poll(() => reading(page)).not.toEqual(before);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("the window of the map: nearer, farther, and along with the mark that is chosen", async () => {
    const { page, context } = await enter();
    await page.locator("#map").focus();
    await tabTo(page, /on the bench$/);
    const ticks = () => page.locator("#map .arm-number").allTextContents();
    const first = await ticks();
    await page.keyboard.press("0");
    await expect.poll(ticks).not.toEqual(first);
    const all = await ticks();
    await page.keyboard.press("+");
    await page.keyboard.press("+");
    await page.keyboard.press("+");
    await expect.poll(ticks).not.toEqual(all);
    const near = await ticks();
    // Among the classics, to the end of them: the window goes along.
    await page.keyboard.press("PageDown");
    await page.keyboard.press("End");
    await expect.poll(ticks).not.toEqual(near);
    await page.keyboard.press("0");
    await expect.poll(ticks).toEqual(all);
    await context.close();
  });
});
