import { AXIS_SCALE } from "../axes.ts";
import {
  addScaled3,
  addScaledMat3,
  norm3,
  quadForm,
  rescale3,
  squareRootColumns3,
  subtract3,
} from "../linalg.ts";
import { nearestEdge } from "../targets/body.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { DoubtShare, Mat3, Vec3 } from "../types.ts";
import { seededRandom } from "../seeded-random.ts";

/** One doubt's share of the variance that matters. */
export interface VarianceShare {
  id: string;
  label: string;
  /** Of the variance along the direction to the nearest edge; over all doubts these sum to 1. Exact. */
  linear: number;
  /** First-order Sobol index of the margin to the edge, by sampling, and its standard error. */
  sobol: number;
  sobolError: number;
}

/** Shares of all doubts, largest first, with the direction (unit, axis-scale) they are measured along. */
export interface VarianceShares {
  direction: Vec3;
  shares: VarianceShare[];
  /** Whether linear and sampled shares agree to three standard errors: the edge is flat enough for the first. */
  agree: boolean;
  /** 1 − the sum of the Sobol indices: the part of the margin's variance that belongs to no doubt alone. */
  interaction: number;
  /** False when a doubt came without its covariance, so that its axes were taken as unrelated. */
  exact: boolean;
}

/** Draws per doubt and batches they are split into for the standard error. */
const BATCHES = 16;
const DRAWS_PER_BATCH = 256;

/**
 * Whose doubt decides whether the drink is inside? The variance of the point along the direction to the nearest
 * edge of the target, split among the independent doubts: exactly (the margin taken as linear, so shares are
 * nᵀCᵢn / nᵀCn), and as first-order Sobol indices of the true margin (I. M. Sobol, 1993; the pick-freeze
 * estimator of A. Janon et al., ESAIM: Probability and Statistics 18, 2014). They agree where the edge looks
 * flat from here. Null when there is no doubt along that direction. Seeded.
 */
export function varianceShares(
  doubts: readonly DoubtShare[],
  target: CompiledTarget,
  mean: Vec3,
  options: { seed?: number } = {},
): VarianceShares | null {
  const direction = directionToEdge(target, mean);
  const parts = doubts.map(({ id, label, covariance, variance }) => ({
    id,
    label,
    own: scaledCovariance(covariance ?? diagonal(variance)),
  }));
  const along = parts.map(({ own }) => Math.max(quadForm(own, direction), 0));
  const whole = along.reduce((sum, x) => sum + x, 0);
  if (!(whole > 0)) return null;
  const total = parts.reduce((sum, { own }) => addScaledMat3(sum, 1, own), diagonal([0, 0, 0]));
  const random = seededRandom(options.seed ?? 1);
  const shares = parts.map(({ id, label, own }, i): VarianceShare => {
    const rest = addScaledMat3(total, -1, own);
    const { index, error } = firstOrderIndex(target, mean, own, rest, random.normal);
    return { id, label, linear: along[i]! / whole, sobol: index, sobolError: error };
  });
  return {
    direction,
    shares: shares.sort((a, b) => b.linear - a.linear),
    agree: shares.every((s) => Math.abs(s.linear - s.sobol) <= 3 * s.sobolError + 0.01),
    interaction: 1 - shares.reduce((sum, s) => sum + s.sobol, 0),
    exact: doubts.every((doubt) => doubt.covariance !== undefined),
  };
}

/** Exact shares only, in the order of the doubts: the cheap half of varianceShares. */
export function linearShares(doubts: readonly DoubtShare[], target: CompiledTarget, mean: Vec3): number[] {
  const direction = directionToEdge(target, mean);
  const along = doubts.map(({ covariance, variance }) =>
    Math.max(quadForm(scaledCovariance(covariance ?? diagonal(variance)), direction), 0),
  );
  const whole = along.reduce((sum, x) => sum + x, 0);
  return along.map((x) => (whole > 0 ? x / whole : 0));
}

/** Unit vector (axis-scale) from the point to the nearest edge of the target, from inside or outside. */
export function directionToEdge(target: CompiledTarget, mean: Vec3): Vec3 {
  const u = scale(mean);
  const edge = target.contains(mean)
    ? nearestEdge({ planes: target.scaled.ownPlanes, ellipsoids: target.scaled.ellipsoids }, u).point
    : scale(target.nearest(mean));
  const away = subtract3(edge, u);
  const length = norm3(away);
  if (length > 1e-9) return [away[0] / length, away[1] / length, away[2] / length];
  // On the edge itself: the margin's own slope.
  const slope = ([0, 1, 2] as const).map((k) => {
    const step = (sign: number): Vec3 => [
      mean[0] + (k === 0 ? sign * 1e-5 * AXIS_SCALE[0] : 0),
      mean[1] + (k === 1 ? sign * 1e-5 * AXIS_SCALE[1] : 0),
      mean[2] + (k === 2 ? sign * 1e-5 * AXIS_SCALE[2] : 0),
    ];
    return target.margin(step(1)) - target.margin(step(-1));
  });
  const size = Math.hypot(...slope) || 1;
  return [slope[0]! / size, slope[1]! / size, slope[2]! / size];
}

/** Pick-freeze: two draws that share this doubt's value and nothing else; the covariance is its variance. */
function firstOrderIndex(
  target: CompiledTarget,
  mean: Vec3,
  own: Mat3,
  rest: Mat3,
  normal: () => number,
): { index: number; error: number } {
  const ownColumns = squareRootColumns3(own).filter((c) => norm3(c) > 0);
  const restColumns = squareRootColumns3(rest).filter((c) => norm3(c) > 0);
  const drift = (from: Vec3, columns: readonly Vec3[]) => {
    let u = from;
    for (const c of columns) u = addScaled3(u, normal(), c);
    return u;
  };
  const start = scale(mean);
  const margin = (u: Vec3) =>
    target.margin([u[0] * AXIS_SCALE[0], u[1] * AXIS_SCALE[1], u[2] * AXIS_SCALE[2]]);
  const batches = Array.from({ length: BATCHES }, () => {
    let [sum, product, squares] = [0, 0, 0];
    for (let k = 0; k < DRAWS_PER_BATCH; k++) {
      const frozen = drift(start, ownColumns);
      const a = margin(drift(frozen, restColumns));
      const b = margin(drift(frozen, restColumns));
      sum += (a + b) / 2;
      product += a * b;
      squares += (a * a + b * b) / 2;
    }
    return { sum, product, squares };
  });
  const estimate = (used: typeof batches) => {
    const n = used.length * DRAWS_PER_BATCH;
    const middle = used.reduce((s, x) => s + x.sum, 0) / n;
    const shared = used.reduce((s, x) => s + x.product, 0) / n - middle ** 2;
    const all = used.reduce((s, x) => s + x.squares, 0) / n - middle ** 2;
    return all > 0 ? shared / all : 0;
  };
  const index = estimate(batches);
  // Jackknife over batches.
  const left = batches.map((_, i) => estimate(batches.filter((__, k) => k !== i)));
  const average = left.reduce((s, x) => s + x, 0) / BATCHES;
  const spread = left.reduce((s, x) => s + (x - average) ** 2, 0);
  return { index, error: Math.sqrt(((BATCHES - 1) / BATCHES) * spread) };
}

function scale(p: Vec3): Vec3 {
  return [p[0] / AXIS_SCALE[0], p[1] / AXIS_SCALE[1], p[2] / AXIS_SCALE[2]];
}

function scaledCovariance(m: Mat3): Mat3 {
  return rescale3(m, [1 / AXIS_SCALE[0], 1 / AXIS_SCALE[1], 1 / AXIS_SCALE[2]]);
}

function diagonal(d: Vec3): Mat3 {
  return [
    [d[0], 0, 0],
    [0, d[1], 0],
    [0, 0, d[2]],
  ];
}
