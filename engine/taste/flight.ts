import { Issues } from "../errors.ts";
import { MOST } from "../limits.ts";
import { seededRandom } from "../seeded-random.ts";

/** Blind-coded glasses and the order in which each taster is to take them. */
export interface FlightPlan {
  glasses: { round: string; code: string }[];
  orders: { taster: string; codes: string[] }[];
  balance: FlightBalance;
}

/** How even the orders are. Both hold when `tastersForBalance` divides the number of tasters. */
export interface FlightBalance {
  /** Every glass comes equally often in every place. */
  places: boolean;
  /** Every glass comes equally often right after every other. */
  neighbours: boolean;
  /** Tasters (or a multiple) that make both hold. */
  tastersForBalance: number;
}

/**
 * Orders of k glasses (numbers from 0) in which every glass stands equally often in every place and right
 * after every other: k orders for even k, 2k for odd (E. J. Williams, Aust. J. Sci. Res. A 2, 1949; the use in
 * tasting: H. MacFie and others, J. Sensory Studies 4, 1989).
 */
export function servingOrders(k: number): number[][] {
  // 1, 2, k, 3, k − 1, …; then one is added, round and round.
  const first = Array.from({ length: k }, (_, i) => (i % 2 === 1 ? (i + 1) / 2 : (k - i / 2) % k));
  const rows = Array.from({ length: k }, (_, add) => first.map((x) => (x + add) % k));
  return k % 2 === 0 || k === 1 ? rows : [...rows, ...rows.map((row) => [...row].reverse())];
}

/** The order in which the taster of this number, from 0, gets k glasses; the rows go round. */
export function servingOrder(k: number, taster: number): number[] {
  const rows = servingOrders(k);
  return rows[taster % rows.length]!;
}

/** Three digits that mean nothing: no 111, no 123, no round hundreds. */
function isPlainCode(code: number): boolean {
  const [a, b, c] = [Math.floor(code / 100), Math.floor(code / 10) % 10, code % 10];
  const isRun = b - a === c - b && Math.abs(b - a) <= 1;
  return !isRun && (b !== 0 || c !== 0);
}

/** `count` different three-digit codes, none of `taken`; the same seed gives the same codes. */
export function blindCodes(count: number, seed: number, taken: readonly string[] = []): string[] {
  const free: string[] = [];
  for (let code = 100; code <= 999; code++) {
    if (isPlainCode(code) && !taken.includes(String(code))) free.push(String(code));
  }
  const random = seededRandom(seed);
  return Array.from({ length: Math.min(count, free.length) }, () => {
    return free.splice(random.bits() % free.length, 1)[0]!;
  });
}

/**
 * A flight of rounds for tasters, blind and in balanced order. `seed` decides the codes and who starts where;
 * give another for another flight. `taken`: codes already used on this bench.
 *
 * @throws EngineError for no rounds or tasters, a repeated one, or more glasses than a flight holds
 */
export function planFlight(
  rounds: readonly string[],
  tasters: readonly string[],
  seed: number,
  taken: readonly string[] = [],
): FlightPlan {
  const issues = new Issues();
  for (const [name, list] of Object.entries({ rounds, tasters })) {
    if (list.length === 0) issues.add(`/${name}`, `a flight needs ${name}`, "name at least one");
    list.forEach((id, i) => {
      if (list.indexOf(id) < i) issues.add(`/${name}/${i}`, `${id} is there twice`, "name each once");
    });
  }
  if (rounds.length > MOST.glasses) {
    const detail = `${rounds.length} glasses; a palate keeps ${MOST.glasses} apart at most`;
    issues.add("/rounds", detail, "serve two flights");
  }
  if (!(Number.isInteger(seed) && seed >= 0)) {
    issues.add("/seed", "not a whole number", "give one of 0 or more");
  }
  const codes = blindCodes(rounds.length, seed, taken);
  if (codes.length < rounds.length) {
    issues.add("/taken", "every code is taken", "let old flights' codes go");
  }
  issues.throwAny();
  const rows = servingOrders(rounds.length);
  const start = seededRandom(seed + 1).bits() % rows.length;
  return {
    glasses: rounds.map((round, i) => ({ round, code: codes[i]! })),
    orders: tasters.map((taster, t) => ({
      taster,
      codes: servingOrder(rounds.length, start + t).map((glass) => codes[glass]!),
    })),
    balance: {
      places: tasters.length % rounds.length === 0,
      neighbours: tasters.length % rows.length === 0,
      tastersForBalance: rows.length,
    },
  };
}
