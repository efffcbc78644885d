import type { XY } from "./model.ts";

/** A label that wants a place beside its mark. Pixels throughout. */
export interface LabelWish {
  key: string;
  anchor: XY;
  /** Radius of the mark to keep clear of. */
  radius: number;
  width: number;
  height: number;
  /** Higher is placed first; ties go by key. */
  priority: number;
  /** Placed at its least bad position even where something is covered. */
  required: boolean;
}

/** A placed label: the middle of its box, and a leader line when it stands off from its mark. */
export interface PlacedLabel {
  key: string;
  x: number;
  y: number;
  width: number;
  height: number;
  leader: readonly [XY, XY] | null;
}

/** An axis-aligned rectangle. */
export interface Rect {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** What labels must not cover (rectangles) and should rather not cross (line segments). */
export interface Obstacles {
  rects: readonly Rect[];
  segments: readonly (readonly [XY, XY])[];
}

// Right of the mark first, as a line of text reads; straight above and below last.
const DIRECTIONS = [0, -30, 30, 180, 210, 150, -60, 60, -120, 120, -90, 90].map((d) => (d * Math.PI) / 180);
const STAND_OFF = [3, 11, 22, 36];
/** A long leader costs the reader more than a missing name. */
const FARTHEST_OPTIONAL = 22;
/** From this gap on, a leader ties the label to its mark. */
const LEADER_FROM = 11;

/** The square about a point, out to `reach` on each side. */
export const rectAround = ([x, y]: XY, reach: number): Rect => ({
  left: x - reach,
  right: x + reach,
  top: y - reach,
  bottom: y + reach,
});

/** Area two rectangles share. */
export function overlap(a: Rect, b: Rect): number {
  const w = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const h = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  return w > 0 && h > 0 ? w * h : 0;
}

/** Whether a segment passes through a rectangle (Liang–Barsky clipping). */
export function crosses([a, b]: readonly [XY, XY], r: Rect): boolean {
  let enter = 0;
  let leave = 1;
  const d: XY = [b[0] - a[0], b[1] - a[1]];
  for (const [p, q] of [
    [-d[0], a[0] - r.left],
    [d[0], r.right - a[0]],
    [-d[1], a[1] - r.top],
    [d[1], r.bottom - a[1]],
  ] as const) {
    if (p === 0) {
      if (q < 0) return false;
      continue;
    }
    const t = q / p;
    if (p < 0) enter = Math.max(enter, t);
    else leave = Math.min(leave, t);
    if (enter > leave) return false;
  }
  return true;
}

function boxAt(wish: LabelWish, direction: number, gap: number): Rect {
  const ux = Math.cos(direction);
  const uy = Math.sin(direction);
  // The box's side or corner that faces the mark touches the circle `radius + gap` around it.
  const lean = (u: number) => Math.min(Math.max(u * Math.SQRT2, -1), 1);
  const x = wish.anchor[0] + ux * (wish.radius + gap) + (lean(ux) * wish.width) / 2;
  const y = wish.anchor[1] + uy * (wish.radius + gap) + (lean(uy) * wish.height) / 2;
  return {
    left: x - wish.width / 2,
    right: x + wish.width / 2,
    top: y - wish.height / 2,
    bottom: y + wish.height / 2,
  };
}

function nearestOn(r: Rect, [x, y]: XY): XY {
  return [Math.min(Math.max(x, r.left), r.right), Math.min(Math.max(y, r.top), r.bottom)];
}

/**
 * Greedy label placement: the most wanted label takes the first free place of a fixed list, nearest first, and is an
 * obstacle to the rest; a label with no free place, off every line, is left out unless required.
 * `mostOptional` bounds how many unrequired labels are placed. The same input gives the
 * same picture, and no two labels overlap except where a required one had no choice.
 */
export function placeLabels(
  wishes: readonly LabelWish[],
  bounds: Rect,
  obstacles: Obstacles,
  mostOptional = Infinity,
): PlacedLabel[] {
  let optional = 0;
  const taken: Rect[] = [...obstacles.rects];
  const lines: (readonly [XY, XY])[] = [...obstacles.segments];
  const placed: PlacedLabel[] = [];
  const order = [...wishes].sort((a, b) => b.priority - a.priority || (a.key < b.key ? -1 : 1));
  for (const wish of order) {
    if (!wish.required && optional >= mostOptional) continue;
    let best: { rect: Rect; cost: number; covered: number; gap: number } | null = null;
    STAND_OFF.forEach((gap, ring) => {
      if (gap > FARTHEST_OPTIONAL && !wish.required) return;
      DIRECTIONS.forEach((direction, turn) => {
        const rect = boxAt(wish, direction, gap);
        const out =
          Math.max(0, bounds.left - rect.left) +
          Math.max(0, rect.right - bounds.right) +
          Math.max(0, bounds.top - rect.top) +
          Math.max(0, rect.bottom - bounds.bottom);
        let covered = out * 40;
        if (covered > 0 && !wish.required) return;
        for (const r of taken) {
          covered += overlap(rect, r);
          if (covered > 0 && !wish.required) return;
        }
        let crossed = 0;
        for (const s of lines) {
          if (!crosses(s, rect)) continue;
          if (!wish.required) return;
          crossed += 1;
        }
        const leader: readonly [XY, XY] = [wish.anchor, nearestOn(rect, wish.anchor)];
        if (gap >= LEADER_FROM) {
          for (const other of placed) if (crosses(leader, rectOf(other))) crossed += 2;
        }
        const cost = covered * 10 + crossed * 14 + ring * 10 + turn * 0.8;
        if (best === null || cost < best.cost) best = { rect, cost, covered, gap };
      });
    });
    if (best === null) continue;
    if (!wish.required) optional += 1;
    const { rect, gap } = best as { rect: Rect; gap: number };
    const leader: readonly [XY, XY] | null =
      gap >= LEADER_FROM ? cutBack(wish, nearestOn(rect, wish.anchor)) : null;
    taken.push(rect);
    if (leader) lines.push(leader);
    placed.push({
      key: wish.key,
      x: (rect.left + rect.right) / 2,
      y: (rect.top + rect.bottom) / 2,
      width: wish.width,
      height: wish.height,
      leader,
    });
  }
  return placed;
}

/** The rectangle of a placed label. */
export function rectOf(label: PlacedLabel): Rect {
  return {
    left: label.x - label.width / 2,
    right: label.x + label.width / 2,
    top: label.y - label.height / 2,
    bottom: label.y + label.height / 2,
  };
}

function cutBack(wish: LabelWish, end: XY): readonly [XY, XY] {
  const dx = end[0] - wish.anchor[0];
  const dy = end[1] - wish.anchor[1];
  const length = Math.hypot(dx, dy) || 1;
  const start = wish.radius + 1;
  return [[wish.anchor[0] + (dx / length) * start, wish.anchor[1] + (dy / length) * start], end];
}
