import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { openSite, visit } from "./open-page.ts";

// One command that writes a picture of every room and state, at three widths, light and dark, for people to look
// at: npx tsx tests/browser/pictures.ts [part of a name] [width]. They land in .build/pictures/.

const OUT = new URL("../../.build/pictures/", import.meta.url).pathname;
const WIDTHS = [
  { name: "390", width: 390, height: 844 },
  { name: "1440", width: 1440, height: 900 },
  { name: "1920", width: 1920, height: 1080 },
];

const DULL =
  "/#v=1&n=Dull&m=shaken&l=rum-aged:2oz&l=juice-lime:0.25oz&l=syrup-simple-1-1:1oz&t=family:sour:0.9&u=oz&k=us-jigger";

interface State {
  name: string;
  path: string;
  /** What is done before the picture is taken. */
  act?: (page: Page) => Promise<void>;
  /** The whole page, not only the first screen. */
  whole?: boolean;
}

const ask = async (page: Page) => {
  await page.locator("#ask-button").click();
  await page.locator("#answers .card").first().waitFor();
  await page.waitForTimeout(600);
};

const STATES: State[] = [
  { name: "bench-demo", path: "/" },
  { name: "bench-demo-whole", path: "/", whole: true },
  { name: "bench-answered", path: "/", act: ask },
  { name: "bench-answered-whole", path: "/", act: ask, whole: true },
  { name: "bench-dull", path: DULL },
  {
    name: "bench-line-open",
    path: "/",
    act: async (page) => {
      await page.locator("li.line .line-name").nth(1).click();
    },
  },
  {
    name: "bench-wish",
    path: "/",
    act: async (page) => {
      await page.locator("#map").scrollIntoViewIfNeeded();
      const box = await page.locator(".m-mark.is-hand").boundingBox();
      if (!box) return;
      await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
      await page.mouse.down();
      await page.mouse.move(box.x + 60, box.y - 70, { steps: 5 });
      await page.mouse.up();
      await page.waitForTimeout(700);
    },
  },
  {
    name: "bench-pull",
    path: "/",
    act: async (page) => {
      await page.locator("li.line").last().hover();
      await page.waitForTimeout(200);
    },
  },
  {
    name: "bench-infeasible",
    path: DULL,
    act: async (page) => {
      for (const i of [1, 2]) {
        await page.locator("li.line .line-name").nth(i).click();
        await page.locator("li.line").nth(i).locator(".switch").click();
      }
      await page.locator("#ask-button").click();
      await page.locator("#answers .infeasible").waitFor();
    },
    whole: true,
  },
  {
    name: "bench-dose",
    path: DULL,
    act: async (page) => {
      await page.locator(".question input").fill("how much lime for sour range");
      await page.locator(".question button[type=submit]").click();
      await page.locator(".dose").waitFor();
      await page.locator(".dose").scrollIntoViewIfNeeded();
    },
  },
  {
    name: "bench-question-refused",
    path: DULL,
    act: async (page) => {
      await page.locator(".question input").fill("a bar spoon less");
      await page.locator(".question button[type=submit]").click();
      await page.locator(".question [role=alert]").waitFor();
      await page.locator(".question").scrollIntoViewIfNeeded();
    },
  },
  {
    name: "paste",
    path: "/",
    act: async (page) => {
      await page.getByRole("button", { name: /Paste/ }).first().click();
      await page
        .locator("#paste-text")
        .fill("2 oz gin\n3/4 oz lemon\n3/4 oz simple syrup\ngrapfruit 1/2 oz\nShake and strain into a coupe");
      await page.locator(".paste-lines li").first().waitFor();
    },
  },
  {
    name: "blank",
    path: "/",
    act: async (page) => {
      await page.locator(".bench-menu .menu-button").click();
      await page.getByRole("button", { name: "Start a blank bench" }).click();
    },
  },
  { name: "present", path: "/present" },
  {
    name: "present-step",
    path: "/present",
    act: async (page) => {
      await page.getByRole("button", { name: "Step through the rounds" }).click();
      for (let i = 0; i < 3; i += 1) await page.getByRole("button", { name: "Next round" }).click();
      await page.waitForTimeout(300);
    },
  },
  {
    name: "menu",
    path: "/menu",
    act: async (page) => {
      await page.getByRole("button", { name: "Try an invented list" }).click();
      await page.locator(".menu-shown").waitFor();
    },
    whole: true,
  },
  { name: "lessons", path: "/lessons" },
  { name: "lesson-3", path: "/lessons/3" },
  {
    name: "sheet",
    path: "/",
    act: async (page) => {
      await page.getByRole("button", { name: "Save the picture" }).click();
      const [download] = await Promise.all([
        page.waitForEvent("download"),
        page.getByRole("button", { name: /PNG/ }).click(),
      ]);
      await download.saveAs(join(OUT, "sheet-file.png"));
    },
  },
  { name: "preps-shelf", path: "/preps" },
  { name: "preps-syrup", path: "/preps/syrup", whole: true },
  { name: "preps-juice", path: "/preps/juice", whole: true },
  { name: "preps-spirit", path: "/preps/spirit", whole: true },
  { name: "preps-ice", path: "/preps/ice", whole: true },
  {
    name: "preps-reading",
    path: "/preps/reading-juice-pineapple",
    whole: true,
    act: async (page) => {
      await page.getByLabel("Refractometer: Shows, °Bx").fill("12.4");
      await page.keyboard.press("Enter");
      await page.getByText("Your sugar").waitFor();
    },
  },
  {
    name: "preps-record",
    path: "/preps/syrup",
    whole: true,
    act: async (page) => {
      await page.getByRole("button", { name: "Put it on the shelf" }).click();
      await page.getByLabel("Refractometer: Shows, °Bx").fill("66");
      await page.keyboard.press("Enter");
      await page.locator(".label").waitFor();
    },
  },
  { name: "benches", path: "/benches" },
  { name: "pantry", path: "/pantry/juice-lime" },
];

const [wanted = "", onlyWidth = "", onlyScheme = ""] = process.argv.slice(2);
mkdirSync(OUT, { recursive: true });
const site = await openSite();
try {
  for (const state of STATES.filter(({ name }) => name.includes(wanted))) {
    for (const { name, width, height } of WIDTHS.filter(
      (size) => onlyWidth === "" || size.name === onlyWidth,
    )) {
      for (const scheme of (["light", "dark"] as const).filter(
        (s) => onlyScheme === "" || s === onlyScheme,
      )) {
        const { page, context, troubles } = await visit(site, state.path, { width, height, scheme });
        await state.act?.(page);
        const path = join(OUT, `${state.name}-${name}-${scheme}.png`);
        await page.screenshot({ path, fullPage: state.whole === true });
        if (troubles.length > 0) console.log(state.name, name, scheme, troubles);
        await context.close();
      }
    }
  }
} finally {
  await site.close();
}
console.log(`Pictures are in ${OUT}`);
