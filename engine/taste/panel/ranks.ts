import { fail, Issues } from "../../errors.ts";
import { chiSquareCdf, normalCdf, normalDensity } from "../../stats.ts";
import { whereReached } from "./binomial.ts";
import { rankTotals, tieSum } from "./permutations.ts";

/** A panel's scores, row by taster, column by product; larger is more. */
export type Scores = readonly (readonly number[])[];

const MOST_PRODUCTS = 16;
const MOST_TASTERS = 1000;

/**
 * Ranks within each row, 1 for the least; equal scores share the mean of their ranks.
 *
 * @throws EngineError unless there are two rows and two columns or more, all of one length, all finite
 */
export function ranksOf(scores: Scores): number[][] {
  const products = scores[0]?.length ?? 0;
  if (scores.length < 2 || products < 2) {
    fail("/scores", "needs two tasters and two products or more", "taste more before ranking");
  }
  if (products > MOST_PRODUCTS || scores.length > MOST_TASTERS) {
    fail("/scores", `more than ${MOST_TASTERS} tasters or ${MOST_PRODUCTS} products`, "rank fewer at once");
  }
  const issues = new Issues();
  scores.forEach((row, i) => {
    if (row.length === products && row.every(Number.isFinite)) return;
    issues.add(`/scores/${i}`, "a score is missing", "leave the taster out");
  });
  issues.throwAny();
  return scores.map((row) => {
    const sorted = [...row].sort((a, b) => a - b);
    return row.map((x) => {
      const first = sorted.indexOf(x);
      return first + (sorted.lastIndexOf(x) - first) / 2 + 1;
    });
  });
}

/** Sum of ranks of each product. */
export function rankSums(ranks: readonly (readonly number[])[]): number[] {
  return ranks[0]!.map((_, j) => ranks.reduce((sum, row) => sum + row[j]!, 0));
}

/**
 * Friedman's test (M. Friedman, J. Am. Stat. Assoc. 32, 1937) that the products are not ranked at random: whether they
 * differ at all.
 *
 * @throws EngineError as `ranksOf`
 */
export function friedman(scores: Scores) {
  const ranks = ranksOf(scores);
  const tasters = ranks.length;
  const products = ranks[0]!.length;
  const sums = rankSums(ranks);
  const middle = (tasters * (products + 1)) / 2;
  const spread = (totals: readonly number[]) => totals.reduce((sum, r) => sum + (r - middle) ** 2, 0);
  const unit = tasters * products * (products + 1);
  const scale = unit - ranks.reduce((s, row) => s + tieSum(row), 0) / (products - 1);
  // All ranks tied: nothing was said, and nothing can differ.
  const statistic = scale > 1e-9 ? (12 * spread(sums)) / scale : 0;
  const exact = scale > 1e-9 ? rankTotals(ranks, spread) : null;
  const p = exact === null ? 1 - chiSquareCdf(statistic, products - 1) : exact.atLeast(spread(sums));
  return {
    rankSums: sums,
    /** Friedman's statistic, corrected for ties (ISO 8587). */
    statistic,
    p,
    /** True: p over all ways to deal each taster's ranks; false: the chi-square approximation. */
    isExact: exact !== null,
    /** Rank sums this far apart differ at 5 %, one pair looked at alone: 1.96 √(J P (P+1)/6) (ISO 8587). */
    leastDifference: 1.959964 * Math.sqrt(unit / 6),
    /** The same when every pair is looked at: q √(J P (P+1)/12), q of the range of P normals. */
    leastDifferenceOfAll: normalRangeQuantile(0.95, products) * Math.sqrt(unit / 12),
  };
}

/**
 * Page's test (E. B. Page, J. Am. Stat. Assoc. 58, 1963): the columns stand in the order they were expected to
 * rise, first the least. The statistic is Σ (place in the expected order) × (rank sum).
 *
 * @throws EngineError as `ranksOf`
 */
export function page(scores: Scores) {
  const ranks = ranksOf(scores);
  const products = ranks[0]!.length;
  const line = (row: readonly number[]) => row.reduce((sum, r, j) => sum + (j + 1) * r, 0);
  const statistic = ranks.reduce((sum, row) => sum + line(row), 0);
  const exact = rankTotals(ranks, null);
  if (exact !== null) return { statistic, p: exact.atLeast(statistic), isExact: true };
  const mean = (ranks.length * products * (products + 1) ** 2) / 4;
  const variance = ranks.reduce((sum, row) => {
    const untied = products ** 3 - products - tieSum(row);
    return sum + (untied * (products ** 2 - 1) * products) / 144;
  }, 0);
  return {
    statistic,
    p: variance > 0 ? 1 - normalCdf((statistic - mean) / Math.sqrt(variance)) : 1,
    isExact: false,
  };
}

/** Chance that k independent standard normals span at most q: k ∫ φ(z) (Φ(z) − Φ(z − q))^(k−1) dz. */
function normalRangeCdf(q: number, k: number): number {
  // Smooth and flat at both ends, so that the plain sum over even steps converges at once.
  const step = 0.05;
  let sum = 0;
  for (let z = -8; z <= 8 + q; z += step) {
    sum += normalDensity(z) * (normalCdf(z) - normalCdf(z - q)) ** (k - 1);
  }
  return k * sum * step;
}

/** The studentised range's quantile with the variance known, for k means. */
export function normalRangeQuantile(p: number, k: number): number {
  return whereReached(p, (q) => normalRangeCdf(q, k), 20);
}
