import { PER_AXIS_SCALE, scaledDistance, toScaled } from "../axes.ts";
import { addScaledMat3, dot, mat3, rescale3, solvePositiveDefinite, subtract3 } from "../linalg.ts";
import { once } from "../once.ts";
import { chiSquareQuantile } from "../stats.ts";
import type { Mat3 } from "../types.ts";
import type { MenuDrink } from "./menu.ts";

/** Two drinks of a menu that their doubts cannot tell apart. */
export interface AlikePair {
  /** Positions in the menu, the lower first. */
  a: number;
  b: number;
  /** Between the points, axis-scale units. */
  distance: number;
  /** The same in standard deviations of their difference. */
  gap: number;
  /** Part of the pour that both share, 0–1: the same liquids in the same shares give 1. */
  sharedPour: number;
}

/** Of pairs of glasses of one drink, this part lies nearer together than what is called alike. */
const ALIKE_MASS = 0.68;
/**
 * Least standard deviation of a difference, axis-scale units: a pour's rounding on an axis the doubts say nothing
 * of (no acid in either), so that every pair can be judged.
 */
const LEAST_SD = 0.05;

const reach = once(() => Math.sqrt(chiSquareQuantile(ALIKE_MASS, 3)));
const floor: Mat3 = mat3((i, j) => (i === j ? LEAST_SD ** 2 : 0));

/**
 * Pairs nearer than their joint doubt, the nearest first. The two doubts are taken to be independent; where both
 * pour the same uncertain juice some of it cancels, so a pair listed may yet be told apart.
 */
export function alikePairs(drinks: readonly MenuDrink[]): AlikePair[] {
  const scaled = drinks.map(({ covariance }) => rescale3(covariance, PER_AXIS_SCALE));
  const pairs = drinks.flatMap((one, a) =>
    drinks.slice(a + 1).flatMap((other, k): AlikePair[] => {
      const b = a + 1 + k;
      const joint = addScaledMat3(addScaledMat3(scaled[a]!, 1, scaled[b]!), 1, floor);
      const step = subtract3(toScaled(one.point), toScaled(other.point));
      const gap = Math.sqrt(Math.max(0, dot(step, solvePositiveDefinite(joint, step))));
      if (gap > reach()) return [];
      const distance = scaledDistance(one.point, other.point);
      return [{ a, b, distance, gap, sharedPour: sharedPour(one, other) }];
    }),
  );
  return pairs.sort((p, q) => p.gap - q.gap || p.a - q.a || p.b - q.b);
}

function sharedPour({ pours }: MenuDrink, other: MenuDrink): number {
  let shared = 0;
  for (const [id, share] of pours) shared += Math.min(share, other.pours.get(id) ?? 0);
  return shared;
}
