import { MAX_ITERATIONS } from "../tolerances.ts";

/** dy/dt at (t, y), written into `out`. */
export type Derivative = (t: number, y: Float64Array, out: Float64Array) => void;

/** Dormand and Prince's coefficients of order 5 with an embedded order 4. */
const NODES = [0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1, 1] as const;
const WEIGHTS = [
  [],
  [1 / 5],
  [3 / 40, 9 / 40],
  [44 / 45, -56 / 15, 32 / 9],
  [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729],
  [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656],
  [35 / 384, 0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84],
] as const;
/** Order 5 less order 4: the estimate of the error. */
const ERROR = [71 / 57600, 0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40] as const;

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
  const n = start.length;
  const stages = WEIGHTS.map(() => new Float64Array(n));
  const trial = new Float64Array(n);
  const found = [Float64Array.from(start)];
  let y = Float64Array.from(start);
  let step = Math.max(1e-6, (times[1] ?? 1) - (times[0] ?? 0)) / 16;
  for (let k = 1; k < times.length; k += 1) {
    let t = times[k - 1]!;
    const end = times[k]!;
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
  stages: readonly Float64Array[],
  trial: Float64Array,
  tolerance: readonly number[],
): number {
  const n = y.length;
  WEIGHTS.forEach((weights, s) => {
    for (let i = 0; i < n; i += 1) {
      let sum = y[i]!;
      for (let j = 0; j < weights.length; j += 1) sum += h * weights[j]! * stages[j]![i]!;
      trial[i] = sum;
    }
    f(t + NODES[s]! * h, trial, stages[s]!);
  });
  // The last stage stands at the step's end: `trial` holds it already.
  let worst = 0;
  for (let i = 0; i < n; i += 1) {
    let error = 0;
    for (let s = 0; s < ERROR.length; s += 1) error += h * ERROR[s]! * stages[s]![i]!;
    worst = Math.max(worst, Math.abs(error) / tolerance[i]!);
  }
  return worst;
}
