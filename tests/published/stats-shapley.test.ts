/**
 * Shapley values of games with published answers (recalled from memory; each is a closed form).
 * - UN Security Council as weighted voting: L. S. Shapley and M. Shubik, American Political Science Review 48,
 *   1954, for 11 members: 76/385 for each of the five permanent ones; for today's 15 members 421/2145 and 4/2145.
 * - The glove market of the textbooks (one left glove, two right): 2/3, 1/6, 1/6.
 * - The airport game: S. Littlechild and G. Owen, Management Science 20, 1973.
 */
import { expect, test } from "vitest";
import { shapleyShares } from "../../engine/trail/shapley.ts";
import type { Vec3 } from "../../engine/types.ts";

const scalar = (n: number, worth: (members: number[]) => number) =>
  shapleyShares(n, (mask): Vec3 => {
    const members = Array.from({ length: n }, (_, i) => i).filter((i) => (mask & (1 << i)) !== 0);
    return [worth(members), 0, 0];
  })!.map((share) => share[0]);

test.each([
  [11, 7, 76 / 385, 1 / 462],
  [15, 9, 421 / 2145, 4 / 2145],
])("Security Council of %i members, %i votes to pass", (n, quota, permanent, elected) => {
  const power = scalar(n, (m) => (m.filter((i) => i < 5).length === 5 && m.length >= quota ? 1 : 0));
  power.forEach((share, i) => {
    expect(share).toBeCloseTo(i < 5 ? permanent : elected, 12);
  });
});

test("one left glove and two right ones", () => {
  const shares = scalar(3, (m) => (m.includes(0) && m.length > 1 ? 1 : 0));
  expect(shares[0]).toBeCloseTo(2 / 3, 14);
  expect(shares[1]).toBeCloseTo(1 / 6, 14);
  expect(shares[2]).toBeCloseTo(1 / 6, 14);
});

test("runway costs: each aircraft shares every stretch it needs with those that need it too", () => {
  const costs = [3, 7, 8, 15];
  const shares = scalar(4, (m) => Math.max(0, ...m.map((i) => costs[i]!)));
  const expected = [3 / 4, 3 / 4 + 4 / 3, 3 / 4 + 4 / 3 + 1 / 2, 3 / 4 + 4 / 3 + 1 / 2 + 7];
  shares.forEach((share, i) => {
    expect(share).toBeCloseTo(expected[i]!, 12);
  });
});
