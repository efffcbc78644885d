import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { openSite, type Site, visit } from "./open-page.ts";

let site: Site;
beforeAll(async () => {
  site = await openSite({ kept: true });
});
afterAll(() => site?.close());

const FINE =
  "/#v=1&n=Fine&m=shaken&l=rum-aged:2oz&l=juice-lime:0.75oz&l=syrup-simple-1-1:0.75oz&t=family:sour:0.9&u=oz&k=us-jigger";

const keptState = (page: Page, state: string) =>
  page.waitForSelector(`#rounds .kept-where[data-state="${state}"]`);
async function keep(page: Page, label: string) {
  await page.getByLabel(/^Name for round/).fill(label);
  await page.locator("#save-round").click();
  await page.waitForFunction(
    (name) => [...document.querySelectorAll(".round-label")].some((e) => e.textContent === name),
    label,
  );
}
/** The rounds as shown, oldest first. */
const shown = (page: Page) =>
  page
    .locator("li.round")
    .evaluateAll((rows) =>
      rows
        .map(
          (row) =>
            `${row.querySelector(".round-number")?.lastChild?.textContent} ${row.querySelector(".round-label")?.textContent}`,
        )
        .reverse(),
    );
const roundsAre = (page: Page, n: number) =>
  page.waitForFunction((wanted) => document.querySelectorAll("li.round").length === wanted, n);
const askAgain = (page: Page) => page.evaluate(() => window.dispatchEvent(new Event("online")));

test("rounds of two browsers, one of them offline, meet on the server, and none is lost or doubled", async () => {
  const desk = await visit(site, FINE);
  await keptState(desk.page, "kept");
  const phone = await visit(site, "/benches", { width: 390, height: 844 });
  await phone.page.getByRole("link", { name: /^Fine/ }).click();
  await roundsAre(phone.page, 1);

  await phone.context.setOffline(true);
  await keep(phone.page, "Made offline");
  await keptState(phone.page, "alone");
  await keep(desk.page, "Made at the desk");
  await keptState(desk.page, "kept");

  await phone.context.setOffline(false);
  await keptState(phone.page, "kept");
  await roundsAre(phone.page, 3);
  await askAgain(desk.page);
  await roundsAre(desk.page, 3);

  await site.restart();
  for (const { page } of [desk, phone]) {
    await page.reload();
    await keptState(page, "kept");
    expect((await shown(page)).map((row) => row.replace(/^\d+ /, "")).sort()).toEqual([
      "First pour",
      "Made at the desk",
      "Made offline",
    ]);
    expect((await shown(page)).map((row) => row[0])).toEqual(["1", "2", "3"]);
  }
  expect(await shown(phone.page)).toEqual(await shown(desk.page));
  expect(desk.troubles).toEqual([]);
  await desk.context.close();
  await phone.context.close();
});

test("a bench deleted in one browser is gone in the other, and undo brings it back in both", async () => {
  const [one, two] = [await visit(site, FINE.replaceAll("Fine", "Gone")), await visit(site, "/benches")];
  await keptState(one.page, "kept");
  await askAgain(two.page);
  const there = two.page.getByRole("link", { name: /^Gone/ });
  await there.waitFor();
  // Both ask until it is so: an exchange under way may be from before the act.
  const isThere = async (state: "visible" | "detached") => {
    for (let tries = 0; tries < 20; tries += 1) {
      await askAgain(one.page);
      await askAgain(two.page);
      const came = there.waitFor({ state, timeout: 2000 }).then(
        () => true,
        () => false,
      );
      if (await came) return true;
    }
    return false;
  };
  await one.page.goto(`${site.origin}/benches`);
  await one.page.getByRole("button", { name: "Delete Gone" }).click();
  expect(await isThere("detached")).toBe(true);
  await one.page.getByRole("button", { name: "Undo" }).click();
  expect(await isThere("visible")).toBe(true);
  await one.context.close();
  await two.context.close();
});

/** A link to the bench in work, made in its menu. */
async function linkFor(page: Page, may: string, whom: string): Promise<string> {
  await page.locator(".bench-menu").getByRole("button").first().click();
  await page.locator(".bench-menu summary", { hasText: "Links for others" }).click();
  await page.getByLabel("Whoever has it may").selectOption({ label: may });
  await page.getByLabel("For whom").fill(whom);
  await page.locator("#make-link").click();
  return page.getByLabel("The link, shown this once").inputValue();
}

test("a viewer's link shows what is made and changes nothing; an owner's works; revoked or unknown is told", async () => {
  const desk = await visit(site, FINE.replaceAll("Fine", "Shared"));
  await keptState(desk.page, "kept");
  const toSee = await linkFor(desk.page, "See it", "Invented Wren");
  await desk.page.reload();
  await desk.page.locator("li.round").first().waitFor();
  const toWork = await linkFor(desk.page, "See and change it", "Invented Rook");
  await desk.page.keyboard.press("Escape");

  const viewer = await visit(site, toSee.slice(site.origin.length));
  await viewer.page.locator('.by-link[data-role="viewer"]', { hasText: "Invented Wren" }).waitFor();
  expect(viewer.page.url()).not.toContain("key=");
  await roundsAre(viewer.page, 1);
  expect(await viewer.page.locator("#save-round").isDisabled()).toBe(true);
  expect(await viewer.page.locator('li.line[data-ingredient="rum-aged"] input').first().isDisabled()).toBe(
    true,
  );

  const owner = await visit(site, toWork.slice(site.origin.length));
  await owner.page.locator('.by-link[data-role="owner"]').waitFor();
  const asked = owner.page.waitForRequest(
    (request) =>
      request.headers().authorization === `Bearer ${toWork.split("=")[1]}` &&
      (request.postData() ?? "").includes("Made by link"),
  );
  await keep(owner.page, "Made by link");
  await asked;
  await keptState(owner.page, "kept");
  for (const { page } of [desk, viewer]) {
    await askAgain(page);
    await roundsAre(page, 2);
  }
  // A reload without the secret in the address: the key is kept for its bench.
  await viewer.page.reload();
  await viewer.page.locator('.by-link[data-role="viewer"]').waitFor();
  expect(await viewer.page.locator("#save-round").isDisabled()).toBe(true);
  expect(viewer.troubles).toEqual([]);
  expect(owner.troubles).toEqual([]);

  await desk.page.locator(".bench-menu").getByRole("button").first().click();
  await desk.page.locator(".bench-menu summary", { hasText: "Links for others" }).click();
  await desk.page.getByRole("button", { name: "Revoke the link of Invented Wren" }).click();
  await desk.page
    .getByRole("button", { name: "Revoke the link of Invented Wren" })
    .waitFor({ state: "detached" });
  await askAgain(viewer.page);
  await viewer.page.locator(".by-link", { hasText: "no longer opens it" }).waitFor();
  await roundsAre(viewer.page, 2);
  const lost = await visit(site, `/bench#key=${"A".repeat(43)}`);
  await lost.page.locator(".notice", { hasText: "opens nothing here" }).waitFor();
  for (const { context } of [desk, viewer, owner, lost]) await context.close();
});
