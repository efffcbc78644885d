import type { Page } from "playwright-core";
import { openSite, visit } from "../browser/open-page.ts";

// How soon the page answers the hand on a slow phone: the processor slowed four times by Chromium itself, and every
// time divided by a frame of the same page at rest in the same run. Three frames are the 50 ms of a touch, two the
// 33 ms of a smooth drag, on a screen that draws sixty times a second.

const SLOWED = 4;
const STEPS = 60;

/** In frames of the page at rest; 95 of 100 were as quick or quicker. */
export interface HandBench {
  /** From a tap on less or more to the next paint. */
  tapFrames: number;
  /** From one frame of a slider's drag to the next. */
  dragFrames: number;
  /** From a step of the slider by a key to the next paint. */
  keyFrames: number;
}

const p95 = (times: readonly number[]) =>
  [...times].sort((a, b) => a - b)[Math.floor(0.95 * (times.length - 1))]!;

/** The gaps between paints of the page left alone, in ms. */
const atRest = (page: Page) =>
  page.evaluate(async (steps) => {
    const frame = () => new Promise<number>((done) => requestAnimationFrame(done));
    const gaps: number[] = [];
    let before = await frame();
    for (let i = 0; i < steps; i += 1) {
      const now = await frame();
      gaps.push(now - before);
      before = now;
    }
    return gaps;
  }, STEPS);

/** From each input to the paint that shows it, in ms; every other one goes back, so that the drink stays near. */
const toPaint = (page: Page, what: "tap" | "key" | "drag") =>
  page.evaluate(
    async ({ kind, steps }) => {
      // A frame's callback runs before its paint; a message posted from it is read after.
      const painted = () =>
        new Promise<number>((done) => {
          requestAnimationFrame(() => {
            const { port1, port2 } = new MessageChannel();
            port1.onmessage = () => done(performance.now());
            port2.postMessage(null);
          });
        });
      const line = document.querySelector('li.line[data-ingredient="juice-lime"]')!;
      const [less, more] = [...line.querySelectorAll<HTMLButtonElement>("button.square")];
      const slider = line.querySelector<HTMLInputElement>("input.poise")!;
      const key = (name: string) =>
        line
          .querySelector(".amount")!
          .dispatchEvent(new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true }));
      const gaps: number[] = [];
      let before = await painted();
      for (let i = 0; i < steps; i += 1) {
        const up = i % 2 === 0;
        if (kind !== "drag") before = performance.now();
        if (kind === "tap") (up ? more : less)!.click();
        else if (kind === "key") key(up ? "ArrowUp" : "ArrowDown");
        else {
          slider.value = String(8 + 10 * Math.abs(Math.sin(i / 6)));
          slider.dispatchEvent(new Event("input", { bubbles: true }));
        }
        const now = await painted();
        gaps.push(now - before);
        before = now;
      }
      return gaps;
    },
    { kind: what, steps: STEPS },
  );

/** Work the demo bench on a slowed phone, map in sight. Needs the built server and Chromium. */
export async function benchHand(): Promise<HandBench> {
  const site = await openSite();
  try {
    const { page, context } = await visit(site, "/", { width: 390, height: 844 });
    await page.locator("#map").scrollIntoViewIfNeeded();
    await page.locator("#map .m-mark.is-hand").waitFor();
    await page.waitForLoadState("networkidle");
    const slow = await context.newCDPSession(page);
    await slow.send("Emulation.setCPUThrottlingRate", { rate: SLOWED });
    const frame = p95(await atRest(page));
    const [tap, key, drag] = [
      await toPaint(page, "tap"),
      await toPaint(page, "key"),
      await toPaint(page, "drag"),
    ].map(p95) as [number, number, number];
    return { tapFrames: tap / frame, keyFrames: key / frame, dragFrames: drag / frame };
  } finally {
    await site.close();
  }
}
