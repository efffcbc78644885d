/**
 * Exact null distributions of rank tests: every way to deal each taster's own ranks over the products is
 * equally likely (ties stay ties). Built taster by taster; what has been dealt so far is kept by its totals.
 */

/** Σ (t³ − t) over groups of t tied ranks in a row. */
export function tieSum(row: readonly number[]): number {
  const sizes = new Map<number, number>();
  for (const r of row) sizes.set(r, (sizes.get(r) ?? 0) + 1);
  return [...sizes.values()].reduce((sum, t) => sum + t ** 3 - t, 0);
}

/** Most deals looked at one after another: about a second. */
const MOST_DEALS = 3_000_000;
/** Most products whose orders are written out: 7! = 5040. */
const MOST_ORDERED = 7;

/** An exact distribution of a statistic. */
export interface ExactDistribution {
  /** Chance of a value this large or larger. */
  atLeast(value: number): number;
}

/** Distinct orders of some ranks, each with its share. */
function ordersOf(row: readonly number[]): number[][] {
  if (row.length === 1) return [[row[0]!]];
  return [...new Set(row)].flatMap((first) => {
    const rest = [...row];
    rest.splice(row.indexOf(first), 1);
    return ordersOf(rest).map((tail) => [first, ...tail]);
  });
}

/**
 * Distribution of a statistic of the rank sums, null when it has too many deals. `symmetric`: a function of
 * the rank sums that does not care which product is which; null for Page's Σ j·Rⱼ.
 */
export function rankTotals(
  ranks: readonly (readonly number[])[],
  symmetric: ((sums: readonly number[]) => number) | null,
): ExactDistribution | null {
  if (ranks[0]!.length > MOST_ORDERED) return null;
  let dealt = new Map<string, number>([[symmetric ? ranks[0]!.map(() => 0).join() : "0", 1]]);
  let deals = 0;
  for (const row of ranks) {
    // Doubled ranks are whole numbers, ties included.
    const orders = ordersOf(row.map((r) => Math.round(2 * r)));
    const moves = tally(symmetric ? orders : orders.map((o) => [o.reduce((s, r, j) => s + (j + 1) * r, 0)]));
    deals += dealt.size * moves.length;
    if (deals > MOST_DEALS) return null;
    dealt = dealOn(dealt, moves);
  }
  const values = [...dealt].map(([key, share]): [number, number] => {
    const totals = key.split(",").map((x) => Number(x) / 2);
    return [symmetric ? symmetric(totals) : totals[0]!, share];
  });
  return {
    atLeast: (value) =>
      Math.min(
        1,
        values.reduce((sum, [x, share]) => (x >= value - 1e-9 ? sum + share : sum), 0),
      ),
  };
}

/** What one taster adds to the totals, in so many of all orders. */
interface Move {
  by: readonly number[];
  times: number;
  of: number;
}

/** Distinct rows, and how often each is there. */
function tally(rows: readonly number[][]): Move[] {
  const found = new Map<string, Move>();
  for (const by of rows) {
    const key = by.join();
    found.set(key, { by, times: (found.get(key)?.times ?? 0) + 1, of: rows.length });
  }
  return [...found.values()];
}

/** One taster more, totals kept sorted: the statistic does not care which product is which. */
function dealOn(dealt: ReadonlyMap<string, number>, moves: readonly Move[]): Map<string, number> {
  const next = new Map<string, number>();
  for (const [key, share] of dealt) {
    const sums = key.split(",").map(Number);
    for (const { by, times, of } of moves) {
      const to = sums
        .map((s, j) => s + by[j]!)
        .sort((a, b) => a - b)
        .join();
      next.set(to, (next.get(to) ?? 0) + (share * times) / of);
    }
  }
  return next;
}
