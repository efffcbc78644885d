import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { MOST } from "../../engine/limits.ts";
import { enterRoom, fetchedAll, openSite, reading, type Site, visit } from "./open-page.ts";

// What must hold when things go wrong: two tabs, no storage, no network, no colours, nothing poured, too much of it.

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const DULL =
  "/#v=1&n=Dull&m=shaken&g=coupe&l=rum-aged:2oz&l=juice-lime:0.25oz&l=syrup-simple-1-1:1oz&t=family:sour:0.9&u=oz&k=us-jigger";
const line = (page: Page, id: string) => page.locator(`li.line[data-ingredient="${id}"]`);
const more = (page: Page, id: string) => line(page, id).getByRole("button", { name: /^More/ });
const keep = async (page: Page, name: string) => {
  await page.getByLabel(/^Name for round/).fill(name);
  await page.locator("#save-round").click();
  await page.waitForFunction(
    (label) => document.querySelector("li.round")?.textContent?.includes(label),
    name,
  );
};

/** What is in sight and only there to be pressed. */
const pressable = (page: Page) =>
  page
    .locator("button:visible:not(.line-name, .card-title, th button), nav:visible, input[type=file]:visible")
    .evaluateAll((all) => all.map((x) => x.outerHTML.slice(0, 90)));

/** Bytes a first visit brings before the page is at rest. */
async function firstLoad(width: number, height: number): Promise<number> {
  const context = await site.browser.newContext({ viewport: { width, height } });
  const page = await context.newPage();
  const sizes: Promise<number>[] = [];
  // What is fetched ahead once the page is at rest is not waited for by anybody: those long timers never ring here.
  await page.addInitScript(() => {
    const set = window.setTimeout;
    window.setTimeout = ((act: () => void, ms = 0) => (ms >= 2000 ? 0 : set(act, ms))) as typeof setTimeout;
  });
  page.on("requestfinished", (request) => {
    sizes.push(request.sizes().then((size) => size.responseBodySize));
  });
  await page.goto(site.origin);
  await page.locator("#headline").waitFor();
  await page.waitForLoadState("networkidle");
  const all = await Promise.all(sizes);
  await context.close();
  return all.reduce((sum, size) => sum + size, 0);
}

describe("the page holds", () => {
  test("a first load of 150 kB on a phone, data and typeface included, and little more with the map in sight", async () => {
    expect(await firstLoad(390, 844)).toBeLessThanOrEqual(150_000);
    expect(await firstLoad(1440, 900)).toBeLessThanOrEqual(180_000);
  });

  test("two tabs lose no round: what each kept is in both, and after a reload", async () => {
    const { page: one, context, troubles } = await visit(site);
    const two = await context.newPage();
    await two.goto(site.origin);
    await two.locator("li.line").first().waitFor();
    await more(one, "juice-lime").click();
    await keep(one, "From tab one");
    // Reaching a button may scroll the map out of sight, where it is not drawn.
    await two.locator("#map").scrollIntoViewIfNeeded();
    await two.waitForFunction(() => document.querySelectorAll("#map .m-mark-round").length === 7);
    await more(two, "maple").click();
    await keep(two, "From tab two");
    await one.locator("#map").scrollIntoViewIfNeeded();
    await one.waitForFunction(() => document.querySelectorAll("#map .m-mark-round").length === 8);
    await one.reload();
    await one.locator("li.round").first().waitFor();
    const text = (await one.locator("#rounds").textContent()) ?? "";
    expect(text).toContain("From tab one");
    expect(text).toContain("From tab two");
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("no storage: the bench works, and says that nothing is kept", async () => {
    const context = await site.browser.newContext({ reducedMotion: "reduce" });
    await context.addInitScript(() => {
      Object.defineProperty(window, "localStorage", {
        get() {
          throw new DOMException("no", "SecurityError");
        },
      });
    });
    const page = await context.newPage();
    await page.goto(`${site.origin}${DULL}`);
    await page.locator("li.line").first().waitFor();
    expect(await page.locator(".notice").textContent()).toContain("keeps nothing");
    const before = await reading(page);
    await more(page, "juice-lime").click();
    expect((await reading(page)).acid).toBeGreaterThan(before.acid);
    await context.close();
  });

  test("no network after the page is at rest: the first question is answered all the same", async () => {
    const { page, context, troubles } = await visit(site, DULL, { width: 390, height: 844 });
    await fetchedAll(page);
    await context.setOffline(true);
    await page.locator("#ask-button").click();
    await page.locator("#answers .card").first().waitFor();
    // What folds hide is there as well, and on a phone the map, which was out of sight.
    await page.locator(".line-name").first().click();
    await page.locator(".line-more").waitFor();
    await page.locator("#map").scrollIntoViewIfNeeded();
    await page.locator("#map .m-mark").first().waitFor();
    expect(troubles.filter((trouble) => /uncaught/.test(trouble))).toEqual([]);
    await context.close();
  });

  test("no network: a room that was never opened says so, and comes when it can", async () => {
    const { page, context, troubles } = await visit(site, DULL, { width: 390, height: 844 });
    await page.waitForLoadState("networkidle");
    await context.setOffline(true);
    await page.getByRole("link", { name: "Lessons" }).click();
    await page.getByText("cannot be fetched").waitFor();
    await page.getByRole("link", { name: "Bench", exact: true }).click();
    await page.locator("#headline").waitFor();
    await page.getByRole("link", { name: "Lessons" }).click();
    await page.getByText("cannot be fetched").waitFor();
    await context.setOffline(false);
    await page.getByRole("button", { name: "Try again" }).click();
    await page
      .getByRole("heading", { name: /lessons/i })
      .first()
      .waitFor();
    expect(troubles.filter((trouble) => /uncaught/.test(trouble))).toEqual([]);
    await context.close();
  });

  test("forced colours: the arms of the lines are still there to take", async () => {
    const { page, context } = await visit(site, DULL);
    await page.emulateMedia({ forcedColors: "active" });
    const look = await line(page, "juice-lime")
      .locator(".poise")
      .evaluate((slider) => [getComputedStyle(slider).appearance, getComputedStyle(slider).height]);
    expect(look[0]).toBe("auto");
    expect(Number.parseFloat(look[1]!)).toBeGreaterThan(10);
    await context.close();
  });

  test("nothing moves while it loads", async () => {
    for (const [width, height] of [
      [1440, 900],
      [390, 844],
    ] as const) {
      const { page, context } = await visit(site, "/", { width, height });
      await page.waitForLoadState("networkidle");
      await page.waitForFunction(() => document.querySelectorAll("li.round").length > 0);
      const shift = await page.evaluate(
        () =>
          new Promise<number>((resolve) => {
            let sum = 0;
            new PerformanceObserver((list) => {
              for (const entry of list.getEntries() as (PerformanceEntry & { value: number })[])
                sum += entry.value;
            }).observe({ type: "layout-shift", buffered: true });
            // What was buffered is delivered in a task of its own, before the frames after it.
            requestAnimationFrame(() => requestAnimationFrame(() => resolve(sum)));
          }),
      );
      expect(shift, `at ${width}`).toBeLessThan(0.05);
      await context.close();
    }
  });

  test("of a desk's first screen the whole spec is in sight, and an amount changed moves nothing above it", async () => {
    for (const [width, height] of [
      [1440, 900],
      [1920, 1080],
    ] as const) {
      const { page, context } = await visit(site, "/", { width, height });
      await page.waitForLoadState("networkidle");
      const tops = () =>
        page
          .locator("li.line")
          .evaluateAll((all) => all.map((one) => one.getBoundingClientRect().top + scrollY));
      const first = await tops();
      expect(first).toHaveLength(4);
      const last = (await page.locator("li.line").last().boundingBox())!;
      expect(last.y + last.height, `at ${width}`).toBeLessThanOrEqual(height);
      // Out of range, into it and out at the other end: other words, the same place under the pointer.
      const said = new Set<string>();
      for (let i = 0; i < 6; i += 1) {
        const was = await page.locator("#value-acid").textContent();
        await more(page, "juice-lime").click();
        await expect.poll(() => page.locator("#value-acid").textContent()).not.toBe(was);
        said.add((await page.locator("#headline").textContent()) ?? "");
        expect(await tops()).toEqual(first);
      }
      expect(said.size).toBeGreaterThan(2);
      await page.locator(".chance", { hasText: /\d/ }).waitFor();
      expect(await tops()).toEqual(first);
      await context.close();
    }
  });

  test("an empty spec reads as nothing: no weight hangs, no chance is told, a paste is the next step", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    for (let left = 3; left > 0; left -= 1) {
      await page.locator("li.line .line-name").first().click();
      await page
        .getByRole("button", { name: /^Remove/ })
        .first()
        .click();
      await page.waitForFunction((n) => document.querySelectorAll("li.line").length === n, left - 1);
    }
    await page.locator("#headline", { hasText: "Nothing to place yet." }).waitFor();
    await page.locator("#map .weight").first().waitFor({ state: "detached" });
    expect(await page.locator(".chance").count()).toBe(0);
    expect(await page.locator("#verdict .arm-poise").count()).toBe(0);
    expect(await page.locator("#map .weight").count()).toBe(0);
    expect(await page.getByRole("button", { name: "Paste a spec" }).count()).toBe(1);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("thirty ingredients and a very long name: nothing scrolls sideways, nothing is lost", async () => {
    const { ingredients } = (await (await fetch(`${site.origin}/v1/pantry`)).json()) as {
      ingredients: { id: string; role: string }[];
    };
    const poured = ingredients.filter(({ role }) =>
      ["spirit", "liqueur", "sour-juice", "syrup"].includes(role),
    );
    const ids = poured.slice(0, 30).map(({ id }) => id);
    const lines = ids.map((id, i) => `l=${id}:${1 + (i % 3)}oz`).join("&");
    const name = "A-very-long-name-without-a-break-".repeat(3);
    const { page, context, troubles } = await visit(
      site,
      `/#v=1&n=${name}&m=shaken&${lines}&t=family:sour:0.9`,
      {
        width: 390,
        height: 844,
      },
    );
    expect(new Set(ids).size).toBe(30);
    expect(await page.locator("li.line").count()).toBe(30);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a paste with more lines than a round keeps is said to be, and is not taken", async () => {
    const { page, context, troubles } = await visit(site);
    await page.getByRole("button", { name: "Paste your own spec" }).click();
    const pours = (n: number) => Array.from({ length: n }, () => "1/4 oz gin").join("\n");
    await page.locator("#paste-text").fill(pours(MOST.lines + 1));
    const foot = page.locator(".dialog-foot > p");
    await foot.getByText(`A round keeps ${MOST.lines}`).waitFor();
    expect(await page.getByRole("button", { name: "Use these lines" }).isDisabled()).toBe(true);
    await page.locator("#paste-text").fill(pours(MOST.lines));
    await foot.getByText(/^\d+ ready\.$/).waitFor();
    expect(await page.getByRole("button", { name: "Use these lines" }).isDisabled()).toBe(false);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a full storage: the work goes on, and what to do is said", async () => {
    const context = await site.browser.newContext({ reducedMotion: "reduce" });
    await context.addInitScript(() => {
      Storage.prototype.setItem = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    const page = await context.newPage();
    await page.goto(`${site.origin}${DULL}`);
    await more(page, "juice-lime").click();
    await keep(page, "Nowhere to go");
    await page.waitForFunction(() =>
      /Save a file/.test(document.querySelector('.notice[data-tone="problem"]')?.textContent ?? ""),
    );
    expect(await page.locator("li.round").count()).toBe(2);
    await context.close();
  });

  test("on paper: verdict, spec, map and rounds on three sheets at most, and nothing to press", async () => {
    const { page, context } = await visit(site, "/");
    await page.locator("#map .m-mark.is-hand").waitFor();
    await page.emulateMedia({ media: "print" });
    for (const part of ["#headline", "li.line", "#map .map-picture", "li.round"])
      expect(await page.locator(part).first().isVisible(), part).toBe(true);
    expect(await pressable(page)).toEqual([]);
    const sheets = (await page.pdf({ format: "A4" })).toString("latin1").match(/\/Type\s*\/Page\b/g);
    expect(sheets?.length).toBeLessThanOrEqual(3);
    await context.close();
  });

  test("whatever the screen's colours, paper is white with dark words; a card is one sheet", async () => {
    for (const path of ["/", "/card", "/menu", "/present", "/preps/syrup", "/lessons/3"]) {
      const { page, context } = await enterRoom(site, path, { width: 1440, height: 900, scheme: "dark" });
      await page.evaluate(() => {
        document.documentElement.dataset.theme = "dark";
      });
      const words = () =>
        page.evaluate(() => getComputedStyle(document.body).color.match(/\d+/g)!.map(Number));
      expect(Math.min(...(await words()))).toBeGreaterThan(200);
      await page.emulateMedia({ media: "print" });
      expect(Math.max(...(await words())), path).toBeLessThan(60);
      expect(await pressable(page), path).toEqual([]);
      if (path === "/card") {
        const sheet = (await page.pdf({ format: "A4" })).toString("latin1");
        expect(sheet.match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
      }
      await context.close();
    }
  });

  test("a bench is doubled and deleted, and a deleted one comes back", async () => {
    const { page, context, troubles } = await visit(site, "/benches");
    const names = () => page.locator(".bench-list strong").allTextContents();
    const are = (n: number) =>
      page.waitForFunction((wanted) => document.querySelectorAll(".bench-list li").length === wanted, n);
    await page.getByRole("button", { name: "Duplicate Rooftop pineapple" }).click();
    await page.locator("li.line").first().waitFor();
    await page.getByRole("link", { name: "Benches", exact: true }).click();
    await are(2);
    expect(new Set(await names()).size).toBe(2);
    await page.getByRole("button", { name: "Delete Rooftop pineapple", exact: true }).click();
    await are(1);
    await page.reload();
    await page.locator(".bench-list li").first().waitFor();
    expect(await names()).not.toContain("Rooftop pineapple");
    await page.getByRole("button", { name: /^Delete/ }).click();
    await page.locator(".notice").getByRole("button", { name: "Undo" }).click();
    await are(1);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("at twice the size, and at 320 px, nothing scrolls sideways", async () => {
    for (const [width, height] of [
      [720, 450],
      [320, 640],
    ] as const) {
      const { page, context } = await visit(site, "/", { width, height });
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      await context.close();
    }
  });
});

describe("what is said is true of what it stands beside", () => {
  test("a weight hangs inside its band just where the note beside it says so", async () => {
    for (const path of ["/", DULL]) {
      const { page, context } = await visit(site, path);
      const gauges = await page.locator("#verdict .gauge").evaluateAll((all) =>
        all.map((gauge) => {
          const number = (part: string, name: string) =>
            Number.parseFloat(gauge.querySelector(part)?.getAttribute(name) ?? "NaN");
          const [at, from] = [number(".arm-poise", "x"), number(".arm-band", "x")];
          return {
            state: gauge.getAttribute("data-state"),
            hangs: at < from ? "low" : at > from + number(".arm-band", "width") ? "high" : "ok",
          };
        }),
      );
      expect(gauges.some(({ state }) => state !== "ok")).toBe(true);
      for (const { state, hangs } of gauges) if (state !== "ok") expect(hangs).toBe(state);
      await context.close();
    }
  });

  test("ten ways to free it or one: every card's letter stands on the map", async () => {
    const { page, context } = await visit(site, DULL, { width: 1440, height: 900 });
    await page.locator("#ask-button").click();
    await page.locator("#answers .card .letter").first().waitFor();
    await page.locator("#map .m-mark-ghost").first().waitFor({ state: "attached" });
    const cards = await page.locator("#answers .card .letter").allTextContents();
    const marks = await page.locator("#map .m-mark-ghost").allTextContents();
    expect(cards.length).toBeGreaterThan(1);
    for (const letter of cards) expect(marks.map((text) => text.trim())).toContain(letter.trim());
    await context.close();
  });

  test("a spec pasted on one line, amounts last, misspelt, with its glass: nothing is guessed unsaid or lost", async () => {
    const { page, context, troubles } = await visit(site);
    await page.getByRole("button", { name: "Paste your own spec" }).click();
    const paste = async (text: string, lines: number) => {
      await page.locator("#paste-text").fill(text);
      await page.waitForFunction(
        (n) => document.querySelectorAll(".paste-lines > li:not(.instruction)").length === n,
        lines,
      );
      return page
        .locator(".paste-lines > li")
        .evaluateAll((rows) => rows.map((row) => ({ status: row.className, text: row.textContent ?? "" })));
    };
    const one = await paste("2 oz gin / 3/4 oz lemon juice / 1/2 oz simple syrup", 3);
    expect(one.map(({ status }) => status)).toEqual(["read", "read", "read"]);
    const odd = await paste(
      "dark rum 1.5 oz\npineapple .75 oz\n1/2 oz hony syrup 2:1\nstrain into a rocks glass",
      3,
    );
    // The base spirit never drops out quietly, and a misspelt syrup is read as what it says or asked about.
    expect(odd[0]!.status).not.toBe("instruction");
    expect(odd[2]!.text).toMatch(/honey/i);
    expect(odd[2]!.text).not.toMatch(/read: .*simple syrup/i);
    for (const select of await page.locator(".paste-lines .choose select").all())
      await select.selectOption({ index: 1 });
    await page.getByRole("button", { name: "Use these lines" }).click();
    await page.waitForFunction(() => document.querySelectorAll("li.line").length === 3);
    expect(await page.getByLabel("Glass", { exact: true }).inputValue()).toMatch(/rocks/);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a plain question's card is judged by the range that is chosen, not by the question's own", async () => {
    const { page, context } = await visit(
      site,
      "/#v=1&n=Weak&m=shaken&l=rum-aged:1oz&l=juice-lime:0.375oz&l=syrup-simple-1-1:1oz&t=family:sour:0.9&u=oz&k=us-jigger",
    );
    await page.getByLabel("Ask in your words").fill("what would make this drier");
    await page.getByLabel("Ask in your words").press("Enter");
    const card = page.locator(".reply .card").first();
    await card.waitFor();
    const inside = await card.locator(".card-verdict").getAttribute("data-inside");
    const said = (await card.locator(".card-chance").textContent()) ?? "";
    const chance = said.startsWith("under") ? 0 : Number.parseInt(said.replace("over ", ""), 10);
    expect(inside).toBe("false");
    expect(chance).toBeLessThan(60);
    await context.close();
  });

  test("every proposal tells how it fills the chosen glass, and none runs over unless that is let go", async () => {
    const { page, context } = await visit(site, DULL);
    await page.locator("#ask-button").click();
    const facts = page.locator("#answers .card .card-facts");
    await facts.first().waitFor();
    for (const text of await facts.allTextContents()) {
      expect(text).toMatch(/coupe: /);
      expect(text).not.toContain("overflows");
      expect(text).toMatch(/standard drinks/);
    }
    await context.close();
  });

  test("a notice goes when what it speaks of has changed, and a saved round is not saved again unasked", async () => {
    const { page, context } = await visit(site, DULL);
    await more(page, "juice-lime").click();
    await page.locator("#save-round").click();
    await page.locator(".notice").waitFor();
    expect(await page.locator("#save-round").textContent()).toBe("Mix the same again");
    expect(await page.locator("#keep-round").count()).toBe(0);
    await more(page, "juice-lime").click();
    await page.locator(".notice").waitFor({ state: "detached" });
    await context.close();
  });

  test("a new bench has a name of its own and the menu closes over it; a new name of the drink is an edit", async () => {
    const { page, context } = await visit(site, DULL);
    const start = async () => {
      await page.locator(".bench-menu .menu-button").click();
      await page.getByRole("button", { name: "Start a blank bench" }).click();
      await page.locator(".bench-menu .menu-body").waitFor({ state: "detached" });
    };
    await start();
    expect(await page.locator(".bench-name").textContent()).toBe("New bench");
    await start();
    expect(await page.locator(".bench-name").textContent()).toBe("New bench 2");
    expect(await page.locator("li.line").count()).toBe(0);
    await page.goBack();
    await page.goBack();
    await page.waitForFunction(() => document.querySelectorAll("li.line").length === 3);
    await page.locator("#drink-name").fill("Bright");
    await page.locator("#drink-name").press("Enter");
    await page.waitForFunction(() =>
      /edited since/.test(document.querySelector(".edited")?.textContent ?? ""),
    );
    await context.close();
  });
});

test("on a phone every control that is in sight is at least 44 px to the touch", async () => {
  const context = await site.browser.newContext({
    viewport: { width: 390, height: 844 },
    hasTouch: true,
    isMobile: true,
    reducedMotion: "reduce",
  });
  const page = await context.newPage();
  await page.goto(`${site.origin}${DULL}`);
  await page.locator("li.line").first().waitFor();
  const small = await page.evaluate(() =>
    [
      ...document.querySelectorAll(
        "button, input:not([type=range]):not([type=checkbox]):not([type=file]), select, summary, nav a",
      ),
    ]
      .filter((element) => (element as HTMLElement).offsetParent !== null)
      .map((element) => ({ box: element.getBoundingClientRect(), html: element.outerHTML.slice(0, 90) }))
      .filter(({ box }) => box.width > 2 && box.height < 43.5)
      .map(({ box, html }) => `${Math.round(box.height)} px: ${html}`),
  );
  expect(small).toEqual([]);
  await context.close();
});
