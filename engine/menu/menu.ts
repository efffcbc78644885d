import { AXIS_INDICES, perAxis, scaledDistance } from "../axes.ts";
import { fail, requireFinite } from "../errors.ts";
import { MOST } from "../limits.ts";
import { meanVec3 } from "../stats.ts";
import type { Mat3, Vec3 } from "../types.ts";
import { alikePairs } from "./alike.ts";
import { bestGrouping } from "./cluster.ts";
import { type EmptyCorner, emptyCorners, type MenuClassic, type MenuRange } from "./gaps.ts";

/** A drink of a menu, placed. */
export interface MenuDrink {
  name: string;
  /** Sugar, acid, ABV and their covariance, axis units. */
  point: Vec3;
  covariance: Mat3;
  /** Shares of the pour by ingredient; they sum to 1. */
  pours: ReadonlyMap<string, number>;
  /** Name of its likeliest family; null where it has none. */
  family: string | null;
}

/** Where a value stands among the classics: their lowest, middle and highest third. */
export type Level = "low" | "middle" | "high";
export type Levels = readonly [Level, Level, Level];

/** How wide a menu is. */
export interface MenuSpread {
  low: Vec3;
  high: Vec3;
  /** Mean distance of a drink to its nearest neighbour, axis-scale units; null for a lone drink. */
  nearestMean: number | null;
}

/** An empty corner, and the drinks for which the same words stand though they are far from it. */
export interface MenuCorner extends EmptyCorner {
  levels: Levels;
  sameWords: number[];
}

/** What is to be said of a menu as a whole. */
export type MenuReport = ReturnType<typeof readMenu>;

/**
 * Look at the drinks of a menu together: groups, pairs that the doubts cannot tell apart, corners left empty, spread.
 *
 * @param ranges where a menu could have drinks, as of families
 * @param classics what "sweet" or "strong" is measured by, and what could fill a corner
 * @throws EngineError for no drink, too many, or one without a place
 */
export function readMenu(
  drinks: readonly MenuDrink[],
  ranges: readonly MenuRange[],
  classics: readonly MenuClassic[],
) {
  if (drinks.length === 0) fail("/drinks", "no drink", "give at least one");
  if (drinks.length > MOST.menuDrinks) {
    fail("/drinks", `${drinks.length} drinks, the limit is ${MOST.menuDrinks}`, "split the menu");
  }
  drinks.forEach(({ point }, i) => {
    for (const k of AXIS_INDICES) requireFinite(point[k], `/drinks/${i}/point/${k}`);
  });
  const points = drinks.map(({ point }) => point);
  const distances = points.map((p) => points.map((q) => scaledDistance(p, q)));
  const levelsOf = levelsAmong(classics);
  const { groups, silhouette } = bestGrouping(distances);
  return {
    /** Drinks that stand together. */
    groups: groups.map((members, i) => {
      const among = members.flatMap((m) => drinks[m] ?? []);
      const mean = meanVec3(among.map(({ point }) => point));
      // "A" for the group of the menu's first drink, and on.
      const letter = String.fromCharCode("A".charCodeAt(0) + i);
      // That of more than half of them; null where there is none.
      const family = commonest(among.map((drink) => drink.family));
      return { letter, members, mean, levels: levelsOf(mean), family };
    }),
    /** How well the groups fit, −1 to 1; null where all are one group. */
    silhouette,
    alike: alikePairs(drinks),
    corners: emptyCorners(points, ranges, classics).map((corner): MenuCorner => {
      const levels = levelsOf(corner.centre);
      const same = (p: Vec3) => levelsOf(p).every((level, k) => level === levels[k]);
      return { ...corner, levels, sameWords: points.flatMap((p, i) => (same(p) ? [i] : [])) };
    }),
    spread: spreadOf(points, distances),
  };
}

/** By thirds of the classics on each axis; without classics all is middle. */
function levelsAmong(classics: readonly MenuClassic[]): (p: Vec3) => Levels {
  const level = (p: Vec3, k: 0 | 1 | 2): Level => {
    const below = classics.filter(({ point }) => point[k] < p[k]).length;
    const above = classics.filter(({ point }) => point[k] > p[k]).length;
    if (classics.length === 0) return "middle";
    if (3 * above >= 2 * classics.length) return "low";
    return 3 * below >= 2 * classics.length ? "high" : "middle";
  };
  return (p) => [level(p, 0), level(p, 1), level(p, 2)];
}

/** What more than half of them are; null where nothing is. */
function commonest(names: readonly (string | null)[]): string | null {
  return names.find((name) => 2 * names.filter((other) => other === name).length > names.length) ?? null;
}

function spreadOf(points: readonly Vec3[], distances: readonly (readonly number[])[]): MenuSpread {
  const nearest = distances.map((row, i) => Math.min(...row.filter((_, j) => j !== i)));
  return {
    low: perAxis((k) => Math.min(...points.map((p) => p[k]))),
    high: perAxis((k) => Math.max(...points.map((p) => p[k]))),
    nearestMean: points.length < 2 ? null : nearest.reduce((sum, d) => sum + d, 0) / points.length,
  };
}
