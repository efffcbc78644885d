import { MAX_ITERATIONS } from "../tolerances.ts";
import { addTimes } from "../vectors.ts";

/** dy/dt at (t, y), written into `out`. */
export type Derivative = (t: number, y: Float64Array, out: Float64Array) => void;

/**
 * Dormand and Prince's stages of order 5 with an embedded order 4: where in the step each stands, what it takes of
 * those before it, and its part of the estimated error (order 5 less order 4).
 */
const STAGES = [
  { node: 0, weights: [], error: 71 / 57600 },
  { node: 1 / 5, weights: [1 / 5], error: 0 },
  { node: 3 / 10, weights: [3 / 40, 9 / 40], error: -71 / 16695 },
  { node: 4 / 5, weights: [44 / 45, -56 / 15, 32 / 9], error: 71 / 1920 },
  { node: 8 / 9, weights: [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729], error: -17253 / 339200 },
  { node: 1, weights: [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656], error: 22 / 525 },
  { node: 1, weights: [35 / 384, 0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84], error: -1 / 40 },
];

/** A stage with the slope found there. */
type Stage = (typeof STAGES)[number] & { slope: Float64Array };

const SAFETY = 0.9;
const MOST_GROWTH = 5;
const LEAST_SHRINKING = 0.2;
/** Steps between two wanted times; a system that needs more is stiffer than this method is for. */
const MOST_STEPS = 100 * MAX_ITERATIONS;

/**
 * Solutions of dy/dt = f(t, y) at the wanted times, by Runge–Kutta of order 5(4) with error control.
 *
 * J. R. Dormand and P. J. Prince, Journal of Computational and Applied Mathematics 6 (1980) 19–26 (coefficients from
 * memory; the tests compare with closed forms and with Hairer's extrapolation code from the registry). Our own because
 * melting bends where the ice runs out, which wants steps that end at given times, and because it is shorter than the
 * wrapper a library would need to run the same in page, worker and server.
 *
 * @param times increasing; the first is where `start` holds
 * @param tolerance absolute error per step, one per component
 * @throws RangeError when the steps run out: a caller's bug, not a user's input
 */
export function integrate(
  f: Derivative,
  start: readonly number[],
  times: readonly number[],
  tolerance: readonly number[],
): Float64Array[] {
  const stages = STAGES.map((stage): Stage => ({ ...stage, slope: new Float64Array(start.length) }));
  const trial = new Float64Array(start.length);
  const found = [Float64Array.from(start)];
  let y = Float64Array.from(start);
  const [first = 0, ...later] = times;
  let t = first;
  let step = Math.max(1e-6, (later[0] ?? 1) - first) / 16;
  for (const end of later) {
    for (let count = 0; t < end; count += 1) {
      if (count > MOST_STEPS) throw new RangeError(`integrate: no end in ${MOST_STEPS} steps at t = ${t}`);
      const h = Math.min(step, end - t);
      const error = attempt(f, t, y, h, stages, trial, tolerance);
      // A step far too long can leave the field's domain: no number is no step.
      const factor = Number.isNaN(error) ? 0 : error > 0 ? SAFETY * error ** -0.2 : MOST_GROWTH;
      if (error <= 1) {
        t = h === end - t ? end : t + h;
        y = Float64Array.from(trial);
      }
      step = h * Math.min(MOST_GROWTH, Math.max(LEAST_SHRINKING, factor));
    }
    found.push(Float64Array.from(y));
  }
  return found;
}

/** One step into `trial`; returns the largest error in units of its tolerance. */
function attempt(
  f: Derivative,
  t: number,
  y: Float64Array,
  h: number,
  stages: readonly Stage[],
  trial: Float64Array,
  tolerance: readonly number[],
): number {
  for (const { node, weights, slope } of stages) {
    trial.set(y);
    for (const [j, weight] of weights.entries()) addTimes(trial, h * weight, stages[j]!.slope);
    f(t + node * h, trial, slope);
  }
  // The last stage stands at the step's end: `trial` holds it already.
  const errors = new Float64Array(y.length);
  for (const { error, slope } of stages) addTimes(errors, h * error, slope);
  return errors.reduce((worst, error, i) => Math.max(worst, Math.abs(error) / tolerance[i]!), 0);
}
