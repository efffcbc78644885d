import { AXIS_INDICES } from "../axes.ts";
import type { Vec3 } from "../types.ts";

/**
 * Shapley values of a game of n players with vector payoffs (L. S. Shapley, "A value for n-person games",
 * 1953), by full enumeration. `value(mask)` is the payoff of the coalition whose members are the set bits.
 * The shares sum to value(all) − value(none); a player who never changes the payoff gets zero; players who
 * change it alike get the same. Null when some coalition has no payoff. Cost: 2ⁿ evaluations.
 */
export function shapleyShares(n: number, value: (mask: number) => Vec3 | null): Vec3[] | null {
  const coalitions: { payoff: Vec3; weight: number }[] = [];
  for (let mask = 0; mask < 2 ** n; mask++) {
    const payoff = value(mask);
    if (payoff === null) return null;
    coalitions.push({ payoff, weight: orderShare(n, bitCount(mask)) });
  }
  return Array.from({ length: n }, (_, player): Vec3 => {
    const bit = 1 << player;
    const share: [number, number, number] = [0, 0, 0];
    coalitions.forEach(({ payoff, weight }, mask) => {
      if ((mask & bit) !== 0) return;
      const joined = coalitions[mask | bit]!.payoff;
      for (const k of AXIS_INDICES) share[k] += weight * (joined[k] - payoff[k]);
    });
    return share;
  });
}

/** s!(n−s−1)!/n!, the share of orders in which exactly a given set of s comes before a player. */
function orderShare(n: number, s: number): number {
  let share = 1 / Math.max(n, 1);
  for (let k = 1; k <= s; k++) share *= k / (n - k);
  return share;
}

function bitCount(mask: number): number {
  let count = 0;
  for (let rest = mask; rest !== 0; rest &= rest - 1) count++;
  return count;
}
