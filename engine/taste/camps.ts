import { dot3 } from "../linalg.ts";
import type { Vec3 } from "../types.ts";
import { blankLatents, conditionalOn, type Evidence, evidenceOf } from "./conditional.ts";
import { habitsOf } from "./habits.ts";
import { idealsOf, type LearnedTable } from "./learn.ts";
import { posteriorOf, type SampleSize } from "./posterior.ts";
import { weightedMoments } from "./table-range.ts";

/** Two groups of tasters (indices), and how much better they explain the answers than one table does. */
export interface Camps {
  sides: [number[], number[]];
  /**
   * Bayes factor of two camps, split in any way, against one table: how many times likelier the answers are.
   * Above 3 worth a remark, above 20 strong (R. Kass and A. Raftery, J. Am. Stat. Assoc. 90, 1995; the
   * thresholds from memory).
   */
  bayesFactor: number;
  /** Chance of this split, if there are two camps. */
  share: number;
}

/** Splits looked at closely: the rest are far behind after a glance. */
const CLOSE_LOOKS = 3;
/** Up to this many tasters every split gets its glance; beyond, those along the directions they differ in. */
const EVERY_SPLIT_UP_TO = 6;
/** A Bayes factor needs its order of size, not its digits. */
const SAMPLE: SampleSize = { habits: 96, latents: 4 };
const NEWTON_STEPS = 12;

/**
 * Whether the tasters fall into two camps, each with an ideal of its own. Null for fewer than two tasters.
 * All splits are alike likely beforehand.
 */
export function findCamps(learned: LearnedTable): Camps | null {
  const { evidence, posterior } = learned;
  const count = evidence.witnesses.length;
  if (count < 2) return null;
  const splits = count <= EVERY_SPLIT_UP_TO ? everySplit(count) : splitsAlong(learned);
  const glanced = splits
    .map((camps) => ({ camps, glance: glanceAt(split(evidence, camps)) }))
    .sort((a, b) => b.glance - a.glance);
  const looked = glanced.slice(0, CLOSE_LOOKS).map(({ camps, glance }) => {
    return { camps, glance, logEvidence: posteriorOf(split(evidence, camps), SAMPLE).logEvidence };
  });
  // Splits only glanced at are given the close look's correction of the last that had one.
  const correction = looked.at(-1)!.logEvidence - looked.at(-1)!.glance;
  const logs = [
    ...looked.map((l) => l.logEvidence),
    ...glanced.slice(CLOSE_LOOKS).map((g) => g.glance + correction),
  ];
  const best = looked.reduce((a, b) => (b.logEvidence > a.logEvidence ? b : a));
  const sum = logs.reduce((total, log) => total + Math.exp(log - best.logEvidence), 0);
  const ways = 2 ** (count - 1) - 1;
  const side = (camp: number) => best.camps.flatMap((c, t) => (c === camp ? [t] : []));
  return {
    sides: [side(0), side(1)],
    bayesFactor: Math.exp(best.logEvidence + Math.log(sum / ways) - posterior.logEvidence),
    share: 1 / sum,
  };
}

function split(evidence: Evidence, camps: readonly number[]): Evidence {
  return evidenceOf(evidence.observations, camps, evidence);
}

/** Log chance of the answers at the usual habits: a quick order among splits. */
function glanceAt(evidence: Evidence): number {
  return conditionalOn(habitsOf([]), evidence, blankLatents(evidence), NEWTON_STEPS).logEvidence;
}

/** Every way to make two groups; the first taster is always in the first. */
function everySplit(count: number): number[][] {
  return Array.from({ length: 2 ** (count - 1) - 1 }, (_, i) =>
    Array.from({ length: count }, (_, t) => (t === 0 ? 0 : ((i + 1) >> (t - 1)) & 1)),
  );
}

/** Splits that cut the tasters in two along an axis on which their ideals differ. */
function splitsAlong(learned: LearnedTable): number[][] {
  const weights = learned.posterior.draws.map((draw) => draw.weight);
  const middles = learned.tasters.map((_, t) => weightedMoments(idealsOf(learned, [t]), weights).mean);
  const directions: Vec3[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
    [1, 1, 0],
    [1, -1, 0],
    [1, 0, 1],
    [1, 0, -1],
    [0, 1, 1],
    [0, 1, -1],
  ];
  const found = new Map<string, number[]>();
  for (const direction of directions) {
    const along = middles.map((middle) => dot3(middle, direction));
    for (const cut of [...along].sort((a, b) => a - b).slice(1)) {
      const camps = along.map((x) => (x < cut ? 0 : 1));
      const named = camps[0] === 0 ? camps : camps.map((c) => 1 - c);
      if (named.includes(1)) found.set(named.join(""), named);
    }
  }
  return [...found.values()];
}
