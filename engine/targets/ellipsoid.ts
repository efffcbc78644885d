import { AXIS_INDICES, type AxisIndex, perAxis } from "../axes.ts";
import { addScaled3, dot3, eigenSymmetric3, mat3, matVec3, quadForm, subtract3 } from "../linalg.ts";
import { MAX_ITERATIONS, SERIES_TOLERANCE } from "../tolerances.ts";
import type { Mat3, Vec3 } from "../types.ts";

/** A solid ellipsoid in axis-scale units: the u with (u − mean)ᵀ gauge (u − mean) ≤ 1. */
export interface Ellipsoid {
  mean: Vec3;
  gauge: Mat3;
  /** Inverse of `gauge`: covariance · radius². */
  shape: Mat3;
  /** Unit directions of the semi-axes, shortest first, and their lengths. */
  directions: Mat3;
  semiAxes: Vec3;
}

/** Build the ellipsoid {u : (u − mean)ᵀ shape⁻¹ (u − mean) ≤ 1}; `shape` must be positive definite. */
export function createEllipsoid(mean: Vec3, shape: Mat3): Ellipsoid {
  const { values, vectors } = eigenSymmetric3(shape);
  const semiAxes = perAxis((k) => Math.sqrt(values[k]));
  const gauge = mat3(
    (i, j) =>
      (vectors[0][i] * vectors[0][j]) / values[0] +
      (vectors[1][i] * vectors[1][j]) / values[1] +
      (vectors[2][i] * vectors[2][j]) / values[2],
  );
  return { mean, gauge, shape, directions: vectors, semiAxes };
}

/** Gauge of u: 0 at the middle, 1 on the surface; the square root of the quadratic form. */
export function gaugeOf(e: Ellipsoid, u: Vec3): number {
  return Math.sqrt(Math.max(quadForm(e.gauge, subtract3(u, e.mean)), 0));
}

/** The point of the ellipsoid furthest along `direction` (closed form). */
export function ellipsoidSupport(e: Ellipsoid, direction: Vec3): Vec3 {
  const moved = matVec3(e.shape, direction);
  return addScaled3(e.mean, 1 / Math.sqrt(dot3(direction, moved)), moved);
}

/**
 * The point of the ellipsoid's surface nearest to u, for u inside or outside.
 *
 * Along the semi-axes the answer is xₖ = eₖ·r²zₖ/(w + r² − 1), with z the point in units of the semi-axes
 * eₖ, r = eₖ/e_min and w > 0 the root of the secular equation Σ(r²z/(w + r² − 1))² = 1 (the parametrisation
 * of D. Eberly, "Distance from a point to an ellipse, an ellipsoid, or a hyperellipsoid", 2013). The root is
 * found by Newton's method on 1/‖·‖ − 1, increasing and concave in w, so it converges upward from any lower bound.
 * When u lies on the plane across the shortest axis and deep inside, w = 0 and the rest of the length goes
 * onto that axis (either sign is nearest; the positive is returned).
 */
export function nearestOnSurface(e: Ellipsoid, u: Vec3): Vec3 {
  const offset = subtract3(u, e.mean);
  const along = matVec3(e.directions, offset);
  const shortest = e.semiAxes[0];
  const term = (k: AxisIndex) => {
    const ratio = (e.semiAxes[k] / shortest) ** 2;
    return { top: (ratio * Math.abs(along[k])) / e.semiAxes[k], shift: ratio - 1 };
  };
  const terms = [term(0), term(1), term(2)] as const;
  let w = Math.max(0, ...terms.map((t) => t.top - t.shift));
  const share = (t: { top: number; shift: number }) => (t.top === 0 ? 0 : t.top / (w + t.shift));
  for (let k = 0; k < MAX_ITERATIONS; k++) {
    let square = 0;
    let slope = 0;
    for (const t of terms) {
      const s = share(t);
      square += s * s;
      if (s > 0) slope -= (2 * s * s) / (w + t.shift);
    }
    if (square <= 1) break;
    const size = Math.sqrt(square);
    const step = (2 * square * (1 - size)) / slope;
    w += step;
    if (step <= SERIES_TOLERANCE * w) break;
  }
  const shares = perAxis((k) => share(terms[k]));
  const sum = dot3(shares, shares);
  const first = w === 0 && sum < 1 ? Math.sqrt(1 - (sum - shares[0] ** 2)) : shares[0];
  let nearest = e.mean;
  for (const k of AXIS_INDICES) {
    const sign = along[k] < 0 ? -1 : 1;
    nearest = addScaled3(nearest, sign * (k === 0 ? first : shares[k]) * e.semiAxes[k], e.directions[k]);
  }
  return nearest;
}
