import { AXIS_INDICES, type AxisIndex, fromScaled, perAxis, scaledDistance, toScaled } from "../axes.ts";
import { addScaled3 } from "../linalg.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import { PHYSICAL_RANGE } from "../targets/physical-range.ts";
import type { Vec3 } from "../types.ts";

/** A range in which a menu may leave a corner empty. */
export type MenuRange = Pick<CompiledTarget, "name" | "contains" | "boundingBox">;

/** A drink that stands for what could fill a corner. */
export interface MenuClassic {
  name: string;
  point: Vec3;
}

/** A part of the ranges that no drink of the menu comes near. */
export interface EmptyCorner {
  /** Its middle, axis units. */
  centre: Vec3;
  /** Distance from there to the nearest drink of the menu, axis-scale units; and which that is. */
  radius: number;
  nearest: number;
  /** Names of the ranges the middle is in. */
  ranges: string[];
  /** The classic nearest to the middle, if one stands in the inner half of the corner. */
  classic: MenuClassic | null;
}

/** Step of the lattice the search starts from, and the step at which it ends, axis-scale units. */
const LATTICE = 0.5;
const FINEST = 0.02;
/** A corner smaller than two steps of each axis is no want of a menu. */
const LEAST_RADIUS = 2;
const MOST_CORNERS = 3;
/** Every point that has one of the values on each axis. */
const grid = (along: (k: AxisIndex) => readonly number[]) =>
  along(0).flatMap((x) => along(1).flatMap((y) => along(2).map((z): Vec3 => [x, y, z])));
const NEIGHBOURS = grid(() => [-1, 0, 1]);

/**
 * The largest balls, one after another, whose middle lies in some range and that hold no drink of the menu: the best
 * point of a lattice, improved by ever smaller steps to FINEST. A later one also keeps clear of the middles before.
 * The radius is exact for the middle given; the middle is the best near the best lattice point, no proof of the best.
 */
export function emptyCorners(
  menu: readonly Vec3[],
  ranges: readonly MenuRange[],
  classics: readonly MenuClassic[],
): EmptyCorner[] {
  const inside = (p: Vec3) => isDrink(p) && ranges.some((range) => range.contains(p));
  const taken = [...menu];
  const room = (p: Vec3) => Math.min(...taken.map((q) => scaledDistance(p, q)));
  const spots = latticeOver(ranges)
    .filter(inside)
    .map((at) => ({ at, room: room(at) }));
  const corners: EmptyCorner[] = [];
  while (corners.length < MOST_CORNERS && spots.length > 0) {
    const best = spots.reduce((most, spot) => (spot.room > most.room ? spot : most));
    const centre = improve(best.at, inside, room);
    if (room(centre) < LEAST_RADIUS) break;
    corners.push(cornerAt(centre, menu, ranges, classics));
    taken.push(centre);
    for (const spot of spots) spot.room = Math.min(spot.room, scaledDistance(spot.at, centre));
  }
  return corners;
}

/** The ranges of families are open to what no drink can be: less than no acid. */
const isDrink = (p: Vec3) =>
  AXIS_INDICES.every((k) => p[k] >= PHYSICAL_RANGE[0][k] && p[k] <= PHYSICAL_RANGE[1][k]);

function latticeOver(ranges: readonly MenuRange[]): Vec3[] {
  if (ranges.length === 0) return [];
  const ends = ranges.map(({ boundingBox: [low, high] }) => [toScaled(low), toScaled(high)] as const);
  const steps = perAxis((k) => Math.min(...ends.map(([low]) => Math.floor(low[k] / LATTICE))));
  const last = perAxis((k) => Math.max(...ends.map(([, high]) => Math.ceil(high[k] / LATTICE))));
  const along = (k: AxisIndex) =>
    Array.from({ length: last[k] - steps[k] + 1 }, (_, i) => (steps[k] + i) * LATTICE);
  return grid(along).map(fromScaled);
}

/** Climb to more room by steps to the 26 neighbours, each stay halving the step. */
function improve(start: Vec3, inside: (p: Vec3) => boolean, room: (p: Vec3) => number): Vec3 {
  let [at, best] = [start, room(start)];
  for (let step = LATTICE / 2; step >= FINEST; ) {
    const next = NEIGHBOURS.map((n) => addScaled3(at, step, fromScaled(n)))
      .filter(inside)
      .map((p) => ({ p, r: room(p) }))
      .reduce((a, b) => (b.r > a.r ? b : a), { p: at, r: best });
    if (next.r > best + FINEST / 100) [at, best] = [next.p, next.r];
    else step /= 2;
  }
  return at;
}

function cornerAt(
  centre: Vec3,
  menu: readonly Vec3[],
  ranges: readonly MenuRange[],
  classics: readonly MenuClassic[],
): EmptyCorner {
  const far = menu.map((p) => scaledDistance(p, centre));
  const radius = Math.min(...far);
  const near = classics
    .map((classic) => ({ classic, at: scaledDistance(classic.point, centre) }))
    .filter(({ at }) => at <= radius / 2)
    .sort((a, b) => a.at - b.at)[0];
  return {
    centre,
    radius,
    nearest: far.indexOf(radius),
    ranges: ranges.filter((range) => range.contains(centre)).map(({ name }) => name),
    classic: near?.classic ?? null,
  };
}
