import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openSite, type Site, visit } from "./open-page.ts";

// What a teacher and a wall need: presenting that stays presenting, trails that are seen whole, a sheet that holds
// every drink. Names and drinks are invented for these tests.

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const drawn = (page: Page) => page.locator("#main .map-picture .m-mark, .present .m-mark").first().waitFor();

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}
const boxes = (page: Page, selector: string): Promise<Box[]> =>
  page.locator(selector).evaluateAll((all) =>
    all.map((element) => {
      const { x, y, width, height } = element.getBoundingClientRect();
      return { x, y, width, height };
    }),
  );

describe("presenting", () => {
  test("a blank bench and a classic are presented, not worked on; what is poured on the blank one counts", async () => {
    const { page, context, troubles } = await visit(site, "/present", { width: 1440, height: 900 });
    await drawn(page);
    await page.getByRole("button", { name: "Start blank" }).click();
    await page.getByText("Nothing to place yet.").waitFor();
    expect(new URL(page.url()).pathname).toMatch(/^\/present\//);
    for (const name of ["white rum", "lime juice"]) {
      await page.locator("#add-line").fill(name);
      await page.locator(".combobox [role=option]").first().click();
    }
    await page.locator(".pours li").nth(1).waitFor();
    await page.locator(".present .m-mark.is-hand").waitFor();
    expect(await page.locator(".present-figures").textContent()).toMatch(/^sugar .* · acid .* · alcohol /);
    await page.getByLabel("Start from a classic").selectOption({ index: 3 });
    await page.waitForFunction(() => document.querySelectorAll(".pours li").length > 2);
    expect(new URL(page.url()).pathname).toMatch(/^\/present\//);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a second drink's figures stand under the first's, and the controls stay on the first screen", async () => {
    const { page, context } = await visit(site, "/present", { width: 1440, height: 900 });
    await drawn(page);
    const second = page.getByLabel("A second drink on the map");
    await second.selectOption({ index: 4 });
    const name = await second.locator("option").nth(4).textContent();
    expect(await page.locator(".present-beside").textContent()).toMatch(
      new RegExp(`^${name}: sugar [\\d.]+ g/100 mL · acid [\\d.]+ g/100 mL · alcohol [\\d.]+ % vol$`),
    );
    const [figures] = await boxes(page, ".present-figures");
    const [beside] = await boxes(page, ".present-beside");
    const [bar] = await boxes(page, ".present-bar");
    expect(beside!.y).toBeGreaterThanOrEqual(figures!.y + figures!.height - 1);
    expect(bar!.y + bar!.height).toBeLessThanOrEqual(900);
    await context.close();
  });

  test("a class's trails are seen whole, and beneath the bench's own marks", async () => {
    const { page, context, troubles } = await visit(site, "/present", { width: 1440, height: 900 });
    await drawn(page);
    const line = (ingredient: string, amount: number) => ({ ingredient, amount, unit: "ml" });
    const rounds = [22, 60].map((syrup, i) => ({
      id: `x${i}`,
      number: i + 1,
      parent: i === 0 ? null : "x0",
      label: `try ${i + 1}`,
      spec: {
        name: "Theirs",
        method: "shaken",
        lines: [line("gin", 50), line("juice-lemon", 22), line("syrup-simple-1-1", syrup)],
      },
    }));
    const bench = { id: "five", name: "Table five", target: "", current: "x1", rounds };
    await page.setInputFiles("#class-files", {
      name: "five.json",
      mimeType: "application/json",
      buffer: Buffer.from(JSON.stringify(bench)),
    });
    await page.locator("circle.other").nth(1).waitFor();
    await expect
      .poll(async () => {
        const [plot] = await boxes(page, ".present .layer-paper");
        return (await boxes(page, "circle.other")).every(
          ({ x, width }) => x >= plot!.x && x + width <= plot!.x + plot!.width,
        );
      })
      .toBe(true);
    const under = await page.evaluate(() => {
      const own = document.querySelector(".present .m-mark")!;
      return [...document.querySelectorAll("circle.other")].every(
        (dot) => (dot.compareDocumentPosition(own) & Node.DOCUMENT_POSITION_FOLLOWING) > 0,
      );
    });
    expect(under).toBe(true);
    expect(troubles).toEqual([]);
    await context.close();
  });

  for (const [width, height] of [
    [390, 844],
    [844, 390],
    [820, 1180],
  ] as const) {
    test(`at ${width} × ${height} a pour is one row and the steps come before the pours`, async () => {
      const { page, context } = await visit(site, "/present", { width, height, touch: true });
      await drawn(page);
      for (const { height: high } of await boxes(page, ".pours li")) expect(high).toBeLessThanOrEqual(46);
      const [bar] = await boxes(page, ".present-bar");
      const [pours] = await boxes(page, ".pours");
      expect(pours!.y).toBeGreaterThanOrEqual(bar!.y + bar!.height);
      await context.close();
    });
  }
});

describe("a lesson", () => {
  test.each([
    [390, 844],
    [1440, 900],
  ])(
    "at %i × %i tells its answer in sight of the hand, and moves nothing under it",
    async (width, height) => {
      const { page, context, troubles } = await visit(site, "/lessons/1", { width, height });
      const method = page.getByLabel("Method");
      await method.waitFor();
      await method.evaluate((select) => select.scrollIntoView({ block: "center" }));
      const [before] = await boxes(page, "#verdict");
      await method.selectOption({ label: "Shaken" });
      await page.getByText("Answered.").waitFor();
      const [told] = await boxes(page, ".lesson-told");
      expect(told!.y).toBeGreaterThan(height / 2);
      expect(told!.y + told!.height).toBeLessThanOrEqual(height);
      const [after] = await boxes(page, "#verdict");
      expect(after!.y).toBe(before!.y);
      await page.getByRole("link", { name: /^Next: / }).focus();
      await page.keyboard.press("Enter");
      await page.waitForURL(/lessons\/2$/);
      expect(troubles).toEqual([]);
      await context.close();
    },
  );
});

describe("a picture to hang", () => {
  const NAME = "Invented sour whose whole story is told in its name and never ends".repeat(2).slice(0, 120);
  const LONE = "Unbrokenname".repeat(10);
  test.each([
    ["thirty ingredients and a name of 120 letters", 30, NAME],
    ["a name of 120 letters without a break", 3, LONE],
  ])("holds %s: no word leaves the sheet or lies on another", async (_, count, name) => {
    const { ingredients } = (await (await fetch(`${site.origin}/v1/pantry`)).json()) as {
      ingredients: { id: string; role: string }[];
    };
    const lines = ingredients
      .filter(({ role }) => ["spirit", "liqueur", "syrup"].includes(role))
      .slice(0, count)
      .map(({ id }, i) => `l=${id}:${i % 2 ? "1tsp" : "0.75oz"}`)
      .join("&");
    const path = `/#v=1&n=${encodeURIComponent(name)}&m=shaken&${lines}&t=family:sour:0.9&u=oz`;
    const { page, context } = await visit(site, path, { width: 1440, height: 900 });
    await page.getByRole("button", { name: "Save the picture" }).click();
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: /SVG/ }).click(),
    ]);
    const chunks: Buffer[] = [];
    for await (const chunk of await download.createReadStream()) chunks.push(chunk as Buffer);
    // As a file is opened: away from the site and its rules of what may be loaded.
    const opened = await context.newPage();
    await opened.setContent(
      Buffer.concat(chunks)
        .toString("utf8")
        .replace(/^<\?xml.*\n/, ""),
    );
    await opened.evaluate(() => document.fonts.ready);
    const faults = await opened.evaluate(() => {
      const sheet = document.querySelector("svg")!;
      const edge = sheet.getBoundingClientRect();
      const words = [...sheet.querySelectorAll(":scope > text, :scope > g > text")].map((text) => ({
        said: text.textContent ?? "",
        box: text.getBoundingClientRect(),
      }));
      const out = words.filter(
        ({ box }) =>
          box.left < edge.left || box.right > edge.right || box.top < edge.top || box.bottom > edge.bottom,
      );
      // Half a line's room above and below a letter belongs to its box and may be shared.
      const onOne = words.flatMap((a, i) =>
        words.slice(i + 1).flatMap((b) => {
          const wide = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
          const high = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
          return wide > 0 && high > 0.4 * Math.min(a.box.height, b.box.height)
            ? [`${a.said} on ${b.said}`]
            : [];
        }),
      );
      return { many: words.length, faults: [...out.map(({ said }) => said), ...onOne] };
    });
    expect(faults.many).toBeGreaterThan(2 * count);
    expect(faults.faults).toEqual([]);
    await context.close();
  });
});
