import { cholesky, halfLogDeterminant, solveUpper } from "./cholesky.ts";
import { type Conditional, conditionalOn, type Evidence, flatterFactor, logJoint } from "./conditional.ts";
import { HABIT_COUNT, type Habits, habitsOf } from "./habits.ts";
import { latinNormal } from "./latin-normal.ts";
import { LIKING_PEAK } from "./settings.ts";

/** One weighted point of the posterior. */
export interface Draw {
  weight: number;
  habits: Habits;
  /** Common ideals, then each taster's ideal (3) and peak liking, as the evidence lays them out; in spreads. */
  latents: Float64Array;
}

/** What the answers leave possible, as weighted points. Weights sum to 1. */
export interface Posterior {
  draws: Draw[];
  /** How many equally weighted points these are worth (L. Kish, Survey Sampling, 1965): 1/Σw². */
  effective: number;
  /** Natural logarithm of the chance of all the answers before any was given. */
  logEvidence: number;
}

/** Sizes of the sample: sets of habits, and points of the latents for each. Both even. */
export interface SampleSize {
  habits: number;
  latents: number;
}

/** Mean error from sampling below a twentieth of a spread on a table of three with eight rounds. */
export const SAMPLE_SIZE: SampleSize = { habits: 256, latents: 8 };

/** The sampling distributions are this much wider than the fitted normals, so that weights stay bounded. */
const HABITS_WIDER = 1.1;
const LATENTS_WIDER = 1.05;
/**
 * Answers at the end of a scale ("much too sour") leave a long tail on one side that the fitted normal lacks:
 * this share of the points comes from one in which the answers count only `FLATTER` times.
 */
const WIDE_SHARE = 0.25;
const FLATTER = 0.2;
const NEWTON_STEPS = 12;
const SEED = { habits: 1, latents: 2 };

/**
 * The posterior of the table's ideals and habits, by importance sampling: habits around the peak of their
 * own posterior, and for each of them the ideals around theirs, both normal approximations by Laplace's
 * method (L. Tierney and J. Kadane, J. Am. Stat. Assoc. 81, 1986), weighted back to the exact density.
 *
 * A fixed sequence of operations on fixed points: the same answers give the same numbers. Cost: about
 * `size.habits` + 160 small Newton climbs.
 */
export function posteriorOf(evidence: Evidence, size: SampleSize = SAMPLE_SIZE): Posterior {
  const { tasterAt, size: n } = evidence;
  const blank = new Float64Array(n);
  for (const a of tasterAt) blank[a + 3] = LIKING_PEAK.mean;
  const usual = usualPeak(evidence, blank);
  const given = (z: Float64Array): Conditional =>
    conditionalOn(habitsOf(z), evidence, usual.mode, NEWTON_STEPS);

  const { peak, factors: habitFactors } = habitsPeak((z) => given(z).logEvidence + logPriorOf(z));
  const proposal = new Proposal(peak, habitFactors, [1 - WIDE_SHARE, WIDE_SHARE], HABITS_WIDER);
  const spots = latinNormal(size.habits * size.latents, n, SEED.latents);
  const draws: Draw[] = [];
  latinNormal(size.habits, HABIT_COUNT, SEED.habits).forEach((unit, i) => {
    const z = proposal.at(unit, i % 4 === 0 ? 1 : 0);
    const logOfHabits = logPriorOf(z) - proposal.logDensity(z);
    const conditional = given(z);
    const { mode, habits } = conditional;
    const factors = [conditional.factor, flatterFactor(conditional, evidence, FLATTER)];
    const around = new Proposal(mode, factors, [1 - WIDE_SHARE, WIDE_SHARE], LATENTS_WIDER);
    for (let j = 0; j < size.latents; j++) {
      // Strided, so that the points of one set of habits come from all over the hypercube.
      const latents = around.at(spots[j * size.habits + i]!, (j + 0.5) / size.latents < WIDE_SHARE ? 1 : 0);
      const weight = logJoint(latents, habits, evidence) - around.logDensity(latents) + logOfHabits;
      draws.push({ weight, habits, latents });
    }
  });
  return weighed(draws);
}

/** Chance of a lapse too small to be an excuse, and above the least a double can hold. */
const NO_LAPSE = 1e-100;

/**
 * The peak of the latents at usual habits. Where lapses are allowed a far ideal can hide behind them: what it
 * would make likely looks like slips from afar, and the climb from the classics never sets out. So it also
 * sets out from the one peak there is when nobody slips, and the likelier end is taken.
 */
function usualPeak(evidence: Evidence, blank: Float64Array): Conditional {
  const usual = habitsOf(new Float64Array(HABIT_COUNT));
  const steps = 3 * NEWTON_STEPS;
  const strict = conditionalOn({ ...usual, lapse: NO_LAPSE }, evidence, blank, steps);
  const [near, far] = [blank, strict.mode].map((start) => conditionalOn(usual, evidence, start, steps));
  return far!.logEvidence > near!.logEvidence ? far! : near!;
}

/** A mixture of normals about one centre, each given by the factor of its precision. */
class Proposal {
  readonly #logHeights: number[];

  constructor(
    readonly centre: Float64Array,
    readonly factors: readonly Float64Array[],
    shares: readonly number[],
    readonly wider: number,
  ) {
    const n = centre.length;
    this.#logHeights = factors.map(
      (f, k) =>
        Math.log(shares[k]!) + halfLogDeterminant(f, n) - n * (Math.log(wider) + 0.5 * Math.log(2 * Math.PI)),
    );
  }

  /** The point of one of the normals that a standard normal point stands for. */
  at(unit: Float64Array, which: number): Float64Array {
    const x = unit.map((u) => this.wider * u);
    solveUpper(this.factors[which]!, x);
    return x.map((d, k) => this.centre[k]! + d);
  }

  logDensity(x: Float64Array): number {
    const n = x.length;
    const terms = this.factors.map((f, which) => {
      let q = 0;
      for (let k = 0; k < n; k++) {
        let s = 0;
        for (let i = k; i < n; i++) s += f[i * n + k]! * (x[i]! - this.centre[i]!);
        q += s * s;
      }
      return this.#logHeights[which]! - (0.5 * q) / this.wider ** 2;
    });
    const top = Math.max(...terms);
    return top + Math.log(terms.reduce((sum, t) => sum + Math.exp(t - top), 0));
  }
}

/**
 * Log weights to weights, none above √n times the mean (E. Ionides, Truncated importance sampling, J. Comput.
 * Graph. Stat. 17, 2008): one point that strayed into a corner the others missed cannot speak for all.
 */
function weighed(draws: Draw[]): Posterior {
  const n = draws.length;
  const top = draws.reduce((most, d) => Math.max(most, d.weight), -Infinity);
  const raw = draws.map((d) => Math.exp(d.weight - top));
  const mean = raw.reduce((sum, w) => sum + w, 0) / n;
  const held = raw.map((w) => Math.min(w, mean * Math.sqrt(n)));
  const sum = held.reduce((total, w) => total + w, 0);
  draws.forEach((d, i) => {
    d.weight = held[i]! / sum;
  });
  return {
    draws,
    effective: 1 / draws.reduce((squares, d) => squares + d.weight ** 2, 0),
    logEvidence: top + Math.log(sum / n),
  };
}

/** Log density of independent standard normals. */
function logPriorOf(z: Float64Array): number {
  let sum = 0;
  for (const x of z) sum += x * x;
  return -0.5 * (sum + z.length * Math.log(2 * Math.PI));
}

/** Length of the differences the habits' curvature is taken over: the scale a normal fit is needed on. */
const STEP = 0.5;
/** Least curvature: the habits' prior has 1, and a flat or hollow fit would throw points far out. */
const LEAST_CURVATURE = 0.5;
const CLIMBS = 2;

/** Peak and curvature (as a Cholesky factor) of a log density of the habits, by differences. */
function habitsPeak(f: (z: Float64Array) => number): { peak: Float64Array; factors: Float64Array[] } {
  const n = HABIT_COUNT;
  let peak = new Float64Array(n);
  let around = look(f, peak);
  for (let k = 0; k < CLIMBS; k++) {
    const { slope, bend, value } = around;
    const step = slope.map((s, i) => Math.max(-1, Math.min(1, s / Math.max(bend[i]!, LEAST_CURVATURE))));
    const next = [1, 0.5, 0.25].map((share) => peak.map((x, i) => x + share * step[i]!));
    const better = next.find((z) => f(z) > value);
    if (better === undefined) break;
    peak = better;
    around = look(f, peak);
  }
  const curve = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    curve[i * n + i] = around.bend[i]!;
    for (let j = 0; j < i; j++) {
      const z = Float64Array.from(peak);
      z[i]! += STEP;
      z[j]! += STEP;
      curve[i * n + j] = -(f(z) - around.up[i]! - around.up[j]! + around.value) / STEP ** 2;
    }
  }
  for (let ridge = 0; ; ridge = Math.max(0.1, 2 * ridge)) {
    const raised = (by: number) => curve.map((c, i) => (i % (n + 1) === 0 ? c + by : c));
    // No direction may be flatter than the least curvature.
    if (cholesky(raised(ridge - LEAST_CURVATURE), n)) {
      const fitted = raised(ridge);
      const flatter = fitted.map((c, i) => FLATTER * c + (i % (n + 1) === 0 ? 1 - FLATTER : 0));
      return { peak, factors: [cholesky(fitted, n)!, cholesky(flatter, n)!] };
    }
  }
}

/** Value, slope and curvature along each axis. */
function look(f: (z: Float64Array) => number, at: Float64Array) {
  const value = f(at);
  const aside = (sign: 1 | -1) =>
    at.map((_, i) => {
      const z = Float64Array.from(at);
      z[i]! += sign * STEP;
      return f(z);
    });
  const up = aside(1);
  const down = aside(-1);
  return {
    value,
    up,
    slope: up.map((u, i) => (u - down[i]!) / (2 * STEP)),
    bend: up.map((u, i) => -(u - 2 * value + down[i]!) / STEP ** 2),
  };
}
