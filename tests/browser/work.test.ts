import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { fetchedAll, openSite, type Site, visit } from "./open-page.ts";

// How much is made anew for one step of the hand, counted rather than timed: what a step does not touch stays as it is.

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const DESK = { width: 1440, height: 900 };
const LIME = 'li.line[data-ingredient="juice-lime"]';

interface Watched {
  changes: { part: string; type: string; nodes: number }[];
  watcher: MutationObserver;
}

interface Counted {
  /** How often an element was asked where it is. */
  looks: number;
  /** Of each job for the worker, whether a pantry went along. */
  pantries: boolean[];
}

/** Note every change of the document from now on, with the part of the page it is in. */
const watch = (page: Page) =>
  page.evaluate(() => {
    const noted = window as unknown as Watched;
    noted.changes = [];
    noted.watcher = new MutationObserver((records) => {
      for (const { type, target, addedNodes, removedNodes } of records) {
        const at = target instanceof Element ? target : target.parentElement;
        const layer = at?.closest(".map-picture g[class^=layer-]")?.getAttribute("class");
        const line = at?.closest<HTMLElement>("li.line")?.dataset.ingredient;
        const made = [...addedNodes, ...removedNodes].filter((node) => node instanceof Element);
        noted.changes.push({
          part: layer ?? line ?? at?.closest("select, section, header")?.id ?? "",
          type,
          nodes: made.length,
        });
      }
    });
    noted.watcher.observe(document.body, {
      subtree: true,
      childList: true,
      attributes: true,
      characterData: true,
    });
  });

/** What was noted since, once a step's own frame is painted, that of what rests on it, and the map's. */
const told = (page: Page) =>
  page.evaluate(async () => {
    for (let i = 0; i < 4; i += 1) {
      await new Promise((done) => requestAnimationFrame(done));
      await new Promise((done) => setTimeout(done));
    }
    return (window as unknown as Watched).changes;
  });

/** Drag the poise of the lime to a share of its arm. */
async function slideTo(page: Page, share: number): Promise<void> {
  const box = (await page.locator(`${LIME} input.poise`).boundingBox())!;
  await page.mouse.move(box.x + share * box.width, box.y + box.height / 2);
}

/** From now on the hand never rests, however slow the machine: what waits longer than a frame or two never comes. */
const keepMoving = (page: Page) =>
  page.evaluate(() => {
    const soon = window.setTimeout;
    window.setTimeout = ((act: TimerHandler, ms = 0, ...rest: unknown[]) =>
      ms < 100 ? soon(act, ms, ...rest) : 0) as typeof window.setTimeout;
  });

/** All that the opening puts off has come: the pantry's other names, and of them the drink's chance. */
async function settle(page: Page): Promise<void> {
  await fetchedAll(page);
  await page.locator("#verdict .chance", { hasText: "would be in range" }).waitFor();
}

async function takeHold(page: Page): Promise<void> {
  await settle(page);
  await keepMoving(page);
  await page.locator(LIME).scrollIntoViewIfNeeded();
  await slideTo(page, 0.3);
  await page.mouse.down();
  // The first step of a drag takes the drink off its round, which brings marks of its own.
  await slideTo(page, 0.25);
  await told(page);
}

test("a step of a drag makes no element anew, lays no classic again, and leaves the other lines alone", async () => {
  const { page, context } = await visit(site, "/", DESK);
  await takeHold(page);
  await watch(page);
  await slideTo(page, 0.2);
  const changes = await told(page);
  const parts = new Set(changes.map(({ part }) => part));
  expect(parts).toContain("layer-marks");
  expect(parts).toContain("layer-weights");
  expect(parts).toContain("verdict");
  expect(changes.flatMap(({ nodes, part }) => (nodes > 0 ? [part] : []))).toEqual([]);
  for (const still of ["layer-paper", "layer-classics", "layer-alcohol", "rounds", "beside"]) {
    expect(parts).not.toContain(still);
  }
  const lines = await page
    .locator("li.line")
    .evaluateAll((all) => all.map((line) => (line as HTMLElement).dataset.ingredient!));
  expect(lines.filter((id) => parts.has(id))).toEqual(["juice-lime"]);
  await page.mouse.up();
  await context.close();
});

test("a drag within one rung of the ladder changes nothing", async () => {
  const { page, context } = await visit(site, "/", DESK);
  await takeHold(page);
  const amount = await page.locator(`${LIME} input.amount`).inputValue();
  await watch(page);
  await slideTo(page, 0.252);
  expect(await told(page)).toEqual([]);
  expect(await page.locator(`${LIME} input.amount`).inputValue()).toBe(amount);
  await page.mouse.up();
  await context.close();
});

test("a wish that is dragged moves the wish alone, and the drink's marks stay", async () => {
  const { page, context } = await visit(site, "/", DESK);
  await settle(page);
  const mark = page.locator("#map .m-mark.is-hand .shape");
  const box = (await mark.boundingBox())!;
  const at = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await page.mouse.move(at.x, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x + 20, at.y - 20);
  await page.locator("#wish").waitFor();
  await watch(page);
  await page.evaluate(() => {
    const counted = window as unknown as Counted;
    counted.looks = 0;
    counted.pantries = [];
    const look = Element.prototype.getBoundingClientRect;
    Element.prototype.getBoundingClientRect = function () {
      counted.looks += 1;
      return look.call(this);
    };
    const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (this: Worker, job: { pantry?: unknown }) {
      counted.pantries.push(job.pantry instanceof Map);
      return post.call(this, job);
    } as typeof post;
  });
  for (let step = 0; step < 8; step += 1) await page.mouse.move(at.x + 22 + step, at.y - 22 - step);
  const parts = new Set((await told(page)).map(({ part }) => part));
  expect(parts).toContain("layer-wish");
  for (const still of ["layer-marks", "layer-names", "layer-region", "layer-classics", "verdict", "spec"]) {
    expect(parts).not.toContain(still);
  }
  // The plot is looked for when it is taken hold of, and the worker has its pantry from the first question.
  await page.waitForFunction(() => (window as unknown as Counted).pantries.length > 0);
  const { looks, pantries } = await page.evaluate(() => {
    const { looks, pantries } = window as unknown as Counted;
    return { looks, pantries };
  });
  expect(looks).toBe(0);
  expect(pantries).not.toContain(true);
  await page.mouse.up();
  await context.close();
});

test("out of sight the map is left alone, and has followed by the time it is looked at", async () => {
  const { page, context } = await visit(site, "/", { width: 390, height: 844, touch: true });
  await page.locator("#map").scrollIntoViewIfNeeded();
  const mark = page.locator("#map .m-mark.is-hand");
  await settle(page);
  const before = await mark.getAttribute("transform");
  expect(before).toBeTruthy();
  await page.locator(LIME).evaluate((line) => line.scrollIntoView({ block: "center" }));
  await page.evaluate(async () => {
    for (let i = 0; i < 4; i += 1) await new Promise((done) => requestAnimationFrame(done));
  });
  await watch(page);
  await page.locator(`${LIME} .square`).last().tap();
  const parts = (await told(page)).map(({ part }) => part);
  expect(parts).toContain("juice-lime");
  expect(parts).not.toContain("layer-marks");
  expect(parts).not.toContain("layer-weights");
  await page.locator("#map").scrollIntoViewIfNeeded();
  await page.waitForFunction(
    (was) => document.querySelector("#map .m-mark.is-hand")?.getAttribute("transform") !== was,
    before,
  );
  await context.close();
});

test("once the solver has come, the chance is worked out off the page's thread", async () => {
  const { page, context } = await visit(site, "/", DESK);
  await page.addInitScript(() => {
    const post = Worker.prototype.postMessage;
    const asked: string[] = [];
    (window as unknown as { asked: string[] }).asked = asked;
    Worker.prototype.postMessage = function (this: Worker, message: { name: string }) {
      asked.push(message.name);
      return post.call(this, message);
    } as typeof post;
  });
  await page.goto(`${site.origin}/`);
  await settle(page);
  const before = await page.locator("#verdict .chance").textContent();
  await page.evaluate(() => (window as unknown as { asked: string[] }).asked.splice(0));
  await page.locator(`${LIME} .square`).last().click();
  await page.waitForFunction((was) => {
    const now = document.querySelector("#verdict .chance")?.textContent ?? "";
    return now !== was && now.includes("would be in range");
  }, before);
  expect(await page.evaluate(() => (window as unknown as { asked: string[] }).asked)).toEqual(["chance"]);
  await context.close();
});

test("the mark is asked for once in a visit, though the address changes with the drink", async () => {
  const { page, context } = await visit(site, "/pantry", DESK);
  await page.waitForLoadState("networkidle");
  const asked: string[] = [];
  await context.route("**/mark.svg", (route) => {
    asked.push(route.request().resourceType());
    return route.continue();
  });
  await page.goto(`${site.origin}/`);
  await page.locator(`${LIME} .square`).last().click();
  await page.waitForFunction(() => location.hash.startsWith("#v="));
  await page.waitForLoadState("networkidle");
  expect(asked).toEqual(["image"]);
  await context.close();
});

test("the map follows in the frame that shows what is said of the drink", async () => {
  const { page, context } = await visit(site, "/", DESK);
  await settle(page);
  const late = await page.evaluate(async (lime) => {
    let frame = 0;
    const first = new Map<string, number>();
    for (const css of ["#value-acid", "#map .layer-marks"]) {
      new MutationObserver(() => first.has(css) || first.set(css, frame)).observe(
        document.querySelector(css)!,
        { subtree: true, childList: true, attributes: true, characterData: true },
      );
    }
    document.querySelector<HTMLElement>(`${lime} .square:last-of-type`)!.click();
    // What is said changes between two frames, and the map in the second of them.
    for (; frame < 8; frame += 1) await new Promise((done) => requestAnimationFrame(done));
    return first.get("#map .layer-marks")! - first.get("#value-acid")!;
  }, LIME);
  expect(late).toBe(1);
  await context.close();
});

test("the line under the hand stays there when the drink is edited and when its note on families comes and goes", async () => {
  for (const size of [DESK, { width: 390, height: 844, touch: true }]) {
    const { page, context } = await visit(site, "/", size);
    await page.waitForLoadState("networkidle");
    const row = page.locator('li.line[data-ingredient="juice-pineapple"] .line-row');
    // On a desk all is in sight from the page's top, where the browser itself holds nothing in place.
    if (size !== DESK) await row.evaluate((line) => line.scrollIntoView({ block: "center" }));
    const tops = new Set<number>();
    const look = async () => tops.add(Math.round((await row.boundingBox())!.y));
    const note = page.locator(".misfit");
    await note.waitFor();
    await look();
    for (const [word, there] of [
      ["Less", false],
      ["More", true],
    ] as const) {
      for (let step = 0; step < 12 && (await note.isVisible()) !== there; step += 1) {
        await row.getByRole("button", { name: new RegExp(`^${word} `) }).click();
        await look();
        await page.waitForTimeout(300);
        await look();
      }
      expect(await note.isVisible()).toBe(there);
    }
    expect([...tops]).toHaveLength(1);
    await context.close();
  }
});
