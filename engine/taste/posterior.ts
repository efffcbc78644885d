import { addScaled } from "../linalg.ts";
import { type Factor, SymmetricSum } from "../symmetric.ts";
import {
  blankLatents,
  type Conditional,
  conditionalOn,
  type Evidence,
  flatterFactor,
  type Latents,
  logJoint,
} from "./conditional.ts";
import { HABIT_COUNT, type Habits, habitsOf } from "./habits.ts";
import { latinNormal } from "./latin-normal.ts";

/** One weighted point of the posterior. */
export interface Draw {
  weight: number;
  habits: Habits;
  /** As the evidence lays them out. */
  latents: Latents;
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
  const usual = usualPeak(evidence, blankLatents(evidence));
  const given = (z: Numbers): Conditional => conditionalOn(habitsOf(z), evidence, usual.mode, NEWTON_STEPS);

  const { peak, factors } = habitsPeak((z) => given(z).logEvidence + logPriorOf(z));
  const proposal = new Proposal(peak, factors, HABITS_WIDER);
  const spots = latinNormal(size.habits * size.latents, usual.mode.length, SEED.latents);
  const draws: Draw[] = [];
  latinNormal(size.habits, HABIT_COUNT, SEED.habits).forEach((unit, i) => {
    const z = proposal.at(unit, i % 4 === 0 ? "flatter" : "fitted");
    const logOfHabits = logPriorOf(z) - proposal.logDensity(z);
    const conditional = given(z);
    const { mode, habits } = conditional;
    const flatter = flatterFactor(conditional, evidence, FLATTER);
    const around = new Proposal(mode, { fitted: conditional.factor, flatter }, LATENTS_WIDER);
    for (let j = 0; j < size.latents; j++) {
      // Strided, so that the points of one set of habits come from all over the hypercube.
      const which = (j + 0.5) / size.latents < WIDE_SHARE ? "flatter" : "fitted";
      const latents = around.at(spots[j * size.habits + i]!, which);
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
function usualPeak(evidence: Evidence, blank: Latents): Conditional {
  const usual = habitsOf([]);
  const steps = 3 * NEWTON_STEPS;
  const strict = conditionalOn({ ...usual, lapse: NO_LAPSE }, evidence, blank, steps);
  const near = conditionalOn(usual, evidence, blank, steps);
  const far = conditionalOn(usual, evidence, strict.mode, steps);
  return far.logEvidence > near.logEvidence ? far : near;
}

type Numbers = readonly number[];

/** Two normals about one centre by the factors of their precisions: as fitted, and `WIDE_SHARE` of a flatter one. */
interface Factors {
  fitted: Factor;
  flatter: Factor;
}

/** What is sampled from: a mixture of normals about one centre. */
class Proposal {
  readonly #parts: readonly { factor: Factor; logHeight: number }[];

  constructor(
    readonly centre: Numbers,
    readonly factors: Factors,
    readonly wider: number,
  ) {
    const logWidth = centre.length * (Math.log(wider) + 0.5 * Math.log(2 * Math.PI));
    const part = (factor: Factor, share: number) => {
      return { factor, logHeight: Math.log(share) + factor.halfLogDeterminant - logWidth };
    };
    this.#parts = [part(factors.fitted, 1 - WIDE_SHARE), part(factors.flatter, WIDE_SHARE)];
  }

  /** The point of one of the normals that a standard normal point stands for. */
  at(unit: Numbers, which: keyof Factors): number[] {
    return addScaled(this.centre, this.wider, this.factors[which].solveUpper(unit));
  }

  logDensity(x: Numbers): number {
    const away = addScaled(x, -1, this.centre);
    return logOfSum(
      this.#parts.map(({ factor, logHeight }) => {
        return logHeight - (0.5 * sumOfSquares(factor.timesUpper(away))) / this.wider ** 2;
      }),
    );
  }
}

/** Logarithm of the sum of what these are the logarithms of. */
function logOfSum(logs: Numbers): number {
  const top = Math.max(...logs);
  return top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0));
}

const sumOfSquares = (x: Numbers): number => x.reduce((sum, entry) => sum + entry * entry, 0);

/**
 * Log weights to weights, none above √n times the mean (E. Ionides, Truncated importance sampling, J. Comput.
 * Graph. Stat. 17, 2008): one point that strayed into a corner the others missed cannot speak for all.
 */
function weighed(draws: Draw[]): Posterior {
  const n = draws.length;
  const top = draws.reduce((most, d) => Math.max(most, d.weight), -Infinity);
  for (const d of draws) d.weight = Math.exp(d.weight - top);
  const most = (draws.reduce((sum, d) => sum + d.weight, 0) / n) * Math.sqrt(n);
  for (const d of draws) d.weight = Math.min(d.weight, most);
  const sum = draws.reduce((total, d) => total + d.weight, 0);
  for (const d of draws) d.weight /= sum;
  return {
    draws,
    effective: 1 / draws.reduce((squares, d) => squares + d.weight ** 2, 0),
    logEvidence: top + Math.log(sum / n),
  };
}

/** Log density of independent standard normals. */
function logPriorOf(z: Numbers): number {
  return -0.5 * (sumOfSquares(z) + z.length * Math.log(2 * Math.PI));
}

/** Length of the differences the habits' curvature is taken over: the scale a normal fit is needed on. */
const STEP = 0.5;
/** Least curvature: the habits' prior has 1, and a flat or hollow fit would throw points far out. */
const LEAST_CURVATURE = 0.5;
const CLIMBS = 2;

/** Peak of a log density of the habits, and factors of its curvature there, by differences. */
function habitsPeak(f: (z: Numbers) => number): { peak: Numbers; factors: Factors } {
  let peak: Numbers = new Array<number>(HABIT_COUNT).fill(0);
  let around = look(f, peak);
  for (let k = 0; k < CLIMBS; k++) {
    const step = around.axes.map(({ slope, bend }) => {
      return Math.max(-1, Math.min(1, slope / Math.max(bend, LEAST_CURVATURE)));
    });
    const { value } = around;
    const better = [1, 0.5, 0.25].map((share) => addScaled(peak, share, step)).find((z) => f(z) > value);
    if (better === undefined) break;
    peak = better;
    around = look(f, peak);
  }
  const { value, axes } = around;
  const curve = new SymmetricSum(HABIT_COUNT);
  for (const [i, one] of axes.entries()) {
    curve.addAt(i, i, one.bend);
    for (const [j, other] of axes.slice(0, i).entries()) {
      const both = f(peak.map((x, k) => (k === i || k === j ? x + STEP : x)));
      curve.addAt(i, j, -(both - one.up - other.up + value) / STEP ** 2);
    }
  }
  for (let ridge = 0; ; ridge = Math.max(0.1, 2 * ridge)) {
    // No direction may be flatter than the least curvature.
    if (!curve.scaled(1, ridge - LEAST_CURVATURE).factor()) continue;
    const fitted = curve.scaled(1, ridge);
    const flatter = fitted.scaled(FLATTER, 1 - FLATTER);
    return { peak, factors: { fitted: fitted.factor()!, flatter: flatter.factor()! } };
  }
}

/** Value, and along each axis the value a step up, slope and curvature. */
function look(f: (z: Numbers) => number, at: Numbers) {
  const value = f(at);
  const axes = at.map((_, i) => {
    const aside = (step: number) => f(at.map((x, k) => (k === i ? x + step : x)));
    const [up, down] = [aside(STEP), aside(-STEP)];
    return { up, slope: (up - down) / (2 * STEP), bend: -(up - 2 * value + down) / STEP ** 2 };
  });
  return { value, axes };
}
