import { seededRandom } from "../seeded-random.ts";
import { normalQuantileFast } from "../stats.ts";

/**
 * `count` (even) points of `dims` independent standard normals: on every axis one point in each of `count`
 * equally likely slices (M. McKay, R. Beckman and W. Conover, Technometrics 21, 1979, Latin hypercube), the
 * second half mirroring the first, so that odd moments are exact. The same arguments give the same points
 * on every machine.
 */
export function latinNormal(count: number, dims: number, seed: number): number[][] {
  const half = count / 2;
  const points = Array.from({ length: count }, () => new Array<number>(dims).fill(0));
  const random = seededRandom(seed);
  const order = Array.from({ length: half }, (_, i) => i);
  for (let k = 0; k < dims; k++) {
    for (let i = half - 1; i > 0; i--) {
      const j = random.bits() % (i + 1);
      [order[i], order[j]] = [order[j]!, order[i]!];
    }
    for (let i = 0; i < half; i++) {
      // Slices of the upper half only, signed at random: the mirror image has the other one.
      const sign = random.bits() & 1 ? 1 : -1;
      const p = 0.5 + (0.5 * (order[i]! + random.uniform())) / half;
      const x = sign * normalQuantileFast(Math.min(p, 1 - 2 ** -33));
      points[i]![k] = x;
      points[half + i]![k] = -x;
    }
  }
  return points;
}
