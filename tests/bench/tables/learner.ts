import { toPoint } from "../../../engine/axes.ts";
import { type LearnedTable, learnTable } from "../../../engine/taste/learn.ts";
import { type NextRound, nextRound } from "../../../engine/taste/next-round.ts";
import type { SampleSize } from "../../../engine/taste/posterior.ts";
import { BOTTLES, LEAST_RUM_ML, ladder, MOST_ML, pantry, poursOf, prior, specOf } from "./bar.ts";
import type { Developer, Past } from "./play.ts";

/** What the table has said, as the engine takes it. */
export function learned(past: readonly Past[], sample?: SampleSize): LearnedTable {
  const rounds = past.map(({ id, point }) => ({ id, point: toPoint(point) }));
  return learnTable({ prior, rounds, tastings: past.flatMap(({ said }) => said) }, { sample });
}

/** The engine's answer to the rounds so far, from the drink last poured. */
export function answer(past: readonly Past[], table: LearnedTable): NextRound {
  const rounds = past.map(({ id, point }) => ({ id, point: toPoint(point) }));
  const spec = specOf(past.at(-1)!.pours);
  return nextRound(table, rounds, {
    spec,
    pantry,
    ladder,
    // A bottle that was left out may come back.
    additions: BOTTLES.filter((id) => !spec.lines.some((line) => line.ingredient === id)),
    bounds: BOTTLES.map((ingredient, i) => ({
      ingredient,
      minMl: i === 0 ? LEAST_RUM_ML : 0,
      maxMl: MOST_ML[i]!,
    })),
  });
}

/** Pours what the engine proposes; the same drink again when it proposes nothing. */
export function steelyard(options: { sample?: SampleSize; onLearned?: OnLearned } = {}): Developer {
  return (past) => {
    const table = learned(past, options.sample);
    options.onLearned?.(past, table);
    const [first] = answer(past, table).proposals;
    return first ? poursOf(first.proposal.spec) : past.at(-1)!.pours;
  };
}

export type OnLearned = (past: readonly Past[], table: LearnedTable) => void;
