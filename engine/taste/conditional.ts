import { AXIS_INDICES } from "../axes.ts";
import type { Mat3 } from "../types.ts";
import { cholesky, halfLogDeterminant, solveLower, solveUpper } from "./cholesky.ts";
import type { Habits } from "./habits.ts";
import { blankFelt, curvature, feel, logChance, type Observation, PER_TASTER } from "./response.ts";
import { LIKING_PEAK } from "./settings.ts";

/** What is being learned from. */
export interface Evidence {
  observations: readonly Observation[];
  /** For each taster, which common ideal is theirs: all 0 for one table, 0 and 1 for two camps. */
  camps: readonly number[];
  /** The classics' correlations inverted. */
  precision: Mat3;
  /** log det of `precision`. */
  logPrecision: number;
  /** Where in a latent vector each taster's numbers (ideal, peak) start, after the common ideals. */
  tasterAt: readonly number[];
  /** Length of a latent vector. */
  size: number;
}

/** Answers and who is with whom, with the layout of the latents. */
export function evidenceOf(
  observations: readonly Observation[],
  camps: readonly number[],
  { precision, logPrecision }: { precision: Mat3; logPrecision: number },
): Evidence {
  const first = 3 * (1 + Math.max(0, ...camps));
  return {
    observations,
    camps,
    precision,
    logPrecision,
    tasterAt: camps.map((_, t) => first + PER_TASTER * t),
    size: first + PER_TASTER * camps.length,
  };
}

const LOG_TWO_PI = Math.log(2 * Math.PI);

/** Log prior density of latents, given the habits. */
function logPrior(
  v: Float64Array,
  h: Habits,
  { camps, precision, logPrecision, tasterAt }: Evidence,
): number {
  const centres = (tasterAt[0] ?? 3) / 3;
  let q = 0;
  for (let c = 0; c < centres; c++) {
    for (const i of AXIS_INDICES) {
      for (const j of AXIS_INDICES) q += v[3 * c + i]! * precision[i][j] * v[3 * c + j]!;
    }
  }
  let apart = 0;
  let peaks = 0;
  camps.forEach((camp, t) => {
    const a = tasterAt[t]!;
    for (const k of AXIS_INDICES) apart += (v[a + k]! - v[3 * camp + k]!) ** 2;
    peaks += ((v[a + 3]! - LIKING_PEAK.mean) / LIKING_PEAK.sd) ** 2;
  });
  return (
    -0.5 * (q / h.width ** 2 + apart / h.tasterSpread ** 2 + peaks + v.length * LOG_TWO_PI) +
    centres * (0.5 * logPrecision - 3 * Math.log(h.width)) -
    camps.length * (3 * Math.log(h.tasterSpread) + Math.log(LIKING_PEAK.sd))
  );
}

/** Log of prior times chance of every answer, given the habits. */
export function logJoint(v: Float64Array, h: Habits, evidence: Evidence): number {
  const { tasterAt } = evidence;
  let sum = logPrior(v, h, evidence);
  const felt = blankFelt();
  for (const o of evidence.observations) {
    feel(o, v, tasterAt[o.taster]!, h, felt);
    sum += logChance(felt, h.lapse);
  }
  return sum;
}

/** Slope of `logJoint` and its (Gauss–Newton) curvature, lower triangle, the answers counted `share` times. */
function slopeAndCurvature(v: Float64Array, h: Habits, evidence: Evidence, share = 1) {
  const { observations, camps, precision, tasterAt } = evidence;
  const n = v.length;
  const slope = new Float64Array(n);
  const curve = new Float64Array(n * n);
  const apart = 1 / h.tasterSpread ** 2;
  for (let c = 0; c < (tasterAt[0] ?? 3); c += 3) {
    for (const i of AXIS_INDICES) {
      for (const j of AXIS_INDICES) {
        const p = precision[i][j] / h.width ** 2;
        slope[c + i]! -= p * v[c + j]!;
        curve[(c + i) * n + c + j] = p;
      }
    }
  }
  camps.forEach((camp, t) => {
    const a = tasterAt[t]!;
    for (const k of AXIS_INDICES) {
      const own = a + k;
      const common = 3 * camp + k;
      const pull = (v[own]! - v[common]!) * apart;
      slope[common]! += pull;
      slope[own]! -= pull;
      curve[common * n + common]! += apart;
      curve[own * n + own] = apart;
      curve[own * n + common] = -apart;
    }
    slope[a + 3]! -= (v[a + 3]! - LIKING_PEAK.mean) / LIKING_PEAK.sd ** 2;
    curve[(a + 3) * n + a + 3] = 1 / LIKING_PEAK.sd ** 2;
  });
  const felt = blankFelt();
  for (const o of observations) {
    const a = tasterAt[o.taster]!;
    feel(o, v, a, h, felt);
    const [first, information] = curvature(felt, h.lapse);
    for (let i = 0; i < PER_TASTER; i++) {
      slope[a + i]! += first * felt.slope[i]!;
      for (let j = 0; j <= i; j++) {
        curve[(a + i) * n + a + j]! += share * information * felt.slope[i]! * felt.slope[j]!;
      }
    }
  }
  return { slope, curve };
}

/** The latents' distribution given the habits, as a normal one at its peak. */
export interface Conditional {
  habits: Habits;
  mode: Float64Array;
  /** Cholesky factor of the curvature at the mode. */
  factor: Float64Array;
  /** Log chance of every answer given the habits, by Laplace's method. */
  logEvidence: number;
}

/** Twice the gain in log density a Newton step must promise to be worth taking. */
const WORTH_A_STEP = 1e-5;

/** Climb from `start` to the most likely latents. `steps` bounds the Newton steps. */
export function conditionalOn(
  habits: Habits,
  evidence: Evidence,
  start: Float64Array,
  steps: number,
): Conditional {
  const n = start.length;
  let mode = start;
  let value = logJoint(mode, habits, evidence);
  for (let step = 0; ; step++) {
    const { slope, curve } = slopeAndCurvature(mode, habits, evidence);
    const factor = cholesky(curve, n)!;
    const way = Float64Array.from(slope);
    solveLower(factor, way);
    solveUpper(factor, way);
    const promise = way.reduce((sum, d, i) => sum + d * slope[i]!, 0);
    const climbed = step < steps && promise > WORTH_A_STEP ? climb(mode, value, way, habits, evidence) : null;
    if (climbed === null) {
      const logEvidence = value + 0.5 * n * LOG_TWO_PI - halfLogDeterminant(factor, n);
      return { habits, mode, factor, logEvidence };
    }
    ({ mode, value } = climbed);
  }
}

/** A step along `way`, halved until it climbs; null when no share of it does. */
function climb(
  from: Float64Array,
  value: number,
  way: Float64Array,
  habits: Habits,
  evidence: Evidence,
): { mode: Float64Array; value: number } | null {
  for (let share = 1; share > 0.01; share /= 2) {
    const mode = from.map((x, i) => x + share * way[i]!);
    const found = logJoint(mode, habits, evidence);
    if (found > value) return { mode, value: found };
  }
  return null;
}

/** Cholesky factor of the curvature at the mode with the answers counted only `share` times. */
export function flatterFactor(
  { mode, habits }: Conditional,
  evidence: Evidence,
  share: number,
): Float64Array {
  return cholesky(slopeAndCurvature(mode, habits, evidence, share).curve, mode.length)!;
}
