import { AXIS_INDICES, toVec } from "../axes.ts";
import { type SeededRandom, seededRandom } from "../seeded-random.ts";
import type { Vec3 } from "../types.ts";
import { tasterAt } from "./conditional.ts";
import { aimAt, chanceNear } from "./judge.ts";
import { idealsOf, type LearnedTable } from "./learn.ts";
import { inSpreads } from "./observations.ts";
import type { Draw } from "./posterior.ts";
import { expectedLiking, feel, feltOn, logChance, type Observation } from "./response.ts";
import { SETTLED_CHANCE } from "./settings.ts";
import type { Mark, TastedRound } from "./types.ts";

/** How many more rounds would likely settle it, going by what the table has said so far. */
export interface Forecast {
  /** With even chances settled after this many more rounds; null for more than `looked`. */
  likely: number | null;
  /** Chance that it is settled after 1, 2, … `looked` more rounds. */
  settledAfter: number[];
  looked: number;
}

/** Tables imagined: the chances are good to about a tenth. */
const IMAGINED = 24;
const LOOKED_AHEAD = 6;
/** Points of the posterior carried along: enough for a mean and a chance. */
const CARRIED = 400;
const SEED = 5;

/**
 * Imagine tables that the answers leave possible, let each taste what would be poured next (marks and a liking
 * from every taster, at the aim itself, without a ladder) and learn from it, until a round is settled. Pours
 * miss the aim a little, so this is on the hopeful side; the bench measures by how much.
 */
export function foresee(learned: LearnedTable, tasted: readonly TastedRound[]): Forecast {
  const heavy = heaviest(learned);
  const ideals = idealsOf(heavy);
  const start = heavy.posterior.draws.map((d) => d.weight);
  const drinks = tasted.map((r) => inSpreads(learned.prior, toVec(r.point)));
  const random = seededRandom(SEED);
  const needed = evenly(start, IMAGINED).map((truth) => {
    // The imagined table is not among those it is guessed from.
    let weights = start.map((w, i) => (i === truth ? 0 : w));
    const poured = [...drinks];
    for (let round = 1; round <= LOOKED_AHEAD; round++) {
      const at = aimAt(ideals, weights, poured);
      poured.push(at);
      const said = imaginedAnswers(heavy, heavy.posterior.draws[truth]!, at, random);
      weights = reweighed(heavy, weights, said);
      if (poured.some((drink) => chanceNear(ideals, weights, drink) >= SETTLED_CHANCE)) return round;
    }
    return LOOKED_AHEAD + 1;
  });
  const settledAfter = Array.from(
    { length: LOOKED_AHEAD },
    (_, k) => needed.filter((n) => n <= k + 1).length / IMAGINED,
  );
  const even = settledAfter.findIndex((chance) => chance >= 0.5);
  return { likely: even < 0 ? null : even + 1, settledAfter, looked: LOOKED_AHEAD };
}

/** The same table on its heaviest draws. */
function heaviest(learned: LearnedTable): LearnedTable {
  const draws = [...learned.posterior.draws].sort((a, b) => b.weight - a.weight).slice(0, CARRIED);
  const sum = draws.reduce((total, d) => total + d.weight, 0);
  const kept = draws.map((d) => ({ ...d, weight: d.weight / sum }));
  return { ...learned, posterior: { ...learned.posterior, draws: kept } };
}

/** `count` indices at even steps through the weights. */
function evenly(weights: readonly number[], count: number): number[] {
  const found: number[] = [];
  let sum = 0;
  weights.forEach((w, i) => {
    sum += w;
    while (found.length < count && (found.length + 0.5) / count <= sum) found.push(i);
  });
  while (found.length < count) found.push(weights.length - 1);
  return found;
}

/** What every taster of an imagined table would say of a drink. */
function imaginedAnswers(
  { evidence }: LearnedTable,
  { latents, habits }: Draw,
  at: Vec3,
  random: SeededRandom,
): Observation[] {
  return evidence.witnesses.flatMap(({ own }, t): Observation[] => {
    const taster = tasterAt(latents, own);
    const marks = AXIS_INDICES.map((axis): Observation => {
      const sip = feltOn(axis, at, taster, habits) + habits.markNoise * random.normal();
      const size = Math.abs(sip) < habits.justRight ? 0 : Math.abs(sip) < habits.much ? 1 : 2;
      const slip = random.uniform() < habits.lapse ? Math.floor(5 * random.uniform()) - 2 : null;
      return { kind: "mark", taster: t, at, axis, mark: (slip ?? (sip < 0 ? -size : size)) as Mark };
    });
    const liked = expectedLiking(at, taster, habits) + habits.likingNoise * random.normal();
    return [...marks, { kind: "liking", taster: t, at, liking: Math.min(9, Math.max(1, Math.round(liked))) }];
  });
}

/** The weights after further answers. */
function reweighed(
  learned: LearnedTable,
  weights: readonly number[],
  said: readonly Observation[],
): number[] {
  const { posterior, evidence } = learned;
  const logs = posterior.draws.map(({ latents, habits }, i) => {
    if (weights[i] === 0) return -Infinity;
    const tasters = evidence.witnesses.map(({ own }) => tasterAt(latents, own));
    let sum = Math.log(weights[i]!);
    for (const o of said) sum += logChance(feel(o, tasters[o.taster]!, habits), habits.lapse);
    return sum;
  });
  const top = Math.max(...logs);
  const raw = logs.map((x) => Math.exp(x - top));
  const total = raw.reduce((a, b) => a + b, 0);
  return raw.map((w) => w / total);
}
