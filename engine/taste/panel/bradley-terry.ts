import { Issues } from "../../errors.ts";
import { normalCdf } from "../../stats.ts";
import type { Comparison, Tasting } from "../types.ts";
import { fitLogistic, type LogisticRow } from "./logistic.ts";

/** How two rounds fared against one another. */
export interface Pairing {
  first: string;
  second: string;
  firstWins: number;
  secondWins: number;
  ties: number;
}

/** A round's place among the others. */
export interface Standing {
  id: string;
  /** Log odds of beating the average of the rounds ranked with it. */
  strength: number;
  se: number;
  /** 95 % interval of the strength. */
  interval: [number, number];
  /** Chance that it is truly above the next in the list, by the intervals; null for the last. */
  chanceAboveNext: number | null;
}

/** Rounds ranked by comparisons, strongest first. */
export interface Ranking {
  standings: Standing[];
  /** Log odds gained by being tasted first, where `order` was asked for. */
  firstGlass: { estimate: number; se: number } | null;
  deviance: number;
}

const Z95 = 1.959964;

/**
 * Bradley–Terry ranking (R. Bradley and M. Terry, Biometrika 39, 1952): the log odds that one round is
 * preferred to another is the difference of their strengths; a tie counts as half a win for each (A. Springall,
 * Applied Statistics 22, 1973, compares the ways). Bias-reduced, so that a round that always won still has a
 * strength. `order`: `first` was tasted first, and that may matter.
 *
 * Rounds nobody has linked by any chain of comparisons cannot be ranked together: null.
 *
 * @throws EngineError for counts below zero or a round set against itself
 */
export function bradleyTerry(
  pairings: readonly Pairing[],
  options: { order?: boolean; reduceBias?: boolean } = {},
): Ranking | null {
  checkPairings(pairings);
  const { order = false, reduceBias = true } = options;
  const ids = [...new Set(pairings.flatMap((p) => [p.first, p.second]))];
  if (ids.length < 2) return null;
  // The last round is the zero the others are measured from; then all are measured from their mean.
  const free = ids.length - 1;
  const rows = pairings.map((p): LogisticRow => {
    const x = ids.slice(0, free).map((id) => Number(id === p.first) - Number(id === p.second));
    if (order) x.push(1);
    return { x, wins: p.firstWins + p.ties / 2, trials: p.firstWins + p.secondWins + p.ties };
  });
  const fit = fitLogistic(
    rows.filter((row) => row.trials > 0),
    { reduceBias },
  );
  if (fit === null) return null;
  const raw = ids.map((_, k) => (k < free ? fit.estimates[k]! : 0));
  const covariance = (k: number, l: number) => (k < free && l < free ? fit.covariance[k]![l]! : 0);
  /** Variance of a contrast Σ c_k strength_k. */
  const variance = (c: readonly number[]) =>
    c.reduce((sum, ck, k) => sum + c.reduce((inner, cl, l) => inner + ck * cl * covariance(k, l), 0), 0);
  const average = raw.reduce((a, b) => a + b, 0) / ids.length;
  const ranked = ids
    .map((id, k) => {
      const strength = raw[k]! - average;
      const se = Math.sqrt(variance(ids.map((_, l) => (l === k ? 1 : 0) - 1 / ids.length)));
      return { id, k, strength, se };
    })
    .sort((a, b) => b.strength - a.strength);
  return {
    standings: ranked.map(({ id, k, strength, se }, place) => {
      const next = ranked[place + 1];
      const apart = next
        ? (strength - next.strength) /
          Math.sqrt(variance(ids.map((_, l) => (l === k ? 1 : l === next.k ? -1 : 0))))
        : null;
      return {
        id,
        strength,
        se,
        interval: [strength - Z95 * se, strength + Z95 * se],
        chanceAboveNext: apart === null ? null : normalCdf(apart),
      };
    }),
    firstGlass: order
      ? { estimate: fit.estimates[free]!, se: Math.sqrt(fit.covariance[free]![free]!) }
      : null,
    deviance: fit.deviance,
  };
}

function checkPairings(pairings: readonly Pairing[]): void {
  const issues = new Issues();
  const remedy = "count wins and ties of two different rounds";
  pairings.forEach(({ first, second, firstWins, secondWins, ties }, i) => {
    const isCount = (c: number) => c >= 0 && Number.isFinite(c);
    if (![firstWins, secondWins, ties].every(isCount)) {
      issues.add(`/pairings/${i}`, "a count below zero", remedy);
    }
    if (first === second) issues.add(`/pairings/${i}/second`, "a round set against itself", remedy);
  });
  issues.throwAny();
}

/**
 * Every pair of rounds that one taster liked by number, as pairings, with the comparisons made outright. A
 * taster's likings of three rounds make three pairs that are not independent, so intervals are a little narrow.
 */
export function pairingsOf(tastings: readonly Tasting[], comparisons: readonly Comparison[] = []): Pairing[] {
  const found = new Map<string, Pairing>();
  const record = (a: string, b: string, sign: number) => {
    const [first, second] = a < b ? [a, b] : [b, a];
    const key = JSON.stringify([first, second]);
    const pairing = found.get(key) ?? { first, second, firstWins: 0, secondWins: 0, ties: 0 };
    const forFirst = a < b ? sign : -sign;
    if (forFirst > 0) pairing.firstWins += 1;
    else if (forFirst < 0) pairing.secondWins += 1;
    else pairing.ties += 1;
    found.set(key, pairing);
  };
  const liked = tastings.filter((t) => typeof t.liking === "number");
  liked.forEach((one, i) => {
    for (const other of liked.slice(i + 1)) {
      if (one.taster !== other.taster || one.round === other.round) continue;
      record(one.round, other.round, one.liking! - other.liking!);
    }
  });
  for (const c of comparisons) record(c.preferred, c.other, c.tie ? 0 : 1);
  return [...found.values()];
}
