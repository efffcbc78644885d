import { deviation, mean, median, quantile } from "d3";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { tableRange } from "../../../engine/taste/table-range.ts";
import type { TargetSpec } from "../../../engine/types.ts";
import type { BenchRow } from "../table.ts";
import { prior } from "./bar.ts";
import { oneAtATime, skilled } from "./developers.ts";
import { steelyard } from "./learner.ts";
import { type Developer, type Outcome, play, type Scene, sceneOf } from "./play.ts";
import { KINDS, type Kind } from "./simulated-tasters.ts";

/** The share of tables whose ideal a range is to hold, as stated. */
const STATED = 0.8;
/** Number of the first table of each kind: nothing was tuned on numbers 6001 to 6150. */
const FIRST_TABLE = 6001;
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

/** A figure of a kind's tables, and the 95 % interval that so few of them leave. */
export interface Estimate {
  value: number;
  low: number;
  high: number;
}

/** One kind of simulated table. */
export interface TablesOfKind {
  kind: Kind;
  tables: number;
  ours: Fared;
  skilled: Fared;
  oneAtATime: Fared;
  /** Mean rounds of ours over the skilled developer's. */
  ratio: Estimate;
  /** Share of ranges that held the table's ideal, after one round, two and three; stated: 0.8. */
  coverage: Estimate[];
  /** Mean logarithm of those ranges' volumes, spreads cubed, without the 4π/3: a range is not to buy its coverage. */
  logVolume: number[];
}

/** Normal deviate of a 95 % interval. */
const Z95 = 1.96;

/** A share with its score interval (E. Wilson, J. Am. Stat. Assoc. 22, 1927). */
export function shareOf(held: readonly boolean[]): Estimate {
  const n = held.length;
  const value = held.filter(Boolean).length / n;
  const shrunk = 1 + Z95 ** 2 / n;
  const middle = (value + Z95 ** 2 / (2 * n)) / shrunk;
  const half = (Z95 * Math.sqrt((value * (1 - value)) / n + Z95 ** 2 / (4 * n ** 2))) / shrunk;
  return { value, low: middle - half, high: middle + half };
}

/** The ratio of two means over the same tables, its interval by the variance of x − ratio · y. */
export function ratioOf(ours: readonly number[], theirs: readonly number[]): Estimate {
  const value = mean(ours)! / mean(theirs)!;
  const off = deviation(ours, (x, i) => x - value * theirs[i]!)!;
  const half = (Z95 * off) / (Math.sqrt(ours.length) * mean(theirs)!);
  return { value, low: value - half, high: value + half };
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

/** Ours on one table: how it ended, whether each of the first ranges held the ideal, and how large they were. */
function ours(scene: Scene): { outcome: Outcome; held: boolean[]; logVolumes: number[] } {
  const held: boolean[] = [];
  const logVolumes: number[] = [];
  const developer = steelyard({
    onLearned: (past, table) => {
      if (past.length > COVERED_ROUNDS) return;
      const { target } = tableRange(table, { coverage: STATED });
      held.push(compileTarget(target).contains(scene.table.ideal));
      logVolumes.push(logVolumeOf(target));
    },
  });
  // Tables that are content at once would otherwise be missing from the later rounds, and those are the easy ones.
  return { outcome: play(scene, developer, COVERED_ROUNDS + 1), held, logVolumes };
}

/** Logarithm of an ellipsoid's volume in spreads cubed, without the 4π/3. */
function logVolumeOf({ covariance: c, radius }: TargetSpec & { kind: "ellipsoid" }): number {
  const determinant =
    c[0][0] * (c[1][1] * c[2][2] - c[1][2] ** 2) -
    c[0][1] * (c[0][1] * c[2][2] - c[1][2] * c[0][2]) +
    c[0][2] * (c[0][1] * c[1][2] - c[1][1] * c[0][2]);
  const unit = prior.spread[0] * prior.spread[1] * prior.spread[2];
  return 0.5 * Math.log(determinant) - Math.log(unit) + 3 * Math.log(radius);
}

/** Tables `from` to `from + tables − 1` of a kind, poured for by each developer. */
export function tablesOfKind(kind: Kind, tables: number, from = FIRST_TABLE): TablesOfKind {
  const scenes = Array.from({ length: tables }, (_, i) => sceneOf(kind, from + i));
  const by = (developer: () => Developer) => scenes.map((scene) => play(scene, developer()));
  const played = scenes.map(ours);
  const theirs = by(skilled);
  const roundsOf = (outcomes: readonly Outcome[]) => outcomes.map(({ rounds }) => rounds);
  const outcomes = played.map(({ outcome }) => outcome);
  const first = Array.from({ length: COVERED_ROUNDS }, (_, r) => r);
  return {
    kind,
    tables,
    ours: fared(outcomes),
    skilled: fared(theirs),
    oneAtATime: fared(by(oneAtATime)),
    ratio: ratioOf(roundsOf(outcomes), roundsOf(theirs)),
    coverage: first.map((r) => shareOf(played.map(({ held }) => held[r]!))),
    logVolume: first.map((r) => mean(played, ({ logVolumes }) => logVolumes[r]!)!),
  };
}

/** Every kind of table. */
export function benchTables(tables: number): TablesOfKind[] {
  return KINDS.map((kind) => tablesOfKind(kind, tables));
}

/** The rows of the README's table. */
export function tableRows(kinds: readonly TablesOfKind[]): BenchRow[] {
  const over = ({ value, low, high }: Estimate, by: number) => ({
    ratio: value / by,
    range: { low: low / by, high: high / by },
  });
  return [
    ...kinds.map(({ kind, ratio }) => ({
      what: `Rounds until a simulated table is content: ${kind}`,
      against: "a skilled developer with halving steps",
      of: "mean rounds",
      ...over(ratio, 1),
    })),
    ...kinds.map(({ kind, coverage }) => ({
      what: `Its range after three rounds holds the ideal: ${kind}`,
      against: "80 tables in 100, as stated",
      of: "tables",
      ...over(coverage.at(-1)!, STATED),
    })),
  ];
}
