import type { XY } from "./model.ts";
import { type G, toPath } from "./svg-layer.ts";

/** One move of a proposal, in pixels. */
export interface MoveMark {
  key: string;
  ghost: string;
  index: number;
  points: XY[];
  label: string;
  active: boolean;
}

/** Draw every proposal move by move, with a joint where one move ends and the next begins. */
export function drawPaths(layer: G, moves: readonly MoveMark[]): void {
  layer
    .selectAll<SVGPathElement, MoveMark>("path.move")
    .data(moves, (m) => m.key)
    .join("path")
    .attr("class", (m) => `move move-${m.index % 2 ? "even" : "odd"}${m.active ? " move-active" : ""}`)
    .attr("d", (m) => toPath(m.points));
  layer
    .selectAll<SVGCircleElement, MoveMark>("circle.joint")
    .data(
      moves.filter((m) => m.active && moves.some((n) => n.ghost === m.ghost && n.index === m.index + 1)),
      (m) => m.key,
    )
    .join("circle")
    .attr("class", "joint")
    .attr("r", 2.5)
    .attr("cx", (m) => m.points[m.points.length - 1]![0])
    .attr("cy", (m) => m.points[m.points.length - 1]![1]);
}
