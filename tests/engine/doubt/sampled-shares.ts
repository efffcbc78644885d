import { fromScaled, PER_AXIS_SCALE, toScaled } from "../../../engine/axes.ts";
import { linearShares, ownCovariance } from "../../../engine/doubt/linear-shares.ts";
import { addScaled3, addScaledMat3, mat3, norm3, rescale3 } from "../../../engine/linalg.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";
import type { CompiledTarget } from "../../../engine/targets/compile-target.ts";
import type { DoubtShare, Mat3, Vec3 } from "../../../engine/types.ts";
import { squareRootColumns3 } from "../square-root-columns.ts";

/** Draws per doubt and batches they are split into for the standard error. */
const BATCHES = 16;
const DRAWS_PER_BATCH = 256;

/** One doubt's exact linear share of the variance toward the edge, and its sampled first-order Sobol index. */
export interface SampledShare {
  id: string;
  linear: number;
  sobol: number;
  sobolError: number;
}

/**
 * First-order Sobol indices of the true margin to the edge (I. M. Sobol, 1993; the pick-freeze estimator of
 * A. Janon et al., ESAIM: Probability and Statistics 18, 2014), beside the engine's linear shares: they agree
 * where the edge looks flat. `interaction` is the part of the margin's variance that belongs to no doubt alone.
 */
export function sampledShares(
  doubts: readonly DoubtShare[],
  target: CompiledTarget,
  mean: Vec3,
): { shares: SampledShare[]; agree: boolean; interaction: number } {
  const own = doubts.map((doubt) => rescale3(ownCovariance(doubt), PER_AXIS_SCALE));
  const total = own.reduce(
    (sum, c) => addScaledMat3(sum, 1, c),
    mat3(() => 0),
  );
  const linear = linearShares(doubts, target, mean);
  const random = seededRandom(1);
  const shares = doubts.map(({ id }, i): SampledShare => {
    const rest = addScaledMat3(total, -1, own[i]!);
    const { index, error } = firstOrderIndex(target, mean, own[i]!, rest, random.normal);
    return { id, linear: linear[i]!, sobol: index, sobolError: error };
  });
  return {
    shares,
    agree: shares.every((s) => Math.abs(s.linear - s.sobol) <= 3 * s.sobolError + 0.01),
    interaction: 1 - shares.reduce((sum, s) => sum + s.sobol, 0),
  };
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
  const start = toScaled(mean);
  const margin = (u: Vec3) => target.margin(fromScaled(u));
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
