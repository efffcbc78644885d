import { readFile } from "node:fs/promises";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { openSite, reading, type Site, type Visit, visit } from "./open-page.ts";

// A whole development as its user walks it: pasted, poured in rounds, tasted blind, learned from, handed over.
// Names and drink are invented for this test; the tasters are simulated.

let site: Site;
let clean: Site;
let desk: Visit;
beforeAll(async () => {
  site = await openSite({ kept: true });
  desk = await visit(site, "/", { width: 1440, height: 900 });
});
afterAll(async () => {
  await site?.close();
  await clean?.close();
});

/** Two servers and a browser on a busy machine. */
const SLOW_MS = 240_000;
const RECIPE = "Tin roof\n2 oz aged rum\n1/2 oz lime juice\n1 oz simple syrup";

const line = (page: Page, id: string) => page.locator(`li.line[data-ingredient="${id}"]`);
const roundsAre = (page: Page, n: number) =>
  page.waitForFunction((wanted) => document.querySelectorAll("li.round").length === wanted, n);
const isKept = (page: Page) => page.waitForSelector('#rounds .kept-where[data-state="kept"]');

async function pour(page: Page, id: string, amount: string, label: string): Promise<void> {
  const field = line(page, id).locator(".amount");
  await field.fill(amount);
  await field.press("Enter");
  await page.getByLabel(/^Name for round/).fill(label);
  await page.getByRole("button", { name: "Keep this round" }).click();
  await page.locator(".round-label", { hasText: label }).waitFor();
}

/** A file the card room hands out. */
async function saved(page: Page, name: string): Promise<string> {
  const button = page.getByRole("button", { name });
  const [file] = await Promise.all([page.waitForEvent("download"), button.click()]);
  return (await file.path())!;
}

/** All that the drink of a card comes to, to the last digit. */
const shownIn = (json: string): unknown => (JSON.parse(json) as { shown: unknown }).shown;

/** Forms that carry a drink exactly. The others are read back in tests/engine/card. */
const FORMS_HANDED = [
  ["JSON, exact", "json"],
  ["CSV, for a spreadsheet", "csv"],
] as const;

const rowOf = (page: Page, label: string) =>
  page.locator("li.round", { has: page.locator(".round-label", { hasText: label }) });

test("a spec is pasted and poured in four rounds, one of them a fork back to the first", async () => {
  const { page } = desk;
  await page.getByRole("button", { name: "Paste your own spec" }).click();
  await page.locator("#paste-text").fill(RECIPE);
  await page.getByRole("button", { name: "Use these lines" }).click();
  await roundsAre(page, 1);
  await pour(page, "juice-lime", "0.75 oz", "More lime");
  await pour(page, "syrup-simple-1-1", "0.75 oz", "Less syrup");
  await page.locator("li.round .round-number", { hasText: "1" }).click();
  await page.getByRole("button", { name: /^Open round 1/ }).click();
  await pour(page, "juice-lime", "1 oz", "Fork: lime only");
  const folded = page.getByText(/older round/);
  if ((await folded.count()) > 0) await folded.click();
  await roundsAre(page, 4);
  expect(await rowOf(page, "Fork: lime only").locator(".round-from").textContent()).toMatch(/^From 1: Lime/);
  expect(await rowOf(page, "Less syrup").locator(".round-from").textContent()).toMatch(/^From 2: /);
});

test("two rounds stand side by side, and more than one thing moved is said", async () => {
  const { page } = desk;
  await page.getByText("Two rounds side by side").click();
  const beside = page.locator("#beside");
  await beside.getByLabel("From round", { exact: true }).selectOption({ label: "1 First pour" });
  await beside.getByLabel("To round", { exact: true }).selectOption({ label: "4 Fork: lime only" });
  expect(await beside.locator(".beside-warning").count()).toBe(0);
  expect(await beside.locator('tr[data-differs="true"] th').allTextContents()).toContain("Lime juice, fresh");
  await beside.getByLabel("To round", { exact: true }).selectOption({ label: "3 Less syrup" });
  await beside.locator(".beside-warning").waitFor();
  expect(await beside.locator(".beside-warning").textContent()).toMatch(/^2 things moved/);
});

test("a smaller glass is poured on the ladder, goes on the bench, and undo brings the full one back", async () => {
  const { page } = desk;
  const before = await reading(page);
  await page.getByText("Cost, shopping, smaller glasses").click();
  const thrift = page.locator("#thrift");
  await thrift.getByText("A quarter", { exact: true }).click();
  await expect.poll(() => thrift.textContent()).toMatch(/Rounding to your measures/);
  expect(await thrift.textContent()).toMatch(/of it go into each of 2 glasses/);
  const verdict = page.locator("#verdict");
  const said = (await verdict.textContent()) ?? "";
  const isSaid = (as: boolean) =>
    page.waitForFunction(
      ([text, same]) => (document.querySelector("#verdict")?.textContent === text) === same,
      [said, as] as const,
    );
  await thrift.getByRole("button", { name: "Put it on the bench" }).click();
  await isSaid(false);
  await page.keyboard.press("Control+z");
  await isSaid(true);
  expect(await reading(page)).toEqual(before);
});

test("the server is restarted in the middle and nothing changes", async () => {
  const { page } = desk;
  await isKept(page);
  const before = await reading(page);
  await site.restart();
  await page.reload();
  await isKept(page);
  // A page that asks while nobody is there is refused: that is what a restart is.
  const asked = desk.troubles.splice(0);
  expect(asked.filter((said) => !said.includes("ERR_CONNECTION_REFUSED"))).toEqual([]);
  expect(await reading(page)).toEqual(before);
  const other = await visit(site, "/benches", { width: 390, height: 844 });
  await other.page.getByRole("link", { name: /^Tin roof/ }).click();
  const folded = other.page.getByText(/older round/);
  await folded.waitFor();
  await folded.click();
  await roundsAre(other.page, 4);
  await other.context.close();
});

/** Simulated tasters agree: what is poured is sweet and lacks acid, the first pour most of all. */
const SAID = {
  "1 First pour": ["dislike slightly", "much too much", "a little too little"],
  "2 More lime": ["like slightly", "a little too much", "a little too little"],
  "3 Less syrup": ["like moderately", "a little too much", "just about right"],
} as const;
const TASTERS = ["Invented Ash", "Invented Birch", "Invented Cedar"];

test(
  "three tasters mark blind glasses on their phones; what they like becomes a range and the next round",
  async () => {
    const { page } = desk;
    const before = await reading(page);
    await page.locator(".bench-rooms a", { hasText: "Taste" }).click();
    const boxes = page.locator(".new-flight input[type=checkbox]");
    await boxes.first().waitFor();
    for (const box of await boxes.all()) await box.uncheck();
    for (const round of Object.keys(SAID)) await page.getByRole("checkbox", { name: round }).check();
    await page.locator("#pour-flight").click();
    await page.getByText("The key, for whoever pours").click();
    await page.locator(".key tbody tr").first().waitFor();
    const key = new Map(
      await page
        .locator(".key tbody tr")
        .evaluateAll((rows) =>
          rows.map((row) => [row.children[0]!.textContent!, row.children[1]!.textContent!] as const),
        ),
    );
    expect([...key.values()].sort()).toEqual(Object.keys(SAID).sort());

    for (const taster of TASTERS) {
      await page.getByLabel("Name of a taster").fill(taster);
      await page.locator("#make-seat").click();
      const link = new URL(await page.getByLabel(`Link for ${taster}`, { exact: true }).inputValue());
      const phone = await visit(site, link.pathname + link.hash, { width: 390, height: 844 });
      for (const _ of TASTERS) {
        const handIn = phone.page.getByRole("button", { name: /^Hand in \d/ });
        const code = /\d{3}/.exec((await handIn.textContent()) ?? "")![0];
        const [liking, sweet, sour] = SAID[key.get(code) as keyof typeof SAID];
        for (const mark of [`Liking: ${liking}`, `Sweetness: ${sweet}`, `Sourness: ${sour}`])
          await phone.page.getByRole("button", { name: mark, exact: true }).click();
        await phone.page.getByRole("button", { name: "Strength: just about right", exact: true }).click();
        await handIn.click();
        await phone.page.getByRole("button", { name: `Hand in ${code}` }).waitFor({ state: "detached" });
      }
      const seen = (await phone.page.textContent("body")) ?? "";
      expect(seen).toMatch(/No allergens known of these glasses|Among these glasses/);
      for (const secret of [...Object.keys(SAID), "rum", ...TASTERS.filter((other) => other !== taster)])
        expect(seen).not.toContain(secret);
      expect(phone.troubles).toEqual([]);
      await phone.context.close();
    }

    await page.locator("#table-range").waitFor();
    await page.locator("#work-towards").click();
    await page
      .getByRole("button", { name: /^Take it as the next round/ })
      .first()
      .click();
    await page.locator(".bench-rooms a", { hasText: "Work" }).click();
    await page.locator("li.round .round-number", { hasText: "5" }).waitFor();
    const after = await reading(page);
    expect(after.sugar / after.acid).toBeLessThan(before.sugar / before.acid);
  },
  SLOW_MS,
);

test(
  "the last round is final, and its card makes an identical drink on a clean data folder",
  async () => {
    const { page, troubles } = desk;
    await page.goto(`${site.origin}/bench`);
    const last = page.locator("li.round").first();
    await last.locator("summary").click();
    await last.getByLabel(/^Where round/).selectOption("final");
    await page.locator(".bench-rooms a", { hasText: "Card" }).click();
    await page.getByLabel("Garnish").fill("Lime wheel");
    await page.getByLabel("Garnish").press("Enter");
    await expect
      .poll(() => page.getByLabel("Which round").locator("option:checked").textContent())
      .toMatch(/\(final\)$/);
    const text = await readFile(await saved(page, "Plain text"), "utf8");
    expect(text).toContain("Garnish: Lime wheel");
    const shown = shownIn(await readFile(await saved(page, "JSON, exact"), "utf8"));

    clean = await openSite({ kept: true });
    const there = await visit(clean, "/card");
    for (const [form, ending] of FORMS_HANDED) {
      const buffer = await readFile(await saved(page, form));
      const mimeType = "text/plain";
      await there.page.locator("#card-file").setInputFiles({ name: `card.${ending}`, mimeType, buffer });
      await there.page.locator(".notice", { hasText: "bench of its own" }).waitFor();
      await there.page.locator(".bench-rooms a", { hasText: "Card" }).click();
      await there.page.locator(".card-facts").waitFor();
      expect(shownIn(await readFile(await saved(there.page, "JSON, exact"), "utf8")), form).toEqual(shown);
    }
    const pasting = there.page.getByLabel("or paste one");
    await pasting.fill("{");
    await there.page.getByRole("button", { name: "Take the pasted card" }).click();
    await there.page.locator(".notice", { hasText: "was not taken" }).waitFor();
    expect(await pasting.inputValue()).toBe("{");
    await pasting.fill(await readFile(await saved(page, "JSON, exact"), "utf8"));
    const benches = await there.page.locator(".bench-name").textContent();
    await there.page.getByRole("button", { name: "Take the pasted card" }).click();
    await there.page.locator(".bench-name", { hasNotText: benches! }).waitFor();
    await there.page.locator(".bench-rooms a", { hasText: "Card" }).click();
    expect(shownIn(await readFile(await saved(there.page, "JSON, exact"), "utf8")), "pasted").toEqual(shown);
    expect(there.troubles).toEqual([]);
    await there.context.close();
    expect(troubles).toEqual([]);
  },
  SLOW_MS,
);
