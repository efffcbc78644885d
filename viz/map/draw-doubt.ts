import { kinMarks } from "./draw-classics.ts";
import { type EllipseShape, ellipseInPixels, ellipsePath } from "./ellipse-path.ts";
import type { Rect } from "./label-placement.ts";
import type { XY } from "./model.ts";
import { placeIn, type Scene } from "./scene.ts";
import { type G, written } from "./svg-layer.ts";

/** The share of real glasses each ring holds, and what it is called on the spot. */
const RINGS = [
  { mass: 0.95, text: "19 glasses in 20" },
  { mass: 0.68, text: "2 glasses in 3" },
] as const;

/**
 * A ring with the place of its name: at the head of the ring, off the line that drops to the sugar arm, within the
 * ring or, where a classic stands there, above it.
 */
interface Ring {
  mass: number;
  text: string;
  shape: EllipseShape;
  at: XY;
  name: { y: number; halfWidth: number } | null;
}

function ringsOf(scene: Scene): Ring[] {
  const { frame, hand, layers } = scene;
  const covariance = hand?.covariance;
  if (!hand || !covariance || !layers.has("doubt")) return [];
  const [x0, x1] = frame.x.domain;
  const [y0, y1] = frame.y.domain;
  const { plot, typePx } = frame.layout;
  const at = placeIn(frame)(hand.point);
  const marks = kinMarks(scene);
  const isFree = (y: number, halfWidth: number) =>
    marks.every(
      (mark) =>
        Math.abs(mark[0] - at[0]) > halfWidth + 0.5 * typePx ||
        mark[1] < y - 1.2 * typePx ||
        mark[1] > y + 0.5 * typePx,
    );
  return RINGS.flatMap(({ mass, text }) => {
    const shape = ellipseInPixels(covariance, 0, 1, plot.width / (x1 - x0), -plot.height / (y1 - y0), mass);
    if (!shape) return [];
    const y = at[1] - Math.hypot(shape.rx * Math.sin(shape.angle), shape.ry * Math.cos(shape.angle));
    const halfWidth = scene.measure(text, { px: 0.85 * typePx }) / 2;
    const fits =
      y > 0 &&
      y + 2 * typePx < plot.height &&
      shape.rx > 1.2 * halfWidth &&
      shape.ry > 2.4 * typePx &&
      at[0] > halfWidth &&
      at[0] + halfWidth < plot.width;
    const free = [y + 1.05 * typePx, y - 0.35 * typePx].find((line) => isFree(line, halfWidth));
    const name = fits ? { y: free ?? y + 1.05 * typePx, halfWidth } : null;
    return [{ mass, text, shape, at, name }];
  });
}

/** Where the rings' names stand, for other labels to keep off. */
export function doubtNameRects(scene: Scene): Rect[] {
  const { typePx } = scene.frame.layout;
  return ringsOf(scene).flatMap(({ at, name }) =>
    name
      ? [
          {
            left: at[0] - name.halfWidth,
            right: at[0] + name.halfWidth,
            top: name.y - typePx,
            bottom: name.y + 3,
          },
        ]
      : [],
  );
}

/** The rings that hold two and nineteen of twenty real glasses of the drink, each named at its head. */
export function drawDoubt(g: G, scene: Scene): void {
  const rings = ringsOf(scene);
  g.selectAll<SVGPathElement, Ring>("path")
    .data(rings, (r) => String(r.mass))
    .join("path")
    .attr("class", (r) => `doubt doubt-${Math.round(r.mass * 100)}`)
    .attr("d", (r) => ellipsePath(...r.at, r.shape));
  const named = rings.filter((r) => r.name !== null);
  g.selectAll<SVGTextElement, Ring>("text")
    .data(named, (r) => String(r.mass))
    .join("text")
    .attr("class", "doubt-name")
    .attr("text-anchor", "middle")
    .attr("x", (r) => r.at[0])
    .attr("y", (r) => r.name?.y ?? 0)
    .call(written((r) => r.text));
}
