import { markRadius } from "./draw-marks.ts";
import type { Item } from "./items.ts";
import type { PanelBox } from "./layout.ts";
import type { XY } from "./model.ts";
import type { Hit } from "./scene.ts";
import type { G } from "./svg-layer.ts";

/** A pointer at the frame toward a drink that the window does not show, in pixels of the panel. */
export interface EdgeMark {
  item: Item;
  at: XY;
  /** Degrees clockwise from "points right". */
  turn: number;
}

/** Half the pointer, so that it stays whole inside the frame. */
const INSET_PX = 12;
/** Two pointers closer than this on one side could not be told apart. */
const APART_PX = 22;

/**
 * Pointers to the rounds, proposals and the edited spec outside the panel, each where the frame is nearest to its
 * drink; those that would cover each other are moved along their side. References are left out: they are many.
 */
export function edgeMarks(box: PanelBox, items: readonly Item[], place: (i: Item) => XY): EdgeMark[] {
  const clamp = (v: number, most: number) => Math.min(Math.max(v, INSET_PX), most - INSET_PX);
  const marks = items
    .filter((item) => item.kind !== "reference")
    .flatMap((item) => {
      const [x, y] = place(item);
      const r = markRadius(item, box.primary);
      if (x >= -r && x <= box.width + r && y >= -r && y <= box.height + r) return [];
      const at: [number, number] = [clamp(x, box.width), clamp(y, box.height)];
      const turn = (Math.atan2(y - at[1], x - at[0]) * 180) / Math.PI;
      return [{ item, at, turn }];
    });
  const sides = new Map<string, typeof marks>();
  for (const mark of marks) {
    const side = mark.at[1] === INSET_PX || mark.at[1] === box.height - INSET_PX ? "x" : "y";
    const key = side === "x" ? `x${mark.at[1]}` : `y${mark.at[0]}`;
    sides.set(key, [...(sides.get(key) ?? []), mark]);
  }
  for (const [key, side] of sides) {
    const axis = key.startsWith("x") ? 0 : 1;
    const most = (axis === 0 ? box.width : box.height) - INSET_PX;
    side.sort((a, b) => a.at[axis] - b.at[axis]);
    side.forEach((mark, i) => {
      const before = side[i - 1];
      if (before) mark.at[axis] = Math.max(mark.at[axis], before.at[axis] + APART_PX);
    });
    const over = Math.max(0, side[side.length - 1]!.at[axis] - most);
    for (const mark of side) mark.at[axis] -= over;
  }
  return marks;
}

/** Draw the pointers; each can be found and chosen like the mark it stands for. */
export function drawEdge(layer: G, marks: readonly EdgeMark[]): Hit[] {
  const groups = layer
    .selectAll<SVGGElement, EdgeMark>("g.m-edge")
    .data(marks, (m) => m.item.key)
    .join((enter) => {
      const g = enter.append("g");
      g.append("path").attr("d", "M11,0L3,-7.5A8,8 0 1 0 3,7.5Z");
      g.append("text").attr("dy", "0.35em").attr("text-anchor", "middle");
      return g;
    })
    .attr(
      "class",
      (m) => `m-edge m-edge-${m.item.kind}${m.item.current || m.item.kind === "live" ? " is-current" : ""}`,
    )
    .attr("transform", (m) => `translate(${m.at[0].toFixed(1)},${m.at[1].toFixed(1)})`);
  groups.select("path").attr("transform", (m) => `rotate(${m.turn.toFixed(1)})`);
  groups.select("text").text((m) => m.item.tag);
  return marks.map((m) => ({ key: m.item.key, at: m.at, half: [4, 4] as XY, handicap: 2 }));
}
