import type { XY } from "./model.ts";

/** A step of the trail: its shaft, and the barbs of its head at the child's end. */
export interface Arrow {
  shaft: string;
  head: string;
}

/**
 * Arrow from one mark to another, both in pixels, cut back by the marks' radii so that it touches neither.
 * The head is two open strokes, as on a drawing. Null when the marks are too near for an arrow to be read.
 */
export function arrowPath(from: XY, to: XY, fromRadius: number, toRadius: number, headPx = 7): Arrow | null {
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const length = Math.hypot(dx, dy);
  if (!(length > fromRadius + toRadius + 2)) return null;
  const ux = dx / length;
  const uy = dy / length;
  const start: XY = [from[0] + ux * fromRadius, from[1] + uy * fromRadius];
  const end: XY = [to[0] - ux * toRadius, to[1] - uy * toRadius];
  const size = Math.min(headPx, (length - fromRadius - toRadius) * 0.8);
  const barb = (side: 1 | -1): XY => [
    end[0] - size * (ux * Math.cos(0.42) - side * uy * Math.sin(0.42)),
    end[1] - size * (uy * Math.cos(0.42) + side * ux * Math.sin(0.42)),
  ];
  const p = ([x, y]: XY) => `${x.toFixed(2)},${y.toFixed(2)}`;
  return { shaft: `M${p(start)}L${p(end)}`, head: `M${p(barb(1))}L${p(end)}L${p(barb(-1))}` };
}

/** The point half way along a polyline, by length; the only point of a one-point line; null for none. */
export function halfWay(points: readonly XY[]): XY | null {
  const lengths = points.map((p, i) => {
    const before = points[i - 1] ?? p;
    return Math.hypot(p[0] - before[0], p[1] - before[1]);
  });
  let left = lengths.reduce((sum, l) => sum + l, 0) / 2;
  for (let i = 1; i < points.length; i += 1) {
    const length = lengths[i]!;
    if (length >= left && length > 0) {
      const t = left / length;
      const [a, b] = [points[i - 1]!, points[i]!];
      return [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
    }
    left -= length;
  }
  return points[0] ?? null;
}
