import { kinMarks } from "./draw-classics.ts";
import { trailSegments } from "./draw-trail.ts";
import { type EllipseShape, ellipseInPixels, ellipsePath } from "./ellipse-path.ts";
import { crosses, overlap, type Rect, rectAround } from "./label-placement.ts";
import type { XY } from "./model.ts";
import { placeIn, type Scene } from "./scene.ts";
import { type G, written } from "./svg-layer.ts";

/** The share of real glasses each ring holds, and what it is called on the spot. */
const RINGS = [
  { mass: 0.95, text: "19 glasses in 20" },
  { mass: 0.68, text: "2 glasses in 3" },
] as const;

/** A ring with the box of its name: at its head or foot, where no classic and no step of the trail is; else none. */
interface Ring {
  mass: number;
  text: string;
  shape: EllipseShape;
  at: XY;
  name: Rect | null;
}

/** Whether a ring is large enough, and far enough within the plot, to carry a name. */
function carriesName({ rx, ry }: EllipseShape, halfWidth: number, typePx: number, x: number, width: number) {
  return rx > 1.2 * halfWidth && ry > 2.4 * typePx && x > halfWidth && x + halfWidth < width;
}

/** Whether nothing that must stay in sight is where a name would stand. */
function freeOf(scene: Scene): (name: Rect) => boolean {
  const { plot, typePx } = scene.frame.layout;
  const marks = kinMarks(scene);
  const steps = trailSegments(scene);
  return (name) =>
    name.top > 0 &&
    name.bottom < plot.height &&
    !marks.some((mark) => overlap(name, rectAround(mark, 0.5 * typePx)) > 0) &&
    !steps.some((step) => crosses(step, name));
}

const told = new WeakMap<Scene, Ring[]>();

/** The rings, worked out once for a picture: they are drawn, and other names keep off theirs. */
function ringsOf(scene: Scene): Ring[] {
  const rings = told.get(scene) ?? placedRings(scene);
  told.set(scene, rings);
  return rings;
}

function placedRings(scene: Scene): Ring[] {
  const { frame, hand, layers, labels } = scene;
  const covariance = hand?.covariance;
  if (!hand || !covariance || !layers.has("doubt")) return [];
  const [x0, x1] = frame.x.domain;
  const [y0, y1] = frame.y.domain;
  const { plot, typePx } = frame.layout;
  const at = placeIn(frame)(hand.point);
  const isFree = labels.held ? null : freeOf(scene);
  return RINGS.flatMap(({ mass, text }) => {
    const shape = ellipseInPixels(covariance, 0, 1, plot.width / (x1 - x0), -plot.height / (y1 - y0), mass);
    if (!shape) return [];
    const rise = Math.hypot(shape.rx * Math.sin(shape.angle), shape.ry * Math.cos(shape.angle));
    const halfWidth = scene.measure(text, { px: 0.85 * typePx }) / 2;
    // Within the head, above it, below the foot, within it.
    const lines = [-rise + 1.05 * typePx, -rise - 0.35 * typePx, rise + 1.05 * typePx, rise - 0.35 * typePx];
    const boxes = lines.map((line) => ({
      left: at[0] - halfWidth,
      right: at[0] + halfWidth,
      top: at[1] + line - typePx,
      bottom: at[1] + line + 3,
    }));
    // While labels are held the name stays where it stood on its ring, or stays away.
    if (isFree) {
      const carries = carriesName(shape, halfWidth, typePx, at[0], plot.width);
      labels.rings.set(mass, carries ? boxes.findIndex(isFree) : -1);
    }
    return [{ mass, text, shape, at, name: boxes[labels.rings.get(mass) ?? -1] ?? null }];
  });
}

/** Where the rings' names stand, for other labels to keep off. */
export function doubtNameRects(scene: Scene): Rect[] {
  return ringsOf(scene).flatMap(({ name }) => (name ? [name] : []));
}

/** The rings that hold two and nineteen of twenty real glasses of the drink, each named on the spot. */
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
    .attr("y", (r) => r.name!.bottom - 3)
    .call(written((r) => r.text));
}
