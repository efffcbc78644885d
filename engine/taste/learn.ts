import { fail } from "../errors.ts";
import type { Vec3 } from "../types.ts";
import { type Evidence, evidenceOf } from "./conditional.ts";
import { tableAnswers } from "./observations.ts";
import { type Posterior, posteriorOf, type SampleSize } from "./posterior.ts";
import { precisionOf } from "./prior.ts";
import { expectedLiking } from "./response.ts";
import type { TablePrior, TableRecord } from "./types.ts";

/** A table and what its answers leave possible. */
export interface LearnedTable {
  prior: TablePrior;
  /** In order of first appearance in the record; latents and camps count them so. */
  tasters: readonly string[];
  evidence: Evidence;
  posterior: Posterior;
  unreadWords: readonly string[];
}

/**
 * Learn where a table's ideal lies from what its tasters said: see MODEL.md.
 *
 * Deterministic: the same record gives the same answer. `camps` assigns each taster to a common ideal
 * (default: all to one).
 *
 * @throws EngineError naming every bad field, or when nobody has tasted anything
 */
export function learnTable(
  record: TableRecord,
  options: { sample?: SampleSize; camps?: readonly number[] } = {},
): LearnedTable {
  const { tasters, observations, unreadWords } = tableAnswers(record);
  if (observations.length === 0) {
    fail("/tastings", "nobody has said anything yet", "give a liking or a just-about-right mark");
  }
  const camps = options.camps ?? tasters.map(() => 0);
  const evidence = evidenceOf(observations, camps, precisionOf(record.prior));
  const posterior = posteriorOf(evidence, options.sample);
  return { prior: record.prior, tasters, evidence, posterior, unreadWords };
}

/** The mean ideal of some of the tasters (default: all), spreads, one a draw. */
export function idealsOf({ evidence, posterior }: LearnedTable, tasters?: readonly number[]): Vec3[] {
  const starts = (tasters ?? evidence.camps.map((_, t) => t)).map((t) => evidence.tasterAt[t]!);
  return posterior.draws.map(({ latents }) => {
    let [x, y, z] = [0, 0, 0];
    for (const a of starts) {
      x += latents[a]!;
      y += latents[a + 1]!;
      z += latents[a + 2]!;
    }
    return [x / starts.length, y / starts.length, z / starts.length];
  });
}

/** The mean liking (1–9) that some of the tasters (default: all) would have for a drink (spreads), one a draw. */
export function likingsOf(
  { evidence, posterior }: LearnedTable,
  at: Vec3,
  tasters?: readonly number[],
): number[] {
  const starts = (tasters ?? evidence.camps.map((_, t) => t)).map((t) => evidence.tasterAt[t]!);
  return posterior.draws.map(({ latents, habits }) => {
    let sum = 0;
    for (const a of starts) sum += Math.min(9, Math.max(1, expectedLiking(at, latents, a, habits)));
    return sum / starts.length;
  });
}
