import { AXIS_NAME, formatWithUnit } from "./axis-words.ts";
import type { PanelBox } from "./layout.ts";
import type { XY } from "./model.ts";
import { regionOf } from "./region.ts";
import type { Scene } from "./scene.ts";
import { type G, toPath } from "./svg-layer.ts";

/** Draw the target's shadow and its cut at the drink; returns the line of words that says where the cut is. */
export function drawRegion(layer: G, box: PanelBox, scene: Scene, px: (p: XY) => XY): string {
  const at = scene.hand?.point[box.depth] ?? null;
  const { shadow, slice } = scene.model.target
    ? regionOf(scene.model.target, box.x, box.y, at)
    : { shadow: null, slice: null };
  const closed = (polygon: readonly XY[]) => `${toPath(polygon.map(px))}Z`;
  layer
    .selectAll("path.shadow")
    .data(shadow ? [shadow] : [])
    .join("path")
    .attr("class", "shadow")
    .style("fill", `url(#${scene.idPrefix}-hatch)`)
    .attr("d", closed);
  layer
    .selectAll("path.slice")
    .data(slice ? [slice] : [])
    .join("path")
    .attr("class", "slice")
    .attr("d", closed);
  if (!shadow || at === null) return "";
  const value = `${AXIS_NAME[box.depth]} ${formatWithUnit(box.depth, at, null)}`;
  return slice ? `solid: in range at ${value}` : `nothing in range at ${value}`;
}
