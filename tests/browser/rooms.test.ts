import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { scan } from "./axe.ts";
import { enterRoom, openSite, type Site } from "./open-page.ts";

// Every room, held to the same facts: no finding of axe in either scheme (WCAG 2.2 AA), nothing cut off, nothing on
// top of another, and all of it reachable by keyboard. Facts of layout, not pixels.

let site: Site;
beforeAll(async () => {
  site = await openSite();
});
afterAll(() => site?.close());

const ROOMS = [
  "/",
  "/taste",
  "/card",
  "/present",
  "/benches",
  "/menu",
  "/pantry",
  "/preps",
  "/preps/syrup",
  "/preps/juice",
  "/preps/spirit",
  "/preps/reading-juice-pineapple",
  "/preps/ice",
  "/lessons",
  "/lessons/3",
];
const WIDTHS = [390, 768, 1440, 1920];
/** Where axe looks: each scheme and each size every time, all pairs of them at night. */
const LOOKS = [
  ["light", 390],
  ["dark", 1440],
  ...(process.env.STEELYARD_DEPTH === "nightly"
    ? ([
        ["light", 1440],
        ["dark", 390],
      ] as const)
    : []),
] as const;
/** A walk that takes more stops than this is a trap; the pantry has a stop for each of its ingredients. */
const mostStops = (path: string) => (path === "/pantry" ? 600 : 150);

/** What sticks out, is cut off or lies on another, one line each. */
const layoutFaults = (page: Page) =>
  page.evaluate(() => {
    const faults: string[] = [];
    const name = (element: Element) =>
      `${element.tagName.toLowerCase()}.${element.getAttribute("class") ?? ""} “${(element.textContent ?? "").trim().slice(0, 40)}”`;
    const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    if (wide > 0) faults.push(`the page is ${wide} px wider than the screen`);
    const seen = (element: Element) =>
      element.checkVisibility({ opacityProperty: true, visibilityProperty: true }) &&
      element.closest(".visually-hidden, .skip, svg, [aria-hidden=true]") === null;
    for (const element of document.querySelectorAll<HTMLElement>("body *")) {
      if (!seen(element) || element.textContent?.trim() === "") continue;
      const style = getComputedStyle(element);
      const cuts = style.overflowX === "hidden" || style.overflowX === "clip";
      const told = style.textOverflow === "ellipsis" || element.matches("input, select, textarea, .scroll");
      if (cuts && !told && element.scrollWidth > element.clientWidth + 1)
        faults.push(`${name(element)} is cut off`);
    }
    const controls = [
      ...document.querySelectorAll<HTMLElement>(
        "main :is(button, a[href], input, select, textarea, summary)",
      ),
    ].filter((control) => {
      for (let at: Element | null = control; at; at = at.parentElement)
        if (["fixed", "sticky"].includes(getComputedStyle(at).position)) return false;
      return seen(control);
    });
    const boxes = controls.map((control) => control.getBoundingClientRect());
    boxes.forEach((a, i) => {
      if (a.right > innerWidth + 1 && controls[i]!.closest(".scroll") === null)
        faults.push(`${name(controls[i]!)} sticks out`);
      boxes.slice(i + 1).forEach((b, j) => {
        const other = controls[i + 1 + j]!;
        if (controls[i]!.contains(other)) return;
        const [w, h] = [
          Math.min(a.right, b.right) - Math.max(a.left, b.left),
          Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top),
        ];
        // A slider's own margin reaches under its neighbours; what hides a fifth of one is a fault.
        const least = Math.min(a.width * a.height, b.width * b.height);
        if (w > 0 && h > 0 && w * h > least / 5) faults.push(`${name(controls[i]!)} lies on ${name(other)}`);
      });
    });
    return faults;
  });

interface Stop {
  what: string;
  /** It can be seen that it has the focus. */
  marked: boolean;
  /** Something else lies over its middle. */
  covered: boolean;
}

/** Every stop of the Tab key from the top of the page until it leaves the page. */
async function walk(page: Page, most: number): Promise<Stop[]> {
  const stops: Stop[] = [];
  for (let i = 0; i < most; i += 1) {
    await page.keyboard.press("Tab");
    const stop = await page.evaluate(() => {
      const element = document.activeElement;
      if (!element || element === document.body) return null;
      const ended = element.hasAttribute("data-walked");
      element.setAttribute("data-walked", "");
      if (ended) return null;
      const box = element.getBoundingClientRect();
      const style = getComputedStyle(element);
      const [x, y] = [box.left + box.width / 2, box.top + Math.min(box.height / 2, 20)];
      const over = document.elementFromPoint(x, y);
      // A label's box stands for what it labels; a drawing's mark takes the pointer on its own terms.
      const own = over && (element.contains(over) || over.contains(element) || over.closest("label"));
      return {
        what: `${element.tagName.toLowerCase()}.${element.getAttribute("class") ?? ""}#${element.id} “${(element.getAttribute("aria-label") ?? element.textContent ?? "").trim().slice(0, 40)}”`,
        marked:
          (style.outlineStyle !== "none" && Number.parseFloat(style.outlineWidth) > 0) ||
          element.closest("svg") !== null,
        covered: !own && element.closest("svg") === null,
      };
    });
    if (!stop) break;
    stops.push(stop);
  }
  return stops;
}

describe.each(ROOMS)("%s", (path) => {
  // One visit for all of it: coming in takes longer than looking.
  test("axe finds nothing in either scheme, and nothing is cut off or lies on another at any width", async () => {
    const { page, context, troubles } = await enterRoom(site, path, { width: 390, height: 844 });
    for (const [colorScheme, width] of LOOKS) {
      await page.emulateMedia({ colorScheme });
      await page.setViewportSize({ width, height: 900 });
      expect(await scan(page), `${colorScheme} at ${width} px`).toEqual([]);
    }
    for (const width of WIDTHS) {
      await page.setViewportSize({ width, height: 900 });
      await page.waitForTimeout(100);
      expect(await layoutFaults(page), `at ${width} px`).toEqual([]);
    }
    expect(troubles).toEqual([]);
    await context.close();
  });

  test("the keyboard alone gets through it: each stop is marked and in sight, none is a trap", async () => {
    const { page, context } = await enterRoom(site, path, { width: 1440, height: 900 });
    const stops = await walk(page, mostStops(path));
    expect(stops[0]?.what).toContain("skip");
    expect(stops.filter(({ marked }) => !marked)).toEqual([]);
    expect(stops.filter(({ covered }) => covered)).toEqual([]);
    expect(stops.length).toBeLessThan(mostStops(path));
    await context.close();
  });
});
