import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openSite, reading, type Site, visit } from "./open-page.ts";

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

/** A drink of its own, so that these tests do not hang on the demo's numbers. */
const DULL =
  "/#v=1&n=Dull&m=shaken&l=rum-aged:2oz&l=juice-lime:0.25oz&l=syrup-simple-1-1:1oz&t=family:sour:0.9&u=oz&k=us-jigger";

describe("the bench in a browser", () => {
  test("opens on the invented demo with a reading, a trail and no trouble", async () => {
    const { page, context, troubles } = await visit(site);
    expect(await page.locator(".badge").textContent()).toBe("Invented demo");
    expect(await page.locator("li.round").count()).toBe(6);
    expect(await page.locator("#headline").textContent()).toMatch(/\w+/);
    const { sugar, acid, abv } = await reading(page);
    expect(sugar).toBeGreaterThan(0);
    expect(acid).toBeGreaterThan(0);
    expect(abv).toBeGreaterThan(5);
    expect(await page.locator("#map svg").count()).toBeGreaterThan(0);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("dragging an amount moves the point at once, on the readout and on the map", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    const before = await reading(page);
    const slider = page.locator('li[data-ingredient="juice-lime"] input.poise');
    await slider.scrollIntoViewIfNeeded();
    const box = (await slider.boundingBox())!;
    const value = Number(await slider.inputValue());
    const top = Number(await slider.getAttribute("max"));
    const thumb = 24;
    const x = (ml: number) => box.x + thumb / 2 + (ml / top) * (box.width - thumb);
    const y = box.y + 10;
    const mapBefore = await page.locator("#map svg").first().innerHTML();
    await page.mouse.move(x(value), y);
    await page.mouse.down();
    await page.mouse.move(x(value + 8), y, { steps: 4 });
    const during = await reading(page);
    await page.mouse.move(x(29.6), y, { steps: 6 });
    await page.mouse.up();
    const after = await reading(page);
    expect(during.acid).toBeGreaterThan(before.acid);
    expect(after.acid).toBeGreaterThan(during.acid);
    // 1 oz of lime for ¼ oz: about four times the acid, in a somewhat larger drink.
    expect(after.acid / before.acid).toBeGreaterThan(2.8);
    expect(after.acid / before.acid).toBeLessThan(4);
    expect(after.abv).toBeLessThan(before.abv);
    expect(await page.locator('li[data-ingredient="juice-lime"] .line-top .amount').inputValue()).toBe(
      "1 oz",
    );
    expect(await page.locator("#map svg").first().innerHTML()).not.toBe(mapBefore);
    await page.getByRole("button", { name: "Undo" }).click();
    expect(await reading(page)).toEqual(before);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a proposal is asked for, previewed, taken, and is where it said it would be", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    expect(await page.locator("#readout").getAttribute("data-state")).toBe("out");
    await page.locator("#ask-button").click();
    const card = page.locator("#proposals li.card").first();
    await card.waitFor();
    expect(await page.locator("#answer-status").textContent()).toContain("proved");
    const said = await card.locator("tbody td:last-child b").allTextContents();
    const moves = await card.locator(".moves li").allTextContents();
    expect(moves.length).toBeGreaterThan(0);
    const rounds = await page.locator("li.round").count();
    await card.getByRole("button", { name: /^Take/ }).click();
    await page.waitForFunction((n) => document.querySelectorAll("li.round").length === n, rounds + 1);
    const after = await reading(page);
    expect([after.sugar, after.acid, after.abv]).toEqual(said.map(Number));
    expect(await page.locator("#readout").getAttribute("data-state")).toBe("in");
    expect(await page.locator("#headline").textContent()).toContain("In range");
    const top = page.locator("li.round").first();
    expect(await top.getAttribute("aria-current")).toBe("true");
    expect(await top.locator(".round-from").textContent()).toMatch(/^From round 1: /);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("locks are kept, and an impossible question is answered with the reason and a way out", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    for (const name of ["Lock Lime juice", "Lock Simple syrup"]) {
      await page.getByRole("button", { name }).first().click();
    }
    await page.locator("#ask-button").click();
    await page.locator("#proposals .infeasible p").first().waitFor();
    const freed = page.locator("#proposals .infeasible li.card").first();
    await freed.waitFor();
    expect(await freed.locator("h3").textContent()).toMatch(/^[A-Z](Lift|Let in) /);
    expect(await page.locator("#proposals > .cards > li").count()).toBe(0);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a wished-for chance is kept by every way shown, and the readout agrees once one is taken", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    await page.getByText("What may change, and what must stay").click();
    await page.getByLabel("Chance of being in range").selectOption("0.9");
    await page.locator("#ask-button").click();
    const cards = page.locator("#proposals > .cards > li.card");
    await cards.first().waitFor();
    const chances = await cards
      .locator("p b")
      .evaluateAll((marks) =>
        marks.map((mark) => Number.parseFloat((mark.textContent ?? "").replace("over ", ""))),
      );
    expect(chances.length).toBe(await cards.count());
    for (const chance of chances) expect(chance).toBeGreaterThanOrEqual(90);
    await cards.first().getByRole("button", { name: /^Take/ }).click();
    await page.waitForFunction(() => document.querySelectorAll("li.round").length === 2);
    await page.locator('.chance[data-old="false"]').waitFor();
    const said = (await page.locator(".chance").textContent()) ?? "";
    const glasses = Number(
      /about (\d+)/.exec(said)?.[1] ?? (said.includes("nearly every") ? 100 : Number.NaN),
    );
    expect(glasses).toBeGreaterThanOrEqual(90);
    expect(Math.abs(glasses - chances[0]!)).toBeLessThanOrEqual(1);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a chance nothing can give is refused as that, with what can be had", async () => {
    const { page, context, troubles } = await visit(
      site,
      "/#v=1&n=Narrow&m=shaken&l=rum-aged:2oz&l=juice-lime:0.75oz&l=syrup-simple-1-1:0.75oz&t=box:..,0.9..1,..&u=oz&k=us-jigger",
    );
    await page.getByText("What may change, and what must stay").click();
    await page.getByLabel("Chance of being in range").selectOption("0.9");
    await page.locator("#ask-button").click();
    const freed = page.locator("#proposals .infeasible li.card").first();
    await freed.waitFor();
    expect(await page.locator("#answer-status").textContent()).toMatch(
      /^Nothing within these limits is that sure/,
    );
    expect(Number.parseFloat((await freed.locator("p b").textContent()) ?? "")).toBeLessThan(90);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a drink already inside is said to be inside, and what would make it surer is offered", async () => {
    const { page, context, troubles } = await visit(
      site,
      "/#v=1&n=Fine&m=shaken&l=rum-aged:2oz&l=juice-lime:0.75oz&l=syrup-simple-1-1:0.75oz&t=family:sour:0.9&u=oz&k=us-jigger",
    );
    await page.locator("#ask-button").click();
    await page.waitForFunction(() =>
      /Already in/.test(document.querySelector("#answer-status")?.textContent ?? ""),
    );
    expect(await page.locator("#answer-status").textContent()).toMatch(
      /nothing needs to change.*would be in range/,
    );
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("by keyboard alone: to a poise, arrows, ask, take", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    const focused = () =>
      page.evaluate(() => {
        const at = document.activeElement;
        return `${at?.getAttribute("aria-label") ?? at?.textContent ?? ""}`.trim();
      });
    const tabTo = async (name: RegExp, most = 80) => {
      for (let i = 0; i < most; i += 1) {
        await page.keyboard.press("Tab");
        if (name.test(await focused())) return;
      }
      throw new Error(`Tab never came to ${name}`);
    };
    await page.keyboard.press("Tab");
    expect(await focused()).toBe("Skip to the spec");
    await page.keyboard.press("Enter");
    const before = await reading(page);
    await tabTo(/^Simple syrup.*slide to change$/);
    await page.keyboard.press("ArrowLeft");
    await page.keyboard.press("ArrowLeft");
    const after = await reading(page);
    expect(after.sugar).toBeLessThan(before.sugar);
    expect(await page.locator('li[data-ingredient="syrup-simple-1-1"] .line-top .amount').inputValue()).toBe(
      "¾ oz",
    );
    await tabTo(/^Bring it into range$/);
    await page.keyboard.press("Enter");
    await page.locator("#proposals li.card").first().waitFor();
    await tabTo(/^Take “/);
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.querySelector("#readout")?.getAttribute("data-state") === "in");
    expect(await page.locator("li.round").count()).toBe(2);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a typed amount in any unit is read; one that is none is refused in words and changes nothing", async () => {
    const { page, context } = await visit(site, DULL);
    const amount = page.locator('li[data-ingredient="juice-lime"] .line-top .amount');
    await amount.fill("22.5 ml");
    await amount.press("Enter");
    const acid = (await reading(page)).acid;
    await amount.fill("a good glug");
    await amount.press("Enter");
    expect(await page.locator('li[data-ingredient="juice-lime"] .line-error').textContent()).toContain(
      "3/4 oz",
    );
    expect(await amount.getAttribute("aria-invalid")).toBe("true");
    expect((await reading(page)).acid).toBe(acid);
    await context.close();
  });

  test("a pasted spec is read line by line: taken, chosen, or left out with the reason", async () => {
    const { page, context, troubles } = await visit(site);
    await page.getByText("Paste a spec").click();
    await page
      .getByLabel("One ingredient a line")
      .fill(
        "• 50 ml aged rum\n20 ml lime juice\n2/3 oz cane syrup (2:1)\n3 dashes moon dust\nShake and strain",
      );
    await page.getByRole("button", { name: "Read it" }).click();
    const lines = page.locator(".paste-lines li");
    expect(await lines.count()).toBe(5);
    expect(await lines.nth(1).getAttribute("class")).toBe("read");
    const dust = await lines.nth(3).getAttribute("class");
    expect(["unread", "choose"]).toContain(dust);
    for (let i = 0; i < 3; i += 1) {
      const choice = lines.nth(i).locator("select");
      if (await choice.count()) await choice.selectOption({ index: 1 });
    }
    await page.getByRole("button", { name: "Use these lines" }).click();
    await page.waitForFunction(() => document.querySelectorAll("li.line").length === 3);
    expect(await page.locator("li.line .line-top .amount").first().inputValue()).toMatch(/1\.69 oz|50 mL/);
    expect((await reading(page)).acid).toBeGreaterThan(0.5);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a link reproduces the view in another browser", async () => {
    const first = await visit(site, DULL);
    const { page } = first;
    await page.getByRole("button", { name: "mL", exact: true }).click();
    await page.getByRole("button", { name: "More Lime juice" }).first().click();
    await page.getByRole("button", { name: "Lock Aged rum" }).first().click();
    await page.getByLabel("holding").selectOption("0.75");
    await page.waitForFunction(
      () => /t=family:sour:0.75/.test(location.hash) && /rum-aged:2oz!/.test(location.hash),
    );
    const url = new URL(page.url());
    const there = await reading(page);
    const headline = await page.locator("#headline").textContent();
    const second = await visit(site, `/${url.hash}`);
    expect(await reading(second.page)).toEqual(there);
    expect(await second.page.locator("#headline").textContent()).toBe(headline);
    expect(
      await second.page.getByRole("button", { name: "mL", exact: true }).getAttribute("aria-pressed"),
    ).toBe("true");
    expect(
      await second.page.getByRole("button", { name: "Lock Aged rum" }).first().getAttribute("aria-pressed"),
    ).toBe("true");
    expect(second.troubles).toEqual([]);
    await first.context.close();
    await second.context.close();
  });

  test("a copied link brings the bench and its rounds to a browser that has neither", async () => {
    const first = await visit(site);
    await first.context.grantPermissions(["clipboard-read", "clipboard-write"], { origin: site.origin });
    await first.page.getByRole("button", { name: "More Lime juice" }).first().click();
    await first.page.getByLabel("Name for a new round").fill("Sent along");
    await first.page.getByRole("button", { name: "Save as a new round" }).click();
    await first.page.getByText("Bench file").click();
    await first.page.getByRole("button", { name: /^Copy a link/ }).click();
    await first.page.getByText("The link is copied").waitFor();
    const link = new URL(await first.page.evaluate(() => navigator.clipboard.readText()));
    const second = await visit(site, `/${link.hash}`);
    expect(await second.page.locator("li.round").count()).toBe(7);
    expect(await second.page.getByLabel("Name of round 7").inputValue()).toBe("Sent along");
    expect(await reading(second.page)).toEqual(await reading(first.page));
    // The browser's own demo is still there beside it.
    expect(await second.page.getByLabel("Bench", { exact: true }).locator("option").count()).toBe(2);
    expect(second.troubles).toEqual([]);
    await first.context.close();
    await second.context.close();
  });

  test("a broken link opens a working bench and says what it left out", async () => {
    const { page, context, troubles } = await visit(
      site,
      "/#v=1&l=rum-aged:2oz&l=juice-lime:1parsec&t=box:9..1,..,..&l=unicorn:1oz",
    );
    const notice = page.locator(".notice");
    expect(await notice.textContent()).toContain("juice-lime:1parsec");
    expect(await notice.textContent()).toContain("unicorn");
    expect(await page.locator("li.line").count()).toBe(1);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("rounds stay after a reload, fork from an older one, and can be abandoned and brought back", async () => {
    const { page, context, troubles } = await visit(site);
    await page.getByRole("button", { name: "Open round 3" }).click();
    await page.getByRole("button", { name: "More Lime juice" }).first().click();
    await page.getByLabel("Name for a new round").fill("A fork of my own");
    await page.getByRole("button", { name: "Save as a new round" }).click();
    await page.waitForFunction(() => document.querySelectorAll("li.round").length === 7);
    await page.reload();
    await page.locator("li.round").first().waitFor();
    expect(await page.locator("li.round").count()).toBe(7);
    expect(await page.locator("li.round").first().locator(".round-from").textContent()).toMatch(
      /^From round 3: /,
    );
    expect(await page.getByLabel("Name of round 7").inputValue()).toBe("A fork of my own");
    await page.getByRole("button", { name: /^Abandon round 7/ }).click();
    await page.getByRole("button", { name: /^Bring back round 7/ }).click();
    await page.getByRole("button", { name: /^Abandon round 7/ }).waitFor();
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("an unsaved spec is still there when the page is opened again without its link", async () => {
    const { page, context, troubles } = await visit(site);
    await page.getByRole("button", { name: "More Lime juice" }).first().click();
    const there = await reading(page);
    await page.keyboard.press("Home");
    await page.locator(".skip").focus();
    await page.keyboard.press("Enter");
    await page.goto("about:blank");
    await page.goto(site.origin);
    await page.locator("li.line").first().waitFor();
    expect(await reading(page)).toEqual(there);
    expect(await page.locator(".edited").textContent()).toContain("edited since round 6");
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("pours are rounded to the ladder that is chosen", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    await page.getByRole("button", { name: "mL", exact: true }).click();
    await page.getByLabel("Pour ladder").selectOption("metric-jigger");
    await page.getByRole("button", { name: /^Round the pours/ }).click();
    const amounts = await page
      .locator("li.line .line-top .amount")
      .evaluateAll((inputs) => (inputs as HTMLInputElement[]).map((input) => input.value));
    expect(amounts).toEqual(["60 mL", "7.5 mL", "30 mL"]);
    expect(await page.getByRole("button", { name: /^Round the pours/ }).count()).toBe(0);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a plain question is read, answered, and can be put on the bench", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    await page.getByLabel("In your words").fill("what if I take the syrup down a bar spoon?");
    await page.getByLabel("In your words").press("Enter");
    await page.locator(".reply-text").waitFor();
    const before = await reading(page);
    await page.getByRole("button", { name: "Put it on the bench" }).click();
    await page.waitForFunction(
      (sugar) => Number(document.querySelector("#value-sugar")?.textContent) < sugar,
      before.sugar,
    );
    await page.getByLabel("In your words").fill("is it tasty?");
    await page.getByLabel("In your words").press("Enter");
    await page.getByText("Questions I know").waitFor();
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a line's swaps say what each moves, an equal one moves nothing, and trying one does what was said", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    await page.getByLabel("Swaps for Aged rum").click();
    const rows = page.locator(".line-swaps[open] tbody tr");
    await rows.first().waitFor();
    expect(await page.locator(".line-swaps[open]").textContent()).toContain("moves nothing here");
    const white = rows.filter({ hasText: "White rum (40 % vol)" });
    expect(await white.locator("td").first().textContent()).toBe("moves nothing here");
    const strong = rows.filter({ hasText: "Overproof rum" });
    const rise = Number((await strong.locator("td").nth(2).textContent())?.replace("+", ""));
    expect(rise).toBeGreaterThan(2);
    const before = await reading(page);
    await strong.getByRole("button", { name: /^Try it: Overproof rum/ }).click();
    await page.locator('li[data-ingredient="rum-overproof-63"]').waitFor();
    const after = await reading(page);
    expect(after.abv - before.abv).toBeCloseTo(rise, 0);
    expect(await page.locator('li[data-ingredient="rum-overproof-63"] .line-top .amount').inputValue()).toBe(
      "2 oz",
    );
    // The list stays open in the new line, with the focus, so that the next can be tried.
    await page.locator('li[data-ingredient="rum-overproof-63"] .line-swaps[open] tbody tr').first().waitFor();
    expect(await page.evaluate(() => document.activeElement?.getAttribute("aria-label"))).toMatch(
      /^Swaps for Overproof rum/,
    );
    await page.getByRole("button", { name: "Undo" }).click();
    expect(await reading(page)).toEqual(before);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("where measuring beats pouring it says so, takes the figure, and calls the old answer old", async () => {
    // A band of acid narrower than the doubt of the lime: no pour can be sure of it.
    const { page, context, troubles } = await visit(
      site,
      "/#v=1&n=Narrow&m=shaken&l=rum-aged:2oz&l=juice-lime:0.75oz&l=syrup-simple-1-1:0.75oz&t=box:..,0.9..1,..&u=oz&k=us-jigger",
    );
    await page.locator("#ask-first").click();
    const advice = page.locator("#proposals .advice");
    await advice.first().waitFor();
    expect(await advice.first().textContent()).toMatch(/Titrate your fresh lime juice/);
    await advice.first().getByRole("button", { name: "Enter my figure" }).click();
    expect(await page.evaluate(() => document.activeElement?.getAttribute("data-own"))).toBe("acid");
    const doubt = async () => Number((await page.locator(".axis .sd").nth(1).textContent())?.slice(2));
    const before = await doubt();
    await page.keyboard.type("6.2");
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Ask again" }).waitFor();
    expect(await doubt()).toBeLessThan(before / 2);
    expect(await page.locator("#proposals .take").first().isDisabled()).toBe(true);
    await page.getByRole("button", { name: "Ask again" }).click();
    await page.waitForFunction(
      () => document.querySelector("#proposals")?.getAttribute("data-stale") === "false",
    );
    await page.locator("#proposals li.card").first().waitFor();
    expect(await page.locator("#proposals .take").first().isDisabled()).toBe(false);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("the map comes near when ways in appear, points at what it leaves out, and goes back when one is taken", async () => {
    const { page, context, troubles } = await visit(site);
    const edges = page.locator('#map .m-panel[data-panel="sugar-acid"] .m-edge');
    const numbers = () => page.locator("#map .rail-number").allTextContents();
    expect(await edges.count()).toBe(0);
    const far = await numbers();
    await page.locator("#ask-first").click();
    await page.locator("#map .m-mark-ghost").first().waitFor();
    await page.waitForFunction(() => document.querySelectorAll("#map .m-edge").length > 0);
    expect(await numbers()).not.toEqual(far);
    expect(await edges.locator("text").allTextContents()).toContain("1");
    await page.locator("#proposals li.card").first().getByRole("button", { name: /^Take/ }).click();
    await page.waitForFunction(() => document.querySelectorAll("#map .m-edge").length === 0);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("while an amount is being dragged the names on the map stay where they are", async () => {
    const { page, context, troubles } = await visit(site);
    const names = () =>
      page
        .locator('#map .m-panel[data-panel="sugar-acid"] .m-name text')
        .evaluateAll((texts) =>
          texts.map((t) => `${t.textContent} ${t.getAttribute("x")} ${t.getAttribute("y")}`).sort(),
        );
    const before = await names();
    expect(before.length).toBeGreaterThan(3);
    const slider = page.getByLabel("Lime juice, fresh, slide to change");
    const seen: string[][] = [];
    for (let i = 0; i < 4; i += 1) {
      await slider.press("ArrowRight");
      seen.push(await names());
    }
    for (const now of seen) expect(now).toEqual(before);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a spec with nothing in it reads as nothing, and stays so", async () => {
    const { page, context, troubles } = await visit(site, DULL);
    for (let left = 3; left > 0; left -= 1) await page.locator("button.remove").first().click();
    await page.waitForFunction(() => document.querySelectorAll("li.line").length === 0);
    // Longer than the chance waits for the hand to rest.
    await page.waitForTimeout(400);
    expect(await page.locator("#headline").textContent()).toBe("Nothing to place yet.");
    expect(await page.locator(".chance").textContent()).toBe("");
    expect(await page.locator("#readout .beam-poise:visible").count()).toBe(0);
    expect(await page.locator("#ask-first").isDisabled()).toBe(true);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("the books are open: every figure with its source, reachable from the line", async () => {
    const { page, context, troubles } = await visit(site, "/sources.html#juice-lime");
    const lime = page.locator("#juice-lime");
    await lime.waitFor();
    expect(await lime.locator("tbody tr").count()).toBeGreaterThan(1);
    const source = await lime.locator("tbody a").first().getAttribute("href");
    expect(await page.locator(source!.replace(/\./g, "\\.")).count()).toBe(1);
    expect(troubles).toEqual([]);
    await context.close();
  });
});
