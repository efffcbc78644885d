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

/** Stands for the address of a taster, which only the server can give. */
const SEAT = "seat";

interface State {
  name: string;
  path: string;
  /** Needs the tasters and marks of a table: all such pictures are of one bench on a server that keeps. */
  table?: boolean;
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
      await page.locator(".line-more").waitFor();
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
  {
    name: "own-ingredient",
    path: "/",
    act: async (page) => {
      await page.locator("#add-line").fill("yuzu cordial");
      await page.locator(".combobox .new").click();
      await page.locator(".own-dialog[open]").waitFor();
    },
  },
  { name: "card", path: "/card", whole: true },
  { name: "benches", path: "/benches" },
  { name: "pantry", path: "/pantry/juice-lime" },
  {
    name: "pantry-drinks",
    path: "/pantry#drinks",
    act: (page) => openFold(page, /classic drinks, and where/),
  },
  {
    name: "pantry-sources",
    path: "/pantry",
    act: async (page) => {
      await page.locator(".citations li").first().waitFor();
      await page.locator("#evidence").evaluate((heading) => heading.scrollIntoView());
    },
  },
  { name: "taste-empty", path: "/taste", whole: true },
  { name: "taste", path: "/taste", table: true, whole: true },
  { name: "taste-phone", path: SEAT, table: true, whole: true },
];

/** Open a fold of a room by what it says. */
async function openFold(page: Page, said: RegExp): Promise<void> {
  await page.locator("summary", { hasText: said }).click();
  await page.locator("summary", { hasText: said }).evaluate((summary) => summary.scrollIntoView());
}

/** Invented marks, by round: liking, sweet, sour, strong, words. */
const MARKS = [
  [4, 2, -1, 0, ["thin"]],
  [6, 1, -1, 0, []],
  [8, 0, 0, 1, ["bright"]],
] as const;

/** Pour a flight of three rounds and hand in the forms of two tasters; gives the address of a third, who has begun. */
async function layTable(page: Page, origin: string): Promise<string> {
  await page.goto(`${origin}/taste`);
  const boxes = page.locator(".new-flight input[type=checkbox]");
  await boxes.first().waitFor();
  for (const [i, box] of (await boxes.all()).entries()) await box.setChecked(i < MARKS.length);
  await page.locator("#pour-flight").click();
  await page.locator(".flight").waitFor();
  let seat = "";
  for (const [t, taster] of ["Invented Ash", "Invented Birch", "Invented Cedar"].entries()) {
    await page.getByLabel("Name of a taster").fill(taster);
    await page.locator("#make-seat").click();
    seat = await page.getByLabel(`Link for ${taster}`, { exact: true }).inputValue();
    const secret = new URL(seat).hash.slice("#seat=".length);
    const headers = { Authorization: `Bearer ${secret}`, "Content-Type": "application/json" };
    const table = (await (await fetch(`${origin}/v1/taste`, { headers })).json()) as {
      flights: { id: string; codes: string[] }[];
    };
    const [flight] = table.flights;
    // The last taster is in the middle of it.
    const codes = [...(flight?.codes ?? [])].sort().slice(0, t === 2 ? 1 : MARKS.length);
    for (const [i, code] of codes.entries()) {
      const [liking, sweet, sour, strong, words] = MARKS[i]!;
      const said = { liking: Math.min(9, liking + t - 1), sweet, sour, strong, words, notes: "" };
      const body = JSON.stringify({ flight: flight?.id, code, ...said });
      const sent = await fetch(`${origin}/v1/taste`, { method: "POST", headers, body });
      if (!sent.ok) throw new Error(`A form was refused: ${await sent.text()}`);
    }
  }
  await page.locator("#table-range").waitFor();
  return new URL(seat).pathname + new URL(seat).hash;
}

const [wanted = "", onlyWidth = "", onlyScheme = ""] = process.argv.slice(2);
mkdirSync(OUT, { recursive: true });
const shots = WIDTHS.filter((size) => onlyWidth === "" || size.name === onlyWidth).flatMap((size) =>
  (["light", "dark"] as const)
    .filter((scheme) => onlyScheme === "" || scheme === onlyScheme)
    .map((scheme) => ({ ...size, scheme, ending: `${size.name}-${scheme}.png` })),
);
const states = STATES.filter(({ name }) => name.includes(wanted));
const shoot = (page: Page, state: State, ending: string) =>
  page.screenshot({ path: join(OUT, `${state.name}-${ending}`), fullPage: state.whole === true });

const site = await openSite();
try {
  for (const state of states.filter(({ table }) => !table)) {
    for (const { ending, ...options } of shots) {
      const { page, context, troubles } = await visit(site, state.path, options);
      // The map comes a moment after the page, where it is in sight.
      const host = page.locator(".map-host").first();
      if ((await host.count()) > 0 && ((await host.boundingBox())?.y ?? Infinity) < options.height)
        await page.locator(".map-host .m-mark").first().waitFor();
      await state.act?.(page);
      await shoot(page, state, ending);
      if (troubles.length > 0) console.log(state.name, ending, troubles);
      await context.close();
    }
  }
} finally {
  await site.close();
}
const ofTable = states.filter(({ table }) => table);
if (ofTable.length > 0) {
  const house = await openSite({ kept: true });
  try {
    const { page, context } = await visit(house, "/", { width: 1440, height: 900 });
    const seat = await layTable(page, house.origin);
    for (const state of ofTable) {
      for (const { ending, width, height, scheme } of shots) {
        const shown = await context.newPage();
        await shown.emulateMedia({ colorScheme: scheme });
        await shown.setViewportSize({ width, height });
        await shown.goto(`${house.origin}${state.path === SEAT ? seat : state.path}`);
        const shows = shown.locator(state.path === SEAT ? ".glass-form" : ".table-map");
        await shows.first().waitFor();
        await shows.first().scrollIntoViewIfNeeded();
        if (state.path !== SEAT) await shown.locator(".table-map .map-host svg").first().waitFor();
        await shoot(shown, state, ending);
        await shown.close();
      }
    }
  } finally {
    await house.close();
  }
}
console.log(`Pictures are in ${OUT}`);
