import type { CDPSession, Page } from "playwright-core";
import { openSite, type Site, visit } from "../browser/open-page.ts";

// How soon the page answers the hand on a slow machine: the processor slowed four times by Chromium itself, real
// input through the browser's own queue (a finger at 390 px, a mouse at 1440, keys at both), and times as the browser
// tells them: from the input to the frame on the screen (Event Timing), and from frame to frame while something is
// dragged. Beside it a yardstick, in the same run: a copy of the same document, styles and all, in which the same
// input moves one element and nothing else happens. Three frames are the 50 ms of a touch, two the 33 ms of a smooth
// drag, on a screen that draws sixty times a second.

const SLOWED = 4;
/** Taps and steps by key. */
const STEPS = 40;
/** Pauses between them, in turn, ms: what the page puts off until the hand rests must not catch the next input. */
const PAUSES_MS = [30, 90, 190, 260, 560];
const DRAG_MS = 2500;
/** As often as a finger's place is told: Chromium does not wait for a frame with input that comes this way. */
const MOVE_EVERY_MS = 16;
/** Event Timing tells nothing shorter. */
const SHORTEST_MS = 16;

export const ACTS = ["tap", "key", "drag", "wish"] as const;
export type Act = (typeof ACTS)[number];
export const WINDOWS = {
  phone: { width: 390, height: 844, touch: true },
  desk: { width: 1440, height: 900, touch: false },
} as const;

/** One way of using the page: 95 of 100 were as quick or quicker. */
export interface HandTime {
  window: keyof typeof WINDOWS;
  act: Act;
  /** In frames of the page at rest. */
  frames: number;
  /** Against the copy in which one element moves. */
  overCopy: number;
}

const p95 = (times: readonly number[]) =>
  [...times].sort((a, b) => a - b)[Math.ceil(0.95 * times.length) - 1]!;
const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));

interface Clock {
  /** The longest part of each interaction with the page, ms by its id. */
  interactions: Map<number, number>;
  /** When each frame began, ms. */
  frames: number[];
}

/** Have the page note its own interactions and frames. */
const startClock = (page: Page) =>
  page.evaluate((durationThreshold) => {
    const clock = window as unknown as Clock;
    clock.interactions = new Map();
    clock.frames = [];
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries() as (PerformanceEventTiming & { interactionId: number })[]) {
        const { interactionId: id, duration } = entry;
        if (id > 0) clock.interactions.set(id, Math.max(duration, clock.interactions.get(id) ?? 0));
      }
    }).observe({ type: "event", durationThreshold } as PerformanceObserverInit);
    const note = (at: number) => {
      clock.frames.push(at);
      requestAnimationFrame(note);
    };
    requestAnimationFrame(note);
  }, SHORTEST_MS);

/** What the clock noted since it was last read. */
const readClock = (page: Page) =>
  page.evaluate(async () => {
    const clock = window as unknown as Clock;
    // Entries are told after the frame they speak of.
    await new Promise((done) => setTimeout(done, 300));
    const told = { interactions: [...clock.interactions.values()], frames: clock.frames };
    clock.interactions = new Map();
    clock.frames = [];
    return told;
  });

const gapsOf = (frames: readonly number[]) => frames.slice(1).map((at, i) => at - frames[i]!);

interface XY {
  x: number;
  y: number;
}

/** A finger or a mouse, by Chromium's own input. */
interface Pointer {
  down(at: XY): Promise<unknown>;
  move(at: XY): Promise<unknown>;
  up(at: XY): Promise<unknown>;
}

function pointerOf(cdp: CDPSession, touch: boolean): Pointer {
  const finger = (type: "touchStart" | "touchMove" | "touchEnd") => (at: XY) =>
    cdp.send("Input.dispatchTouchEvent", { type, touchPoints: type === "touchEnd" ? [] : [at] });
  const mouse = (type: "mousePressed" | "mouseMoved" | "mouseReleased", buttons: number) => (at: XY) =>
    cdp.send("Input.dispatchMouseEvent", { type, ...at, button: "left", buttons, clickCount: 1 });
  return touch
    ? { down: finger("touchStart"), move: finger("touchMove"), up: finger("touchEnd") }
    : { down: mouse("mousePressed", 1), move: mouse("mouseMoved", 1), up: mouse("mouseReleased", 0) };
}

/** A line of the demo's spec, from the first. */
const line = (n: number) => `li.line:nth-child(${n + 1})`;
/** The lime juice: a long arm with many rungs. */
const SLID = 'li.line[data-ingredient="juice-lime"]';
const amountOf = (page: Page) => page.locator(`${SLID} input.poise`).inputValue();
const HAND = "#map .m-mark.is-hand .shape";

/** Where the middle of an element is in the window. */
const middleOf = (page: Page, css: string): Promise<XY> =>
  page.evaluate((selector) => {
    const box = document.querySelector(selector)!.getBoundingClientRect();
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  }, css);

/**
 * Every interaction's time to its frame, ms. The lines are stepped in turn, twice up and twice down: the drink stays
 * near, and is hardly ever one that was drawn before.
 */
async function repeated(page: Page, act: (css: string, up: boolean) => Promise<unknown>): Promise<number[]> {
  await readClock(page);
  const lines = await page.locator("li.line").count();
  for (let i = 0; i < STEPS; i += 1) {
    await act(line(i % lines), Math.floor(i / lines) % 4 < 2);
    await pause(PAUSES_MS[i % PAUSES_MS.length]!);
  }
  const { interactions } = await readClock(page);
  const untold = Math.max(0, STEPS - interactions.length);
  return [...interactions, ...Array.from({ length: untold }, () => SHORTEST_MS)];
}

/** The gaps between frames while a pointer that is down goes to and fro, ms. */
async function dragged(page: Page, pointer: Pointer, from: XY, at: (turn: number) => XY): Promise<number[]> {
  await pointer.down(from);
  await pointer.move(at(0));
  await readClock(page);
  const moves: Promise<unknown>[] = [];
  const start = performance.now();
  for (let now = start; now - start < DRAG_MS; now = performance.now()) {
    moves.push(pointer.move(at((now - start) / 300)));
    await pause(MOVE_EVERY_MS);
  }
  await Promise.all(moves);
  // What comes after the hand stopped is no frame of the drag.
  const { frames } = await readClock(page);
  const gaps = gapsOf(frames.filter((t) => t <= frames[0]! + DRAG_MS));
  await pointer.up(at(0));
  return gaps;
}

/** What each act takes on a page, and a frame of it at rest, ms. */
async function timesOn(
  page: Page,
  touch: boolean,
): Promise<{ moved: boolean; times: Record<Act | "rest", number> }> {
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("Emulation.setCPUThrottlingRate", { rate: SLOWED });
  await startClock(page);
  const pointer = pointerOf(cdp, touch);
  const look = (css: string) =>
    page
      .locator(css)
      .first()
      .evaluate((e) => e.scrollIntoView({ block: "center" }));

  await look(line(2));
  await readClock(page);
  await pause(1000);
  const rest = p95(gapsOf((await readClock(page)).frames));

  // First, while the drink is in the middle of its map.
  await look(HAND);
  await pause(800);
  const mark = await middleOf(page, HAND);
  const round = (turn: number): XY => ({
    x: mark.x + 30 * Math.sin(turn),
    y: mark.y - 24 * Math.sin(0.7 * turn),
  });
  const wish = await dragged(page, pointer, mark, round);
  const wished = (await page.locator("#wish").count()) > 0;
  await look(line(2));
  await pause(300);

  const tap = await repeated(page, async (css, up) => {
    const at = await middleOf(page, `${css} button.square[aria-label^="${up ? "More" : "Less"}"]`);
    await pointer.down(at);
    await pointer.up(at);
  });
  const key = await repeated(page, async (css, up) => {
    await page.locator(`${css} input.amount`).focus();
    await pause(50);
    await page.keyboard.press(up ? "ArrowUp" : "ArrowDown");
  });

  await look(SLID);
  // On a phone the arm can be taken once its line is open.
  if (touch)
    await page.evaluate((css) => document.querySelector<HTMLElement>(`${css} .line-name`)?.click(), SLID);
  await pause(800);
  const before = await amountOf(page);
  const poise = (await page.locator(`${SLID} input.poise`).boundingBox())!;
  const along = (turn: number): XY => ({
    x: poise.x + poise.width * (0.36 + 0.3 * Math.sin(turn)),
    y: poise.y + poise.height / 2,
  });
  const drag = await dragged(page, pointer, along(0), along);
  const moved = (await amountOf(page)) !== before;
  await cdp.send("Emulation.setCPUThrottlingRate", { rate: 1 });
  return {
    moved: moved && wished,
    times: { rest, tap: p95(tap), key: p95(key), drag: p95(drag), wish: p95(wish) },
  };
}

/** The document as it stands, as a page of its own without its scripts; any input moves what it is on, and no more. */
async function copyOf(page: Page): Promise<string> {
  const html = await page.evaluate(() => {
    const copy = document.documentElement.cloneNode(true) as HTMLElement;
    for (const script of copy.querySelectorAll("script, link[rel=modulepreload]")) script.remove();
    return copy.outerHTML;
  });
  const move = `
    let odd = false;
    const move = (event) => {
      const mark = event.target.closest(".m-mark");
      const moved = mark ?? event.target.closest("li.line")?.querySelector(".line-title") ?? document.body;
      odd = !odd;
      moved.style.translate = odd ? "1px" : "0px";
    };
    for (const kind of ["click", "keydown", "input"]) addEventListener(kind, move);
    addEventListener("pointermove", (event) => event.buttons > 0 && event.target.closest(".m-mark") && move(event));`;
  return `<!doctype html>${html.replace("</body>", () => `<script>${move}</script></body>`)}`;
}

async function timesIn(site: Site, name: keyof typeof WINDOWS): Promise<HandTime[]> {
  const size = WINDOWS[name];
  const { page, context } = await visit(site, "/", size);
  await page.locator("#map").scrollIntoViewIfNeeded();
  await page.locator("#map .m-mark.is-hand").waitFor();
  // What is fetched ahead once the page is at rest has come.
  await pause(4000);
  await page.waitForLoadState("networkidle");
  const html = await copyOf(page);
  const { times: ours, moved } = await timesOn(page, size.touch);
  if (!moved) throw new Error(`the hand did not reach the page on the ${name}`);
  await context.route("**/copy-of-the-page", (route) =>
    route.fulfill({ contentType: "text/html", body: html }),
  );
  await page.goto(`${site.origin}/copy-of-the-page`);
  const { times: copy } = await timesOn(page, size.touch);
  if (process.env.HAND_MS) console.error(name, ours, copy);
  await context.close();
  return ACTS.map((act) => ({
    window: name,
    act,
    frames: ours[act] / ours.rest,
    overCopy: ours[act] / copy[act],
  }));
}

/** Work the demo bench on a slowed phone and a slowed desk. Needs the built server and Chromium. */
export async function benchHand(): Promise<HandTime[]> {
  const site = await openSite();
  try {
    return [...(await timesIn(site, "phone")), ...(await timesIn(site, "desk"))];
  } finally {
    await site.close();
  }
}
