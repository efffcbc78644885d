import { expect, test } from "vitest";
import { ratioOf, shareOf } from "../../bench/tables/bench.ts";

// The intervals the bench of simulated tables reports.

test("a share's interval is Wilson's: 8 of 10, and none of 20, worked by hand", () => {
  const share = (held: number, of: number) => shareOf(Array.from({ length: of }, (_, i) => i < held));
  // (p + z²/2n ± z √(p(1−p)/n + z²/4n²)) / (1 + z²/n) with z = 1.96.
  expect(share(8, 10).low).toBeCloseTo(0.4902, 4);
  expect(share(8, 10).high).toBeCloseTo(0.9433, 4);
  expect(share(0, 20).low).toBeCloseTo(0, 12);
  expect(share(0, 20).high).toBeCloseTo(0.1611, 4);
});

test("a ratio's interval is narrow where both vary together, and wide where they do not", () => {
  const theirs = [2, 4, 6, 8];
  const half = ratioOf([1, 2, 3, 4], theirs);
  expect(half.value).toBeCloseTo(0.5, 12);
  expect(half.high - half.low).toBeCloseTo(0, 12);
  const crossed = ratioOf([4, 3, 2, 1], theirs);
  // Deviations 3, 1, −1, −3 of x − y/2: variance 20/3, so a half-width of 1.96 √(20/3) / (2 · 5).
  expect(crossed.high - crossed.value).toBeCloseTo((1.96 * Math.sqrt(20 / 3)) / 10, 12);
});
