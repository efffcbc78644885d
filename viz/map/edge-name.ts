import { minIndex, polygonArea } from "d3";
import type { XY } from "./model.ts";

/** An edge that a name can be set along: a closed outline in pixels, with a point at least every half of a letter. */
export type Edge = readonly XY[];

/** Which side of its edge a name stands on: within the outline or without. */
export type Side = "within" | "without";

/** A name set along an edge. */
export interface EdgeName {
  /** The stretch it stands on, from left to right. */
  path: XY[];
  /** The line through the middle of its letters. */
  middle: XY[];
  below: boolean;
  /** Where on the edge the stretch begins, and on which side the name is. */
  from: XY;
  side: Side;
}

/** From the edge to the middle of the letters, in type sizes. */
const RISE = 0.8;

/** Points along a line, at most a step apart. */
export function along([a, b]: readonly [XY, XY], step: number): XY[] {
  const n = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / step));
  return Array.from({ length: n + 1 }, (_, i) => [
    a[0] + ((b[0] - a[0]) * i) / n,
    a[1] + ((b[1] - a[1]) * i) / n,
  ]);
}

/** The outline with points close enough for a name to begin anywhere on it. */
export function edgeOf(polygon: readonly XY[], typePx: number): Edge {
  return polygon.flatMap((p, i) => along([p, polygon[(i + 1) % polygon.length]!], 0.5 * typePx).slice(0, -1));
}

/** Cosine of the angle between the steps a → b and c → d. */
function turn(a: XY, b: XY, c: XY, d: XY): number {
  const [x, y, u, v] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  return (x * u + y * v) / (Math.hypot(x, y) * Math.hypot(u, v));
}

/** Letters fall over one another where a line turns by more than 10 degrees at once; past 60 in all they lie down. */
function bendsTooMuch(path: readonly XY[], next: XY): boolean {
  const [first, second] = path;
  const [before, at] = path.slice(-2);
  if (!first || !second || !before || !at) return false;
  return (
    turn(before, at, at, next) < Math.cos(Math.PI / 18) ||
    turn(first, second, at, next) < Math.cos(Math.PI / 3)
  );
}

/** Gives the middle of a letter that stands on a point of an edge. */
function lettersOn(edge: Edge, side: Side, typePx: number): (i: number) => XY {
  const out = polygonArea(edge as [number, number][]) > 0 === (side === "without");
  return (i) => {
    const [x, y] = edge[i]!;
    const [a, b] = [edge.at(i - 1)!, edge[(i + 1) % edge.length]!];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const reach = ((out ? -1 : 1) * RISE * typePx) / length;
    return [x + (b[1] - a[1]) * reach, y - (b[0] - a[0]) * reach];
  };
}

/** The name on the stretch of so many points. */
function nameOn(edge: Edge, letter: (i: number) => XY, side: Side, from: number, points: number): EdgeName {
  const at = Array.from({ length: points }, (_, k) => (from + k) % edge.length);
  if (edge[at[0]!]![0] > edge[at.at(-1)!]![0]) at.reverse();
  const name = { path: at.map((i) => edge[i]!), middle: at.map(letter), from: edge[from]!, side };
  const half = Math.floor(points / 2);
  return { ...name, below: name.middle[half]![1] > name.path[half]![1] };
}

/**
 * The stretch of an edge on which a text of `lengthPx` can stand: inside the plot, off all that is taken, as straight
 * and as level as can be. Null where the edge has none.
 */
export function stretchFor(
  edge: Edge,
  lengthPx: number,
  typePx: number,
  plot: { width: number; height: number },
  side: Side,
  isTaken: (at: XY) => boolean,
): EdgeName | null {
  const n = edge.length;
  const letter = lettersOn(edge, side, typePx);
  const margin = 0.8 * typePx;
  const free = edge.map((_, i) => {
    const [x, y] = letter(i);
    const isInPlot = x > margin && y > margin && x < plot.width - margin && y < plot.height - margin;
    return isInPlot && !isTaken([x, y]);
  });
  let best: { from: number; points: number; cost: number } | null = null;
  for (let from = 0; from < n; from += 1) {
    if (!free[from]) continue;
    const path: XY[] = [edge[from]!];
    let length = 0;
    for (let k = 1; k <= n && length < lengthPx; k += 1) {
      const [at, next] = [path.at(-1)!, edge[(from + k) % n]!];
      if (!free[(from + k) % n] || bendsTooMuch(path, next)) break;
      length += Math.hypot(next[0] - at[0], next[1] - at[1]);
      path.push(next);
    }
    if (length < lengthPx) continue;
    const [a, b] = [path[0]!, path.at(-1)!];
    const chord = Math.max(Math.hypot(b[0] - a[0], b[1] - a[1]), 1);
    // Level and straight; a little to the middle of the plot rather than to its corners.
    const off = Math.abs((a[0] + b[0]) / 2 - plot.width / 2) / plot.width;
    const cost = 3 * (length / chord - 1) + Math.abs(b[1] - a[1]) / chord + 0.4 * off;
    if (!best || cost < best.cost) best = { from, points: path.length, cost };
  }
  return best && nameOn(edge, letter, side, best.from, best.points);
}

/** The stretch that begins nearest to where one began: a name that stays on its edge while the edge moves. */
export function stretchFrom(
  edge: Edge,
  lengthPx: number,
  typePx: number,
  { from, side }: Pick<EdgeName, "from" | "side">,
): EdgeName {
  const start = minIndex(edge, (p) => Math.hypot(p[0] - from[0], p[1] - from[1]));
  let points = 1;
  for (let length = 0; length < lengthPx && points < edge.length; points += 1) {
    const [a, b] = [edge[(start + points - 1) % edge.length]!, edge[(start + points) % edge.length]!];
    length += Math.hypot(b[0] - a[0], b[1] - a[1]);
  }
  return nameOn(edge, lettersOn(edge, side, typePx), side, start, points);
}
