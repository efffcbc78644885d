import { perAxis } from "../axes.ts";
import { fail } from "../errors.ts";
import { addScaled3 } from "../linalg.ts";
import type { Vec3 } from "../types.ts";
import { type Evidence, evidenceOf, tasterAt } from "./conditional.ts";
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

/** For each draw, some of the tasters (default: all) as it has them. */
function tastersOf({ evidence, posterior }: LearnedTable, some?: readonly number[]) {
  const asked = evidence.witnesses.filter((_, t) => some?.includes(t) ?? true);
  return posterior.draws.map(({ latents, habits }) => {
    return { habits, tasters: asked.map(({ own }) => tasterAt(latents, own)) };
  });
}

/** The mean ideal of some of the tasters (default: all), spreads, one a draw. */
export function idealsOf(learned: LearnedTable, some?: readonly number[]): Vec3[] {
  return tastersOf(learned, some).map(({ tasters }) => {
    const sum = tasters.reduce<Vec3>((total, { ideal }) => addScaled3(total, 1, ideal), [0, 0, 0]);
    return perAxis((k) => sum[k] / tasters.length);
  });
}

/** The mean liking (1–9) that some of the tasters (default: all) would have for a drink (spreads), one a draw. */
export function likingsOf(learned: LearnedTable, at: Vec3, some?: readonly number[]): number[] {
  return tastersOf(learned, some).map(({ tasters, habits }) => {
    const held = tasters.map((taster) => Math.min(9, Math.max(1, expectedLiking(at, taster, habits))));
    return held.reduce((sum, liking) => sum + liking, 0) / held.length;
  });
}
