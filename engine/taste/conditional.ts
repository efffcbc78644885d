import { AXIS_INDICES } from "../axes.ts";
import { addScaled, dot, dot3, matVec3, quadForm, scaled3, subtract3 } from "../linalg.ts";
import { type Factor, SymmetricSum } from "../symmetric.ts";
import type { Mat3, Vec3 } from "../types.ts";
import type { Habits } from "./habits.ts";
import { curvature, feel, logChance, type Observation, PER_TASTER, type Taster } from "./response.ts";
import { LIKING_PEAK } from "./settings.ts";

/** Every ideal and liking in one row of numbers, in spreads: the common ideals, then each taster's. */
export type Latents = readonly number[];

/** A taster in the evidence: what they said, and where in the latents their numbers are. */
interface Witness {
  said: readonly Observation[];
  /** Where their own numbers start: ideal (3), then peak. */
  own: number;
  /** Where the common ideal that theirs is close to starts. */
  common: number;
}

/** What is being learned from. */
export interface Evidence {
  observations: readonly Observation[];
  witnesses: readonly Witness[];
  /** Where the common ideals start: one for one table, two for two camps. */
  commons: readonly number[];
  /** The classics' correlations inverted. */
  precision: Mat3;
  /** log det of `precision`. */
  logPrecision: number;
}

/** Answers and who is with whom (camps by number, from 0), with the layout of the latents. */
export function evidenceOf(
  observations: readonly Observation[],
  camps: readonly number[],
  { precision, logPrecision }: { precision: Mat3; logPrecision: number },
): Evidence {
  const count = 1 + Math.max(0, ...camps);
  const witnesses = camps.map((camp, t) => ({
    said: observations.filter((o) => o.taster === t),
    own: 3 * count + PER_TASTER * t,
    common: 3 * camp,
  }));
  const commons = Array.from({ length: count }, (_, c) => 3 * c);
  return { observations, witnesses, commons, precision, logPrecision };
}

/** Where a climb sets out from: everyone likes the classics' centre best, as well as people do. */
export function blankLatents({ commons, witnesses }: Evidence): Latents {
  return [...commons.flatMap(() => [0, 0, 0]), ...witnesses.flatMap(() => [0, 0, 0, LIKING_PEAK.mean])];
}

/** The ideal whose numbers start at `from`. */
function idealAt(v: Latents, from: number): Vec3 {
  return [v[from]!, v[from + 1]!, v[from + 2]!];
}

/** The taster whose numbers start at `own`. */
export function tasterAt(v: Latents, own: number): Taster {
  return { ideal: idealAt(v, own), peak: v[own + 3]! };
}

const LOG_TWO_PI = Math.log(2 * Math.PI);

/** Log prior density of latents, given the habits. */
function logPrior(v: Latents, h: Habits, { witnesses, commons, precision, logPrecision }: Evidence): number {
  let q = 0;
  for (const from of commons) q += quadForm(precision, idealAt(v, from));
  let apart = 0;
  let peaks = 0;
  for (const { own, common } of witnesses) {
    const { ideal, peak } = tasterAt(v, own);
    const away = subtract3(ideal, idealAt(v, common));
    apart += dot3(away, away);
    peaks += ((peak - LIKING_PEAK.mean) / LIKING_PEAK.sd) ** 2;
  }
  return (
    -0.5 * (q / h.width ** 2 + apart / h.tasterSpread ** 2 + peaks + v.length * LOG_TWO_PI) +
    commons.length * (0.5 * logPrecision - 3 * Math.log(h.width)) -
    witnesses.length * (3 * Math.log(h.tasterSpread) + Math.log(LIKING_PEAK.sd))
  );
}

/** Log of prior times chance of every answer, given the habits. */
export function logJoint(v: Latents, h: Habits, evidence: Evidence): number {
  let sum = logPrior(v, h, evidence);
  for (const { said, own } of evidence.witnesses) {
    const taster = tasterAt(v, own);
    for (const o of said) sum += logChance(feel(o, taster, h), h.lapse);
  }
  return sum;
}

/** Add s·part to a vector from entry `from` on. */
function addAt(sum: number[], from: number, s: number, part: readonly number[]): void {
  let at = from;
  for (const x of part) sum[at++]! += s * x;
}

/** Slope of `logJoint` and its (Gauss–Newton) curvature, the answers counted `share` times. */
function slopeAndCurvature(v: Latents, h: Habits, evidence: Evidence, share = 1) {
  const slope = new Array<number>(v.length).fill(0);
  const curve = new SymmetricSum(v.length);
  const narrow = 1 / h.width ** 2;
  for (const from of evidence.commons) {
    addAt(slope, from, -narrow, matVec3(evidence.precision, idealAt(v, from)));
    curve.addMatrix(narrow, evidence.precision, from);
  }
  const close = 1 / h.tasterSpread ** 2;
  for (const { said, own, common } of evidence.witnesses) {
    const taster = tasterAt(v, own);
    const pull = scaled3(close, subtract3(taster.ideal, idealAt(v, common)));
    addAt(slope, common, 1, pull);
    addAt(slope, own, -1, [...pull, (taster.peak - LIKING_PEAK.mean) / LIKING_PEAK.sd ** 2]);
    for (const k of AXIS_INDICES) {
      curve.addAt(common + k, common + k, close);
      curve.addAt(own + k, own + k, close);
      curve.addAt(own + k, common + k, -close);
    }
    curve.addAt(own + 3, own + 3, 1 / LIKING_PEAK.sd ** 2);
    for (const o of said) {
      const felt = feel(o, taster, h);
      const [first, information] = curvature(felt, h.lapse);
      addAt(slope, own, first, felt.slope);
      curve.addSquare(share * information, felt.slope, own);
    }
  }
  return { slope, curve };
}

/** The latents' distribution given the habits, as a normal one at its peak. */
export interface Conditional {
  habits: Habits;
  mode: Latents;
  /** Cholesky factor of the curvature at the mode. */
  factor: Factor;
  /** Log chance of every answer given the habits, by Laplace's method. */
  logEvidence: number;
}

/** Twice the gain in log density a Newton step must promise to be worth taking. */
const WORTH_A_STEP = 1e-5;

/** Climb from `start` to the most likely latents. `steps` bounds the Newton steps. */
export function conditionalOn(
  habits: Habits,
  evidence: Evidence,
  start: Latents,
  steps: number,
): Conditional {
  let mode = start;
  let value = logJoint(mode, habits, evidence);
  for (let step = 0; ; step++) {
    const { slope, curve } = slopeAndCurvature(mode, habits, evidence);
    const factor = curve.factor()!;
    const way = factor.solve(slope);
    const promise = dot(slope, way);
    const climbed = step < steps && promise > WORTH_A_STEP ? climb(mode, value, way, habits, evidence) : null;
    if (climbed === null) {
      const logEvidence = value + 0.5 * mode.length * LOG_TWO_PI - factor.halfLogDeterminant;
      return { habits, mode, factor, logEvidence };
    }
    ({ mode, value } = climbed);
  }
}

/** A step along `way`, halved until it climbs; null when no share of it does. */
function climb(
  from: Latents,
  value: number,
  way: readonly number[],
  habits: Habits,
  evidence: Evidence,
): { mode: Latents; value: number } | null {
  for (let share = 1; share > 0.01; share /= 2) {
    const mode = addScaled(from, share, way);
    const found = logJoint(mode, habits, evidence);
    if (found > value) return { mode, value: found };
  }
  return null;
}

/** Cholesky factor of the curvature at the mode with the answers counted only `share` times. */
export function flatterFactor({ mode, habits }: Conditional, evidence: Evidence, share: number): Factor {
  return slopeAndCurvature(mode, habits, evidence, share).curve.factor()!;
}
