import { mean, median, quantile } from "d3";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { tableRange } from "../../../engine/taste/table-range.ts";
import type { BenchRow } from "../table.ts";
import { oneAtATime, skilled } from "./developers.ts";
import { steelyard } from "./learner.ts";
import { type Developer, type Outcome, play, type Scene, sceneOf } from "./play.ts";
import { KINDS, type Kind } from "./simulated-tasters.ts";

/** The share of tables whose ideal a range is to hold, as stated. */
const STATED = 0.8;
/** Coverage is counted after each of so many rounds, on every table, content or not. */
const COVERED_ROUNDS = 3;

/** How one developer fared over the tables of a kind. */
interface Fared {
  meanRounds: number;
  medianRounds: number;
  ninthDecileRounds: number;
  meanSpiritMl: number;
  unfinished: number;
}

/** One kind of simulated table. */
export interface TablesOfKind {
  kind: Kind;
  tables: number;
  ours: Fared;
  skilled: Fared;
  oneAtATime: Fared;
  /** Share of ranges that held the table's ideal, after one round, two and three; stated: 0.8. */
  coverage: number[];
}

function fared(outcomes: readonly Outcome[]): Fared {
  const rounds = outcomes.map((o) => o.rounds);
  return {
    meanRounds: mean(rounds)!,
    medianRounds: median(rounds)!,
    ninthDecileRounds: quantile(rounds, 0.9)!,
    meanSpiritMl: mean(outcomes, (o) => o.spiritMl)!,
    unfinished: outcomes.filter((o) => !o.isFinished).length,
  };
}

/** Ours on one table: how it ended, and whether each of the first ranges held the ideal. */
function ours(scene: Scene): { outcome: Outcome; held: boolean[] } {
  const held: boolean[] = [];
  const developer = steelyard({
    onLearned: (past, table) => {
      if (past.length > COVERED_ROUNDS) return;
      held.push(compileTarget(tableRange(table, { coverage: STATED }).target).contains(scene.table.ideal));
    },
  });
  // Tables that are content at once would otherwise be missing from the later rounds, and those are the easy ones.
  return { outcome: play(scene, developer, COVERED_ROUNDS + 1), held };
}

/** Tables `from` to `from + tables − 1` of a kind, poured for by each developer. */
export function tablesOfKind(kind: Kind, tables: number, from = 1): TablesOfKind {
  const scenes = Array.from({ length: tables }, (_, i) => sceneOf(kind, from + i));
  const by = (developer: () => Developer) => fared(scenes.map((scene) => play(scene, developer())));
  const played = scenes.map(ours);
  return {
    kind,
    tables,
    ours: fared(played.map(({ outcome }) => outcome)),
    skilled: by(skilled),
    oneAtATime: by(oneAtATime),
    coverage: Array.from({ length: COVERED_ROUNDS }, (_, r) => mean(played, ({ held }) => Number(held[r]))!),
  };
}

/** Every kind of table. */
export function benchTables(tables: number): TablesOfKind[] {
  return KINDS.map((kind) => tablesOfKind(kind, tables));
}

/** The rows of the README's table. */
export function tableRows(kinds: readonly TablesOfKind[]): BenchRow[] {
  return kinds.map(({ kind, ours: we, skilled: they }) => ({
    what: `Rounds until a simulated table is content: ${kind}`,
    against: "a skilled developer with halving steps",
    of: "mean rounds",
    ratio: we.meanRounds / they.meanRounds,
  }));
}
