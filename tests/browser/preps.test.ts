import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openSite, reading, type Site, visit } from "./open-page.ts";

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

/** A drink of its own, without sourness. */
const FLAT =
  "/#v=1&n=Trial&m=shaken&l=rum-white:60ml&l=juice-pineapple:45ml&l=syrup-simple-1-1:20ml&t=family:sour:0.9&u=ml&k=metric-jigger";

const toPreps = async (page: Page, place: string) => {
  await page.getByRole("navigation", { name: "Rooms" }).getByRole("link", { name: "Preps" }).click();
  await page
    .getByRole("navigation", { name: "Preps" })
    .getByRole("link", { name: place, exact: true })
    .click();
};
const shelve = (page: Page) => page.getByRole("button", { name: "Put it on the shelf" }).click();
const onBench = (page: Page) => page.locator("#value-acid").waitFor();
/** "8.3 ± 0.5" of one drink's row in the table under the picture. */
const doubtOf = async (page: Page, look: string) => {
  const text = await page.locator(`.shift tr[data-look="${look}"] td[data-axis="0"]`).textContent();
  return Number(text!.split("±")[1]);
};

describe("the kitchen", () => {
  test("a honey syrup and an adjusted juice go into a drink; a Brix is read, and the doubt shrinks", async () => {
    const { page, context, troubles } = await visit(site, FLAT);
    await onBench(page);
    const flat = await reading(page);

    await toPreps(page, "Syrup");
    // By volume and by weight are two syrups: both are said.
    await page.getByText(/^By volume it holds .* by weight it would hold/).waitFor();
    await shelve(page);
    await page.getByRole("heading", { name: "Honey syrup 3:1" }).waitFor();
    expect(await page.locator("#label").textContent()).toMatch(/Use by \d{4}-\d\d-\d\d/);
    expect(await page.locator(".take-care").textContent()).toContain("under twelve months");
    const syrup = new URL(page.url()).pathname.split("/").at(-1)!;
    await page.getByRole("button", { name: /in place of Simple syrup/ }).click();
    await page.locator(`li.line[data-ingredient="${syrup}"]`).waitFor();

    await toPreps(page, "Juice");
    await page.locator(".both-ways .p-mark").first().waitFor();
    // As it is, the juice adjusted, lime added: the latter two equally sour, the last one longer.
    const rows = page.locator(".both-ways tbody tr");
    expect(await rows.count()).toBe(3);
    const acid = await rows.locator('td[data-axis="1"]').allTextContents();
    expect(Number.parseFloat(acid[1]!)).toBeCloseTo(Number.parseFloat(acid[2]!), 1);
    expect(Number.parseFloat(acid[1]!)).toBeGreaterThan(2 * Number.parseFloat(acid[0]!));
    expect(await page.locator(".take-care").textContent()).toContain("eye protection");
    await shelve(page);
    await page.getByRole("button", { name: /in place of Pineapple juice/ }).click();
    await onBench(page);
    const sour = await reading(page);
    expect(sour.acid).toBeGreaterThan(2 * flat.acid);

    await toPreps(page, "Shelf");
    await page.getByRole("link", { name: /Honey syrup/ }).click();
    await page.locator('.shift tr[data-look="after"]').waitFor();
    await page.getByLabel("Refractometer: Shows, °Bx").fill("62");
    await page.getByLabel("Refractometer: Shows, °Bx").press("Enter");
    await page.getByText(/^Your sugar: .* in place of/).waitFor();
    expect(await doubtOf(page, "after")).toBeLessThan(await doubtOf(page, "before"));
    expect(await page.locator(".surer").textContent()).toMatch(/sugar ± [\d.]+ → ± [\d.]+ g\/100 mL/);

    await page.goBack();
    await page
      .getByRole("navigation", { name: "Rooms" })
      .getByRole("link", { name: "Bench", exact: true })
      .click();
    await onBench(page);
    const measured = await reading(page);
    // Thinner than the table said: less sugar in the drink at once.
    expect(measured.sugar).toBeLessThan(sour.sugar);

    // All of it is there after the page was closed.
    await page.waitForFunction(() =>
      localStorage.getItem("steelyard.settings.v1")?.includes("refractometer"),
    );
    await page.reload();
    await onBench(page);
    expect(await reading(page)).toEqual(measured);
    await toPreps(page, "Shelf");
    expect(await page.locator(".shelf-list > li").count()).toBe(2);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("a fruit's own reading takes the table's place until it is taken back", async () => {
    const { page, context, troubles } = await visit(site, FLAT);
    await onBench(page);
    const before = await reading(page);
    await toPreps(page, "Measure");
    await page.getByRole("combobox", { name: "Ingredient" }).fill("pineapple");
    await page
      .getByRole("option", { name: /Pineapple juice, fresh/ })
      .first()
      .click();
    await page.getByLabel("Titration: Used, mL").fill("14");
    await page.getByLabel("Titration: Used, mL").press("Enter");
    // 14 mL of 0.1 mol/L in 10 mL: 14 × 0.1 × 0.064042 × 100 / 10 = 0.897 g/100 mL as citric (AOAC 942.15).
    await page.getByText(/^Your acid: 0\.90 ± 0\.01 g\/100 mL/).waitFor();
    await page.getByRole("button", { name: "Pour with these figures" }).click();
    await page
      .getByRole("navigation", { name: "Rooms" })
      .getByRole("link", { name: "Bench", exact: true })
      .click();
    await onBench(page);
    expect((await reading(page)).acid).toBeGreaterThan(before.acid);
    await page.goBack();
    await page.getByRole("button", { name: "Go back to the table's figures" }).click();
    await page
      .getByRole("navigation", { name: "Rooms" })
      .getByRole("link", { name: "Bench", exact: true })
      .click();
    await onBench(page);
    expect(await reading(page)).toEqual(before);
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("one weighed shake bends the curve of melt water to the user's hand, and the drink reckons with it", async () => {
    const { page, context, troubles } = await visit(site, FLAT);
    await toPreps(page, "Ice");
    await page.locator(".p-line").first().waitFor();
    const line = () => page.locator(".line-water").getAttribute("d");
    const usual = await line();
    const poured = Number(/weighs (\d+) g/.exec((await page.locator(".maker-asks").textContent())!)![1]);
    await page.getByLabel("It weighs, g").fill(String(poured + 70));
    await page.getByLabel("It weighs, g").press("Enter");
    await page.locator("#melt-fit").waitFor();
    expect(await line()).not.toBe(usual);
    expect(await page.locator(".maker-tells").textContent()).toMatch(/with 70 mL of melt water/);
    await page.getByRole("button", { name: "Reckon the drink with this water" }).click();
    expect(troubles).toEqual([]);
    await context.close();
  });
});
