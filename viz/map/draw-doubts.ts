import { ellipseInPixels, ellipsePath } from "./ellipse-path.ts";
import type { Item } from "./items.ts";
import type { PanelBox } from "./layout.ts";
import type { XY } from "./model.ts";
import type { G } from "./svg-layer.ts";

/** The share of real glasses each ring of the uncertainty holds. */
const RINGS = [0.95, 0.68] as const;

/** Draw the rings that hold 68 % and 95 % of real glasses; `sx` and `sy` are pixels per axis unit (sy < 0). */
export function drawDoubts(
  layer: G,
  box: PanelBox,
  items: Item[],
  place: (i: Item) => XY,
  sx: number,
  sy: number,
) {
  const rings = items.flatMap((item) =>
    RINGS.flatMap((mass) => {
      const shape = item.covariance && ellipseInPixels(item.covariance, box.x, box.y, sx, sy, mass);
      return shape ? [{ item, mass, d: ellipsePath(...place(item), shape) }] : [];
    }),
  );
  layer
    .selectAll<SVGPathElement, (typeof rings)[number]>("path")
    .data(rings, (r) => `${r.item.key} ${r.mass}`)
    .join("path")
    .attr("class", (r) => `doubt doubt-${Math.round(r.mass * 100)} doubt-${r.item.kind}`)
    .attr("d", (r) => r.d);
}
