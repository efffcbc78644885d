import { readFile } from "node:fs/promises";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { AnyStored, RecordKind, ValuesOf } from "../../engine/bench/records.ts";
import { changeOf, changesTo } from "../../engine/bench/view.ts";
import { ownIngredient } from "../../engine/prep/own-ingredient.ts";
import type { Prep } from "../../engine/prep/types.ts";
import type { Bench, Ingredient } from "../../engine/types.ts";
import { openSite, reading, type Site, visit } from "./open-page.ts";

/*
 * A house (invented) with things of its own: a shrub as its maker states it, a syrup made and read, a juice measured,
 * a small bar spoon, prices, what its card says, a tasting. Whatever leaves it has to come to the same point, and
 * what is kept of it has to come back as it was.
 */

const SHRUB = ownIngredient({
  id: "own-shrub",
  name: "Quince shrub",
  role: "sour-juice",
  brix: 31,
  acidGPer100Ml: 2.4,
});
const SYRUP: Prep = {
  id: "house-honey",
  name: "House honey syrup",
  role: "syrup",
  parts: [
    { ingredient: "honey", amount: 300, unit: "g" },
    { ingredient: "own-shrub", amount: 120, unit: "ml" },
  ],
  measured: [{ kind: "refractometer", readingBrix: 59 }],
  storage: "fridge",
  madeOn: "2031-05-09",
  batch: "1",
};
const lines: Bench["rounds"][number]["spec"]["lines"] = [
  { ingredient: "rum-aged", amount: 2, unit: "oz" },
  { ingredient: "juice-lime", amount: 0.5, unit: "oz" },
  { ingredient: SHRUB.id, amount: 0.5, unit: "oz" },
  { ingredient: SYRUP.id, amount: 2, unit: "barspoon" },
];
const spec = { name: "Quince sour", method: "shaken" as const, lines };
const BENCH: Bench = {
  id: "quince",
  name: "Quince",
  target: "",
  current: "q2",
  invented: true,
  rounds: [
    { id: "q1", number: 1, parent: null, label: "First pour", spec: { ...spec, lines: lines.slice(0, 3) } },
    { id: "q2", number: 2, parent: "q1", label: "With the syrup", spec },
  ],
};
const AT = `01JC${"0".repeat(21)}1`;
const shared = <K extends RecordKind>(
  kind: K,
  id: string,
  values: Partial<ValuesOf<K>>,
  bench: string | null = null,
) => changeOf(kind, id, bench, { ...values, deleted: false } as Partial<ValuesOf<K>>, AT) as AnyStored;
const setting = (id: string, value: unknown) =>
  shared("setting", id, { value } as Partial<ValuesOf<"setting">>);
const SIZES = {
  barspoonMl: 3,
  barspoonSdMl: 0.2,
  dashMl: 0.8,
  dashSdMl: 0.15,
  dropMl: 0.05,
  dropSdMl: 0.01,
  partMl: 30,
};
const HOUSE: AnyStored[] = [
  ...changesTo(null, BENCH, AT),
  shared("ingredient", SHRUB.id, { form: 1, item: SHRUB as Ingredient as ValuesOf<"ingredient">["item"] }),
  shared("prep", SYRUP.id, { form: 1, item: SYRUP as ValuesOf<"prep">["item"] }),
  setting("unit-sizes", SIZES),
  setting("measured:juice-lime", { acid: 5.1, sugar: 1.3 }),
  setting("price:rum-aged", 31.5),
  setting("card:quince", { garnish: "Quince leaf", notes: "Cold glass.", pourCostPercent: 20 }),
  shared(
    "tasting",
    "t1",
    {
      round: "q2",
      flight: null,
      taster: "Invented Finch",
      liking: 7,
      sweet: 0,
      sour: 1,
      strong: -1,
      words: ["bright"],
      notes: "More please",
    },
    "quince",
  ),
];

let site: Site;
let clean: Site;
let point: Awaited<ReturnType<typeof reading>>;
const ask = async (of: Site, path: string, body?: object) => {
  const response = await fetch(`${of.origin}${path}`, {
    ...(body && {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
    }),
  });
  expect(response.ok, `${path}: ${response.status}`).toBe(true);
  return response.json();
};
const kept = (page: Page, state = "kept") =>
  page.waitForSelector(`#rounds .kept-where[data-state="${state}"]`);
/** The four lines and the three numbers, once the drink is placed. */
const stands = async (page: Page) => {
  await page.waitForFunction(() => document.querySelectorAll("li.line").length === 4);
  await page.waitForFunction(() => Number(document.querySelector("#value-acid")?.textContent) > 0);
  return reading(page);
};
const menu = (page: Page) => page.locator(".bench-menu .menu-button").click();

beforeAll(async () => {
  [site, clean] = [await openSite({ kept: true }), await openSite({ kept: true })];
  await ask(site, "/v1/sync", { house: null, after: 0, changes: HOUSE });
  const desk = await visit(site, "/");
  await kept(desk.page);
  await desk.page.goto(`${site.origin}/bench/quince`);
  point = await stands(desk.page);
  await desk.context.close();
});
afterAll(async () => {
  await site?.close();
  await clean?.close();
});

/** The house's own browser, on the bench. */
async function atDesk() {
  const desk = await visit(site, "/");
  await kept(desk.page);
  await desk.page.goto(`${site.origin}/bench/quince`);
  await stands(desk.page);
  return desk;
}

test("the house's own things make the point: without them it is another", async () => {
  const bare = await visit(
    clean,
    "/#v=1&n=Q&m=shaken&l=rum-aged:2oz&l=juice-lime:0.5oz&l=syrup-honey:2barspoon",
  );
  await bare.page.waitForFunction(() => document.querySelectorAll("li.line").length >= 2);
  expect(await reading(bare.page)).not.toEqual(point);
  await bare.context.close();
});

test("a bench's file comes to the same point on a clean machine, its ingredients and preps with it", async () => {
  const { page, context } = await atDesk();
  await menu(page);
  const [file] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name: "Save a file" }).click(),
  ]);
  const buffer = await readFile(await file.path());
  await context.close();
  const there = await visit(clean, "/");
  await there.page.setInputFiles("#bench-file", { name: "q.json", mimeType: "application/json", buffer });
  await there.page.locator(".notice", { hasText: "Quince shrub" }).waitFor();
  await expect.poll(() => stands(there.page)).toEqual(point);
  await kept(there.page);
  // It is there after a reload, from what this browser keeps, and its record is on the shelf.
  await there.page.reload();
  await expect.poll(() => stands(there.page)).toEqual(point);
  await there.page.goto(`${clean.origin}/preps/house-honey`);
  await there.page.getByRole("heading", { name: "House honey syrup" }).waitFor();
  expect(there.troubles).toEqual([]);
  await there.context.close();
});

test("a link to all of it does, in the page that opens it and when it is opened again", async () => {
  const { page, context } = await atDesk();
  await context.grantPermissions(["clipboard-read", "clipboard-write"], { origin: site.origin });
  await menu(page);
  await page.getByRole("button", { name: "Copy a link to all of it" }).click();
  await page.locator(".notice", { hasText: "what they pour" }).waitFor();
  const link = new URL(await page.evaluate(() => navigator.clipboard.readText()));
  await context.close();
  const third = await openSite();
  const there = await visit(third, link.pathname + link.hash);
  await expect.poll(() => stands(there.page)).toEqual(point);
  expect(await there.page.locator(".notice").count()).toBe(0);
  await there.page.waitForFunction(() =>
    localStorage.getItem("steelyard.settings.v1")?.includes("own-shrub"),
  );
  await there.page.goto(`${third.origin}/bench`);
  await there.page.reload();
  await expect.poll(() => stands(there.page)).toEqual(point);
  // Its rounds stand by what came too, not only the drink in work.
  await expect.poll(() => there.page.locator("#map .m-mark-round").count()).toBe(2);
  expect(there.troubles).toEqual([]);
  await there.context.close();
  await third.close();
});

test.each(["viewer", "owner"])(
  "the server's copy does, by a %s's link, for whoever has none of the house",
  async (role) => {
    const { secret } = await ask(site, "/v1/links", { role, bench: "quince", label: "Invented Wren" });
    const there = await visit(site, `/bench#key=${secret}`, { guest: true });
    await there.page.locator(`.by-link[data-role="${role}"]`).waitFor();
    await expect.poll(() => stands(there.page)).toEqual(point);
    await there.page.reload();
    await expect.poll(() => stands(there.page)).toEqual(point);
    // Nothing of it becomes this browser's own; a copy of the bench is, and stands the same.
    const own = () => there.page.evaluate(() => localStorage.getItem("steelyard.settings.v1") ?? "");
    expect(await own()).not.toContain("own-shrub");
    await menu(there.page);
    await there.page.getByRole("button", { name: "Duplicate this bench" }).click();
    await there.page.locator(".bench-name", { hasText: "Quince 2" }).waitFor();
    await expect.poll(() => stands(there.page)).toEqual(point);
    await there.page.waitForFunction(() =>
      localStorage.getItem("steelyard.settings.v1")?.includes("own-shrub"),
    );
    expect(there.troubles).toEqual([]);
    await there.context.close();
  },
);

/** A line's price per litre, under its further settings. */
async function priceOf(page: Page, id: string) {
  const line = page.locator(`li.line[data-ingredient="${id}"]`);
  await line.locator(".line-name").click();
  await line.locator(".line-details summary").click();
  return line.getByLabel("Price per litre");
}

test("a price set at one browser of the house is there at another", async () => {
  const desk = await atDesk();
  const rum = await priceOf(desk.page, "rum-aged");
  expect(await rum.inputValue()).toBe("31.5");
  await rum.fill("28");
  await rum.press("Enter");
  await expect
    .poll(async () => JSON.stringify(await ask(site, "/v1/settings/price:rum-aged")))
    .toContain("28");
  const other = await atDesk();
  expect(await (await priceOf(other.page, "rum-aged")).inputValue()).toBe("28");
  expect([...desk.troubles, ...other.troubles]).toEqual([]);
  await desk.context.close();
  await other.context.close();
});

test("an owner's link to the whole house makes another machine one of its own", async () => {
  const { secret } = await ask(site, "/v1/links", { role: "owner", bench: null, label: "Invented Rook" });
  const there = await visit(site, `/benches#key=${secret}`, { guest: true });
  await there.page.getByRole("link", { name: /^Quince/ }).click();
  await expect.poll(() => stands(there.page)).toEqual(point);
  expect(there.page.url()).not.toContain("key=");
  await there.page.getByLabel(/^Name for round/).fill("Kept from afar");
  await there.page.locator("#save-round").click();
  await expect
    .poll(async () => JSON.stringify(await ask(site, "/v1/benches/quince/rounds")))
    .toContain("Kept from afar");
  expect(there.troubles).toEqual([]);
  await there.context.close();
});

test("a backup restored on a clean machine brings the card's words and the prices into its page", async () => {
  const all = await ask(site, "/v1/backup");
  const third = await openSite({ kept: true });
  await ask(third, "/v1/restore", all);
  const there = await visit(third, "/");
  await kept(there.page);
  await there.page.goto(`${third.origin}/bench/quince`);
  await expect.poll(() => stands(there.page)).toEqual(point);
  expect(await (await priceOf(there.page, "rum-aged")).inputValue()).toBe("28");
  await there.page.locator(".bench-rooms a", { hasText: "Card" }).click();
  await expect.poll(() => there.page.getByLabel("Garnish").inputValue()).toBe("Quince leaf");
  expect(there.troubles).toEqual([]);
  await there.context.close();
  await third.close();
});

test("a thing that comes under a name one has, with other figures, stands beside it, and the notice says why", async () => {
  const { page, context, troubles } = await visit(clean);
  const open = async (id: string, cordial: Ingredient) => {
    const poured = [...lines.slice(0, 2), { ...lines[2]!, ingredient: cordial.id }];
    const rounds = [{ ...BENCH.rounds[0], spec: { ...spec, lines: poured } }];
    const along = { ingredients: [cordial], preps: [] };
    const bench = { ...BENCH, id, current: "q1", rounds, along };
    await page.setInputFiles("#bench-file", {
      name: `${id}.json`,
      mimeType: "application/json",
      buffer: Buffer.from(JSON.stringify(bench)),
    });
  };
  const mine = { ...SHRUB, id: "own-cordial", name: "Cordial" };
  const notice = page.locator(".notice", { hasText: "With it came" });
  await open("first", mine);
  await expect.poll(() => notice.textContent()).toMatch(/came Cordial:/);
  expect(await notice.textContent()).not.toContain("As sent");
  await open("second", { ...mine, abvPercent: { value: 11, sd: 1, source: "own" } } as Ingredient);
  await expect
    .poll(() => notice.textContent())
    .toMatch(/came Cordial \(as sent\).*“As sent” is what you have by the same name with other figures/);
  expect(await page.locator(".line-title").allTextContents()).toContain("Cordial (as sent)");
  expect(troubles).toEqual([]);
  await context.close();
});
