import { expect, test } from "vitest";
import { shareTime } from "../../../engine/explore/asking.ts";
import { routes } from "../../../engine/explore/routes.ts";
import { demoRequest, demoRound } from "./demo-request.ts";

/** A request whose clock stands still until it is moved. */
function stopped(timeBudgetMs: number) {
  const clock = { ms: 0 };
  return { clock, request: demoRequest(demoRound(6), { timeBudgetMs, now: () => clock.ms }) };
}

test("each solve gets an even share of what is left", () => {
  const { clock, request } = stopped(100);
  const time = shareTime(request, 4);
  const share = () => time.of(request).timeBudgetMs;
  expect(share()).toBeCloseTo(25, 9);
  clock.ms = 10; // The first took 10 of its 25.
  expect(share()).toBeCloseTo(30, 9);
  expect(time.isSpent()).toBe(false);
  clock.ms = 100;
  expect(time.isSpent()).toBe(true);
  expect(share()).toBeLessThan(0.01);
  expect(share()).toBeGreaterThan(0);
});

test("a solve too many gets no time, and no budget means no limit", () => {
  const { request } = stopped(100);
  const time = shareTime(request, 1);
  expect(time.of(request).timeBudgetMs).toBeCloseTo(100, 9);
  expect(time.of(request).timeBudgetMs).toBeLessThan(0.01);
  const { timeBudgetMs: _, ...free } = request;
  expect(shareTime(free, 3).of(free)).toBe(free);
});

test("the routes share one budget: when it is spent, those still to come say so", () => {
  // Every look at the clock costs 1 ms: no single solve looks often enough to use up 200, all together do.
  let ms = 0;
  const hurried = routes(demoRequest(demoRound(6), { timeBudgetMs: 200, now: () => (ms += 1) }));
  expect(ms).toBeLessThanOrEqual(1.1 * 200);
  const unhurried = routes(demoRequest(demoRound(6)));
  expect(hurried[0]!.proposal).not.toBeNull();
  const cutShort = hurried.filter((r) => r.status === "limit_reached" || r.status === "no_solution_found");
  expect(cutShort.length).toBeGreaterThan(0);
  expect(cutShort.length).toBeLessThan(unhurried.length);
  expect(unhurried.map((r) => r.status)).not.toContain("limit_reached");
});
