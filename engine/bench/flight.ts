import { fail } from "../errors.ts";
import { MOST } from "../limits.ts";
import type { SeededRandom } from "../seeded-random.ts";

/**
 * Serving orders that are fair to every glass: over all rows each glass stands in each place equally often,
 * and each follows each other one equally often, so that neither place nor neighbour favours any.
 *
 * Rule (E. J. Williams, Australian Journal of Scientific Research A 2, 149–168, 1949): the first row is
 * 1, 2, k, 3, k−1, …; the next add 1 cyclically; an odd k needs every row backwards as well.
 *
 * @param count glasses, 1 to 8
 * @returns rows of glass numbers from 0: `count` rows, or twice as many when it is odd
 */
export function servingOrders(count: number): number[][] {
  if (!Number.isInteger(count) || count < 1 || count > MOST.glasses) {
    fail("", `${count} glasses`, `serve 1 to ${MOST.glasses} at a time; palates tire`);
  }
  const first = Array.from({ length: count }, (_, place) =>
    place % 2 === 1 ? (place + 1) / 2 : (count - place / 2) % count,
  );
  const rows = first.map((_, shift) => first.map((glass) => (glass + shift) % count));
  return count % 2 === 1 && count > 1 ? [...rows, ...rows.map((row) => [...row].reverse())] : rows;
}

/** The order in which the taster of this number, from 0, gets the glasses; the rows go round. */
export function servingOrder(count: number, taster: number): number[] {
  const rows = servingOrders(count);
  return rows[taster % rows.length]!;
}

/**
 * Different three-digit codes, none starting with 0.
 *
 * @awaited viz
 */
export function blindCodes(count: number, random: SeededRandom): string[] {
  const codes = new Set<string>();
  while (codes.size < count) codes.add(String(100 + Math.floor(random.uniform() * 900)));
  return [...codes];
}
