import { AXIS_INDICES, type AxisIndex, asVec3, unitAxis } from "../axes.ts";
import {
  addScaled3,
  addScaledMat3,
  mat3,
  matVec3,
  outer3,
  solvePositiveDefinite,
  subtract3,
  symmetric3,
} from "../linalg.ts";
import { covarianceMat3, meanVec3 } from "../stats.ts";
import { MAX_ITERATIONS } from "../tolerances.ts";
import type { Mat3, Vec3 } from "../types.ts";

const NONE: Mat3 = mat3(() => 0);
const NOWHERE: Vec3 = [0, 0, 0];

/** Relative change of the covariance at which the iteration has settled: far below what any drink shows. */
const SETTLED = 1e-7;

/** A drink's point, and the covariance of what its spec leaves open. */
interface Seen {
  point: Vec3;
  doubt?: Mat3;
}

/**
 * Mean and covariance of the drinks behind points that are seen with known doubts: xᵢ ~ N(μ, Σ + Eᵢ). The
 * covariance is that most likely after starting from `usual` with the weight of `weight` drinks: an EM iteration
 * (A. Dempster, N. Laird and D. Rubin, J. Royal Stat. Soc. B 39, 1977), Σ ← (weight·usual + Σᵢ E[ddᵀ | xᵢ]) /
 * (weight + n − 1), with μ the mean weighted by (Σ + Eᵢ)⁻¹. Without doubts it is the plain mean, and without
 * weight the sample covariance. Needs two points.
 */
export function scatterOf(
  members: readonly Seen[],
  usual: Mat3,
  weight: number,
): { mean: Vec3; covariance: Mat3 } {
  const clear = members.filter((m) => m.doubt === undefined).map((m) => m.point);
  const doubted = members.filter((m): m is Required<Seen> => m.doubt !== undefined);
  const middle = clear.length > 0 ? meanVec3(clear) : NOWHERE;
  // What the clear points alone scatter about their own middle never changes.
  const scatter = clear.length > 1 ? covarianceMat3(clear) : NONE;
  const fixed = addScaledMat3(addScaledMat3(NONE, weight, usual), clear.length - 1, scatter);
  let covariance = usual;
  let mean = middle;
  for (let k = 0; k < MAX_ITERATIONS; k++) {
    const seen = doubted.map(({ point, doubt }) => {
      return { point, precision: inverse(addScaledMat3(covariance, 1, doubt)) };
    });
    let total = addScaledMat3(NONE, clear.length, inverse(covariance));
    let weighted = matVec3(total, middle);
    for (const { point, precision } of seen) {
      total = addScaledMat3(total, 1, precision);
      weighted = addScaled3(weighted, 1, matVec3(precision, point));
    }
    mean = matVec3(inverse(total), weighted);
    let sum = addScaledMat3(fixed, clear.length, outer3(subtract3(middle, mean)));
    for (const { point, precision } of seen) {
      // What of the gap is the drink's own, and how far that is still open.
      const gain = times(covariance, precision);
      const own = matVec3(gain, subtract3(point, mean));
      const open = addScaledMat3(covariance, -1, times(gain, covariance));
      sum = addScaledMat3(addScaledMat3(sum, 1, outer3(own)), 1, open);
    }
    const next = addScaledMat3(NONE, 1 / (weight + members.length - 1), sum);
    const moved = Math.max(...AXIS_INDICES.map((i) => Math.abs(next[i][i] / covariance[i][i] - 1)));
    covariance = symmetric3(next);
    if (moved < SETTLED) break;
  }
  return { mean, covariance };
}

function times(a: Mat3, b: Mat3): Mat3 {
  return mat3((i, j) => a[i][0] * b[0][j] + a[i][1] * b[1][j] + a[i][2] * b[2][j]);
}

/** Of a covariance, which the usual scatter keeps positive definite. */
function inverse(m: Mat3): Mat3 {
  // The inverse of a symmetric matrix is symmetric: its columns do for its rows.
  const row = (k: AxisIndex) => asVec3(solvePositiveDefinite(m, unitAxis(k)));
  return [row(0), row(1), row(2)];
}
