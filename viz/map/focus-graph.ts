import type { Item } from "./items.ts";
import type { XY } from "./model.ts";

/** Keys that move the cursor. */
export type NavKey =
  | "ArrowLeft"
  | "ArrowRight"
  | "ArrowUp"
  | "ArrowDown"
  | "PageUp"
  | "PageDown"
  | "Home"
  | "End";

/** Groups PageUp and PageDown go through. */
function groupOf(item: Item): number {
  return item.kind === "round" ? 0 : item.kind === "reference" ? 2 : 1;
}

/** Where the keyboard enters the map: the current round, or else the first item. */
export function entryPoint(items: readonly Item[]): Item | null {
  return items.find((i) => i.current) ?? items[0] ?? null;
}

function depthOf(items: readonly Item[], item: Item): number {
  let depth = 0;
  let at: Item | undefined = item;
  // The bound ends the walk on a trail that bad data has closed into a ring.
  while (at?.parent && depth <= items.length) {
    const parent: string = at.parent;
    at = items.find((i) => i.key === parent);
    depth += 1;
  }
  return depth;
}

function nearest(
  items: readonly Item[],
  from: XY,
  at: (item: Item) => XY,
  ux: number,
  uy: number,
): Item | null {
  let best: Item | null = null;
  let bestCost = Infinity;
  for (const item of items) {
    const [x, y] = at(item);
    const along = (x - from[0]) * ux + (y - from[1]) * uy;
    const across = Math.abs((x - from[0]) * uy - (y - from[1]) * ux);
    if (along <= 0.5) continue;
    // Sideways counts double, so that "right" means right.
    const cost = along + 2 * across;
    if (cost < bestCost) [best, bestCost] = [item, cost];
  }
  return best;
}

const HEADING: Partial<Record<NavKey, XY>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/**
 * The item one key away. On the trail, left and right are parent and child and up and down go between branches
 * (siblings, or else rounds as many steps from the start); the spec being edited and the proposals are children of
 * the current round. Among references the arrows go where they point, by `at` (pixels in the focused panel).
 * Page keys change group, Home and End go to a group's ends. Stays put where there is nothing.
 */
export function stepFrom(items: readonly Item[], from: Item, key: NavKey, at: (item: Item) => XY): Item {
  const group = items.filter((i) => groupOf(i) === groupOf(from));
  if (key === "Home") return group[0] ?? from;
  if (key === "End") return group[group.length - 1] ?? from;
  if (key === "PageUp" || key === "PageDown") {
    const groups = [...new Set(items.map(groupOf))].sort();
    const step = key === "PageDown" ? 1 : groups.length - 1;
    const next = groups[(groups.indexOf(groupOf(from)) + step) % groups.length]!;
    const there = items.filter((i) => groupOf(i) === next);
    if (next !== 2) return there.find((i) => i.current) ?? there[0] ?? from;
    const [x, y] = at(from);
    const gap = (i: Item) => Math.hypot(at(i)[0] - x, at(i)[1] - y);
    return there.reduce((a, b) => (gap(b) < gap(a) ? b : a));
  }
  if (from.kind === "reference") {
    const [ux, uy] = HEADING[key]!;
    return nearest(group, at(from), at, ux, uy) ?? from;
  }
  if (key === "ArrowLeft") return items.find((i) => i.key === from.parent) ?? from;
  if (key === "ArrowRight") {
    const children = items.filter((i) => i.parent === from.key);
    return children.find((i) => !i.abandoned) ?? children[0] ?? from;
  }
  const depth = depthOf(items, from);
  const siblings = items.filter((i) => i.kind !== "reference" && i.parent === from.parent);
  const row =
    siblings.length > 1 && from.parent !== null
      ? siblings
      : items.filter((i) => i.kind === "round" && depthOf(items, i) === depth);
  return row[row.findIndex((i) => i.key === from.key) + (key === "ArrowDown" ? 1 : -1)] ?? from;
}
