import { ellipseInPixels, ellipsePath } from "./ellipse-path.ts";
import { placeIn, type Scene } from "./scene.ts";
import type { G } from "./svg-layer.ts";

/** The share of real glasses each ring holds, and what it is called on the spot. */
const RINGS = [
  { mass: 0.95, text: "19 glasses in 20" },
  { mass: 0.68, text: "2 glasses in 3" },
] as const;

/** The rings that hold two and nineteen of twenty real glasses of the drink, each named at its head. */
export function drawDoubt(g: G, scene: Scene): void {
  const { frame, hand, layers } = scene;
  const [x0, x1] = frame.x.domain() as [number, number];
  const [y0, y1] = frame.y.domain() as [number, number];
  const { plot, typePx } = frame.layout;
  const place = placeIn(frame);
  const rings =
    hand?.covariance && layers.has("doubt")
      ? RINGS.flatMap((ring) => {
          const shape = ellipseInPixels(
            hand.covariance!,
            0,
            1,
            plot.width / (x1 - x0),
            -plot.height / (y1 - y0),
            ring.mass,
          );
          return shape ? [{ ...ring, shape, at: place(hand.point) }] : [];
        })
      : [];
  g.selectAll<SVGPathElement, (typeof rings)[number]>("path")
    .data(rings, (r) => String(r.mass))
    .join("path")
    .attr("class", (r) => `doubt doubt-${Math.round(r.mass * 100)}`)
    .attr("d", (r) => ellipsePath(...r.at, r.shape));
  // Its head: the highest point of the ring, off the line that drops to the sugar arm.
  const head = ({ shape, at }: (typeof rings)[number]) =>
    at[1] - Math.hypot(shape.rx * Math.sin(shape.angle), shape.ry * Math.cos(shape.angle));
  const heads = rings.filter((r) => {
    const y = head(r);
    const half = scene.measure(r.text, { px: 0.85 * typePx }) / 2;
    return (
      y > 0 &&
      y + 2 * typePx < plot.height &&
      r.shape.rx > 1.2 * half &&
      r.at[0] - half > 0 &&
      r.at[0] + half < plot.width
    );
  });
  g.selectAll<SVGTextElement, (typeof heads)[number]>("text")
    .data(heads, (r) => String(r.mass))
    .join("text")
    .attr("class", "doubt-name")
    .attr("text-anchor", "middle")
    .attr("x", (r) => r.at[0])
    .attr("y", (r) => head(r) + 1.05 * typePx)
    .text((r) => r.text);
}
