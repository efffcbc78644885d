import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openSite, reading, type Site, visit } from "./open-page.ts";

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const DULL =
  "/#v=1&n=Dull&m=shaken&l=rum-aged:2oz&l=juice-lime:0.25oz&l=syrup-simple-1-1:1oz&t=family:sour:0.9&u=oz&k=us-jigger";
const desk = { width: 1440, height: 900 };
const ready = (page: Page) => page.locator(".map-picture .m-mark.is-hand").waitFor();
const centre = async (page: Page, selector: string) => {
  const box = (await page.locator(selector).first().boundingBox())!;
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
};

/** Names of the map that lie on one another or on a classic of the family; a name along an edge counts by its letters. */
const overlaps = (page: Page) =>
  page.evaluate(() => {
    const boxesOf = (name: Element): DOMRect[] => {
      const path = name.querySelector("textPath")?.firstChild;
      if (!path) return [name.getBoundingClientRect()];
      return Array.from(path.textContent ?? "", (_, i) => {
        const letter = document.createRange();
        letter.setStart(path, i);
        letter.setEnd(path, i + 1);
        return letter.getBoundingClientRect();
      });
    };
    const names = [...document.querySelectorAll(".m-name text, .region-name, .doubt-name")].map((name) => ({
      text: name.textContent,
      boxes: boxesOf(name),
    }));
    const lie = (a: DOMRect, b: DOMRect) =>
      Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2 &&
      Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4;
    // The family's classics, as many pixels wide as must stay in sight.
    const kin = [...document.querySelectorAll(".classic.is-kin")].map((mark) => {
      const { x, y, width, height } = mark.getBoundingClientRect();
      const boxes = [new DOMRect(x + width / 2 - 3, y + height / 2 - 5, 6, 10)];
      return { text: `a classic at ${Math.round(x)}, ${Math.round(y)}`, boxes };
    });
    return names.flatMap((a, i) =>
      [...names.slice(i + 1), ...kin]
        .filter((b) => a.boxes.some((x) => b.boxes.some((y) => lie(x, y))))
        .map((b) => `${a.text} / ${b.text}`),
    );
  });

/** Until the window of the map stands still and its names have come to rest. */
const settled = (page: Page) =>
  page.evaluate(async () => {
    const look = () => document.querySelector(".map-picture .layer-names")?.innerHTML;
    for (let last: string | undefined, same = 0; same < 30; ) {
      await new Promise((done) => requestAnimationFrame(done));
      const now = look();
      same = now === last ? same + 1 : 0;
      last = now;
    }
  });

describe("the map", () => {
  test("names the range on its own edges, the best known classics and the rounds; nothing covers anything", async () => {
    const { page, context, troubles } = await visit(site, "/", desk);
    await ready(page);
    const text = (await page.locator("#map .map-picture").textContent()) ?? "";
    expect(text).toMatch(/Sour range at \d/);
    expect(text).toContain("Daiquiri");
    expect(text).toContain("Whiskey Sour");
    expect(await overlaps(page)).toEqual([]);
    // The same nearer by, where an answer has brought the map.
    await page.locator("#ask-button").click();
    await page.locator("#map .m-mark-ghost").first().waitFor({ state: "attached" });
    await page.waitForFunction(() => document.querySelectorAll("#map .m-name-classic").length > 3);
    await settled(page);
    expect(await overlaps(page)).toEqual([]);
    expect(troubles).toEqual([]);
    await context.close();
  });

  for (const size of [{ width: 390, height: 844 }, desk, { width: 1920, height: 1080 }]) {
    for (const room of ["", "/present"]) {
      test(`nothing covers a name or a classic at ${size.width} px${room && ", presented"}`, async () => {
        const { page, context } = await visit(site, "/", size);
        if (room) {
          await page.getByRole("link", { name: "Present", exact: true }).click();
          await page.getByRole("button", { name: "Full screen" }).waitFor();
        }
        await page.locator(".map-host").scrollIntoViewIfNeeded();
        await ready(page);
        await settled(page);
        expect(await page.locator(".m-name-classic").count()).toBeGreaterThan(5);
        expect(await overlaps(page)).toEqual([]);
        await context.close();
      });
    }
  }

  test("pointing and clicking looks and never takes: rounds and proposals stay as they are until asked", async () => {
    const { page, context, troubles } = await visit(site, DULL, desk);
    await page.locator("#ask-button").click();
    await page.locator("#answers .card").first().waitFor();
    await settled(page);
    const before = await reading(page);
    const ghost = await centre(page, "#map .m-mark-ghost");
    await page.mouse.click(ghost.x, ghost.y);
    await page.getByRole("button", { name: /^Take proposal/ }).waitFor();
    expect(await reading(page)).toEqual(before);
    expect(await page.locator("li.round").count()).toBe(1);
    await page.getByRole("button", { name: /^Take proposal/ }).click();
    await page.waitForFunction(() => document.querySelectorAll("li.round").length === 2);
    const after = await reading(page);
    const round = await centre(page, "#map .m-mark-round:not(.is-hand) .shape");
    await page.mouse.click(round.x, round.y);
    await page.getByRole("button", { name: "Open round 1", exact: true }).waitFor();
    expect(await reading(page)).toEqual(after);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("the drink's mark is dragged to a wish, the pours follow, and the bench gets them only when asked", async () => {
    const { page, context, troubles } = await visit(site, DULL, desk);
    await ready(page);
    const before = await reading(page);
    const from = await centre(page, "#map .m-mark.is-hand .shape");
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(from.x - 60, from.y - 90, { steps: 8 });
    await page.locator("#map .wish-mark").waitFor();
    await page.mouse.up();
    const put = page.locator("#wish").getByRole("button", { name: "Put it on the bench" });
    await put.waitFor();
    await page.waitForFunction(() => /→/.test(document.querySelector("#wish")?.textContent ?? ""));
    expect(await reading(page)).toEqual(before);
    await put.click();
    await page.waitForFunction(
      (acid) => Number(document.querySelector("#value-acid")?.textContent) > acid,
      before.acid,
    );
    await page.keyboard.press("Control+z");
    await expect.poll(() => reading(page)).toEqual(before);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a wish let go over a classic is a wish, and does not set the classic beside the drink", async () => {
    const { page, context } = await visit(site, DULL, desk);
    await ready(page);
    const from = await centre(page, "#map .m-mark.is-hand .shape");
    const classic = await centre(page, "#map .classic.is-kin");
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(classic.x, classic.y, { steps: 8 });
    await page.mouse.up();
    await page.locator("#map .wish-mark").waitFor();
    expect(await page.getByLabel("Set beside").inputValue()).toBe("");
    // The same place clicked by itself does choose it.
    await page.mouse.click(classic.x, classic.y);
    await page.waitForFunction(
      () => document.querySelector<HTMLSelectElement>(".beside select")?.value !== "",
    );
    await context.close();
  });

  test("a wish that cannot be had shows the nearest that can, and locks hold; by numbers as well as by hand", async () => {
    const { page, context, troubles } = await visit(site, DULL, desk);
    await ready(page);
    await page.getByText("Say where you want it, in numbers").click();
    await page
      .getByLabel(/^Acid, g/)
      .last()
      .fill("3");
    await page
      .getByLabel(/^Acid, g/)
      .last()
      .press("Enter");
    await page.waitForFunction(() =>
      /The nearest these pours can come/.test(document.querySelector("#wish")?.textContent ?? ""),
    );
    await page.locator("#map .wish-gap").waitFor({ state: "attached" });
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("by keyboard: along the trail, to a wish with Shift and arrows", async () => {
    const { page, context, troubles } = await visit(site, "/", desk);
    await ready(page);
    await page.locator('#map .m-mark[tabindex="0"]').focus();
    await page.keyboard.press("ArrowLeft");
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.getAttribute("aria-label")))
      .toMatch(/^Round 5/);
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("Shift+ArrowUp");
    await page.locator("#wish").waitFor();
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("in a window made narrow every weight's doubt lies along its arm", async () => {
    const { page, context } = await visit(site, "/", desk);
    await ready(page);
    const doubts = () =>
      page
        .locator("#map .weight-hand .weight-doubt")
        .evaluateAll((all) =>
          all.map((line) =>
            ["x", "y"].map((a) => Number(line.getAttribute(`${a}2`)) - Number(line.getAttribute(`${a}1`))),
          ),
        );
    const wide = await doubts();
    await page.setViewportSize({ width: 390, height: 844 });
    await page.locator("#map").scrollIntoViewIfNeeded();
    await ready(page);
    await expect.poll(doubts).not.toEqual(wide);
    await settled(page);
    const narrow = await doubts();
    expect(narrow).toHaveLength(3);
    for (const [across, down] of [...wide, ...narrow]) expect(Math.min(across!, down!)).toBe(0);
    for (const [across, down] of [...wide, ...narrow]) expect(Math.max(across!, down!)).toBeGreaterThan(0);
    await context.close();
  });

  test("an ingredient under the pointer shows where it pulls, rung by rung, its words on no name", async () => {
    for (const [drink, size] of [
      [DULL, desk],
      ["/", desk],
      ["/", { width: 1920, height: 1080 }],
    ] as const) {
      const { page, context } = await visit(site, drink, size);
      await ready(page);
      await settled(page);
      const words: string[] = [];
      for (const line of await page.locator("li.line").all()) {
        await page.mouse.move(2, 2);
        await page.locator("#map .pull").first().waitFor({ state: "detached" });
        await line.hover();
        await page.locator("#map .pull").first().waitFor({ state: "attached" });
        words.push(...(await page.locator("#map .m-name-pull").allTextContents()));
        expect(await overlaps(page)).toEqual([]);
      }
      expect(words).toContain("more lime juice");
      expect(await page.locator("#map .layer-pull .rungs").getAttribute("d")).toMatch(/M.*M/);
      await context.close();
    }
  });

  test("a classic set beside the drink is named on the map, once", async () => {
    const { page, context } = await visit(site, "/", desk);
    await ready(page);
    await page.getByLabel("Set beside").selectOption({ label: "Gimlet, fresh lime" });
    await page.locator("#map .m-name-beside").waitFor();
    expect(await page.locator("#map .m-name-beside").count()).toBe(1);
    expect(await page.locator(".beside .hint").textContent()).toMatch(/^Beside Gimlet/);
    await context.close();
  });

  test("while an amount is being changed the names on the map stay where they are beside their marks", async () => {
    const { page, context } = await visit(site, "/", desk);
    await ready(page);
    await page.locator("#map .m-name-classic").nth(5).waitFor();
    await page.evaluate(async () => void (await document.fonts.ready));
    await settled(page);
    // In one go on the page, each step drawn before the next, and no timer of a resting hand, however slow the machine.
    await page.evaluate(() => {
      const set = window.setTimeout;
      window.setTimeout = ((act: () => void, ms = 0) => (ms >= 400 ? 0 : set(act, ms))) as typeof setTimeout;
    });
    const seen = await page.getByLabel("Amount of Lime juice, fresh").evaluate(async (amount) => {
      const names = () =>
        [...document.querySelectorAll("#map .m-name-classic text")]
          .map((t) => `${t.textContent} ${t.getAttribute("x")} ${t.getAttribute("y")}`)
          .sort();
      const painted = () => new Promise((done) => requestAnimationFrame(done));
      const hand = () => document.querySelector("#map .m-mark.is-hand")?.getAttribute("transform");
      const all = [{ names: names(), hand: hand() }];
      for (let i = 0; i < 3; i += 1) {
        amount.dispatchEvent(
          new KeyboardEvent("keydown", { key: "ArrowUp", bubbles: true, cancelable: true }),
        );
        for (let frames = 0; hand() === all.at(-1)!.hand && frames < 300; frames += 1) await painted();
        await painted();
        all.push({ names: names(), hand: hand() });
      }
      return all;
    });
    expect(new Set(seen.map(({ hand }) => hand)).size).toBe(4);
    for (const { names } of seen) expect(names).toEqual(seen[0]!.names);
    await context.close();
  });

  test("is hung as a sheet with title, verdict, spec and source line, and sent as a page that needs nothing else", async () => {
    const { page, context, troubles } = await visit(site, "/", desk);
    await ready(page);
    const save = async (name: RegExp) => {
      await page.getByRole("button", { name: "Save the picture" }).click();
      const [download] = await Promise.all([
        page.waitForEvent("download"),
        page.getByRole("button", { name }).click(),
      ]);
      const chunks: Buffer[] = [];
      for await (const chunk of await download.createReadStream()) chunks.push(chunk as Buffer);
      return Buffer.concat(chunks);
    };
    const sheet = (await save(/SVG/)).toString("utf8");
    for (const said of [
      "Rooftop pineapple",
      "Aged rum",
      "Sour range",
      "It weighs; it does not taste",
      "Invented",
    ]) {
      expect(sheet).toContain(said);
    }
    expect(sheet).not.toMatch(/class=|var\(--|https?:\/\/(?!www\.w3\.org)/);
    const png = await save(/PNG/);
    expect(png.subarray(1, 4).toString()).toBe("PNG");
    expect(png.length).toBeGreaterThan(50_000);
    const sent = (await save(/page to send/)).toString("utf8");
    expect(sent).toContain("<!doctype html>");
    expect(sent).toContain("Honey for maple");
    expect(sent).not.toMatch(/<script|<link|src="http/);
    expect(troubles).toEqual([]);
    await context.close();
  });
});

describe("presenting and teaching", () => {
  test("rounds are stepped through, guessed and shown; layers go off; classes' trails are laid over", async () => {
    const { page, context, troubles } = await visit(site, "/present", { width: 1920, height: 1080 });
    await ready(page);
    const size = await page
      .locator(".map-picture")
      .evaluate((svg) => Number.parseFloat(getComputedStyle(svg).fontSize));
    expect(size).toBeGreaterThanOrEqual(24);
    const pours = await page.locator(".pours").textContent();
    await page.getByRole("button", { name: "Guess first" }).click();
    await page.getByRole("button", { name: "Step through the rounds" }).click();
    await page.getByText("Where will it go?").waitFor();
    await page.getByRole("button", { name: "Show" }).click();
    await page.getByText(/^Round 1: First pour/).waitFor();
    // The pours beside it are that round's, to be read and not changed.
    expect(await page.locator(".pours button").count()).toBe(0);
    expect(await page.locator(".pours").textContent()).not.toBe(pours);
    await page.setViewportSize({ width: 1440, height: 900 });
    await page.evaluate(() => scrollTo(0, 0));
    const [words, bar] = await Promise.all(
      [".present-words", ".present-bar"].map((part) => page.locator(part).boundingBox()),
    );
    expect(words!.y).toBeGreaterThan(0);
    expect(bar!.y + bar!.height).toBeLessThanOrEqual(900);
    await page.getByRole("button", { name: "Next round" }).click();
    await page.getByRole("button", { name: "All of it" }).click();
    await page.getByRole("button", { name: "Classics" }).click();
    await page.waitForFunction(() => document.querySelectorAll(".classic").length === 0);
    const bench = {
      name: "Table four",
      target: "",
      rounds: [1, 2].map((n) => ({
        id: `x${n}`,
        number: n,
        parent: n === 1 ? null : "x1",
        label: `try ${n}`,
        spec: {
          name: "Theirs",
          method: "shaken",
          lines: [
            { ingredient: "gin", amount: 50, unit: "ml" },
            { ingredient: "juice-lemon", amount: 10 * n, unit: "ml" },
            { ingredient: "syrup-simple-1-1", amount: 20, unit: "ml" },
          ],
        },
      })),
    };
    await page.setInputFiles("#class-files", {
      name: "four.json",
      mimeType: "application/json",
      buffer: Buffer.from(JSON.stringify({ ...bench, current: "x2", id: "four" })),
    });
    await page.waitForFunction(() =>
      /Table four/.test(document.querySelector(".map-picture")?.textContent ?? ""),
    );
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a lesson asks, judges by the engine, and leaves the user's benches alone", async () => {
    const { page, context, troubles } = await visit(site, "/lessons/3", desk);
    await page.locator("li.line").first().waitFor();
    for (let i = 0; i < 2; i += 1) {
      await page
        .locator('li.line[data-ingredient="juice-lemon"]')
        .getByRole("button", { name: /^Less/ })
        .click();
      await page
        .locator('li.line[data-ingredient="syrup-simple-1-1"]')
        .getByRole("button", { name: /^Less/ })
        .click();
      await page
        .locator('li.line[data-ingredient="syrup-simple-1-1"]')
        .getByRole("button", { name: /^Less/ })
        .click();
    }
    await page.getByText("Answered.").waitFor();
    await page.getByRole("link", { name: "Lessons", exact: true }).first().click();
    await page.locator('.lessons [data-done="true"]').waitFor();
    await page.goto(`${site.origin}/benches`);
    await page.locator(".bench-list li").first().waitFor();
    expect(await page.locator(".bench-list li").count()).toBe(1);
    expect(troubles).toEqual([]);
    await context.close();
  });
});
