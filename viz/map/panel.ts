import { type ScaleLinear, scaleLinear } from "d3";
import { AXIS_NAME } from "./axis-words.ts";
import { graduations } from "./beam.ts";
import { drawDoubts } from "./draw-doubts.ts";
import { drawEdge, edgeMarks } from "./draw-edge.ts";
import { drawLabels, shortLabel } from "./draw-labels.ts";
import { drawMarks } from "./draw-marks.ts";
import { drawPaths, type MoveMark } from "./draw-paths.ts";
import { drawRegion } from "./draw-region.ts";
import { drawTrail } from "./draw-trail.ts";
import type { Item } from "./items.ts";
import type { PanelBox } from "./layout.ts";
import type { XY } from "./model.ts";
import type { Hit, Scene } from "./scene.ts";
import { domainOf } from "./shared-view.ts";
import type { G } from "./svg-layer.ts";

type Scale = ScaleLinear<number, number>;

const LAYERS = [
  "back",
  "grid",
  "region",
  "reference-labels",
  "doubts",
  "trail",
  "paths",
  "marks",
  "sight",
  "edge",
  "balloons",
  "overlay",
] as const;

/** Name of a projection: "sugar against acid". */
export function panelName(box: PanelBox): string {
  return `${AXIS_NAME[box.x]} against ${AXIS_NAME[box.y]}`;
}

function ensureLayers(g: G, box: PanelBox, scene: Scene): Record<(typeof LAYERS)[number], G> {
  const clip = `${scene.idPrefix}-clip-${box.id}`;
  g.selectAll("clipPath")
    .data([0])
    .join("clipPath")
    .attr("id", clip)
    .selectAll("rect")
    .data([0])
    .join("rect");
  g.select("clipPath rect").attr("width", box.width).attr("height", box.height);
  const layers = {} as Record<(typeof LAYERS)[number], G>;
  for (const name of LAYERS) {
    const clipped = name !== "balloons" && name !== "overlay";
    const layer = g
      .selectAll<SVGGElement, unknown>(`:scope > g.layer-${name}`)
      .data([0])
      .join("g")
      .attr("class", `layer-${name}`)
      .attr("clip-path", clipped ? `url(#${clip})` : null) as unknown as G;
    layers[name] = layer;
  }
  g.selectAll("rect.frame")
    .data([0])
    .join("rect")
    .attr("class", "frame")
    .attr("width", box.width)
    .attr("height", box.height);
  return layers;
}

function drawPaper(back: G, grid: G, box: PanelBox, x: Scale, y: Scale): void {
  back
    .selectAll("rect")
    .data([0])
    .join("rect")
    .attr("class", "panel-paper")
    .attr("width", box.width)
    .attr("height", box.height);
  const rule = (name: string, values: number[], place: (v: number) => [number, number, number, number]) =>
    grid
      .selectAll<SVGLineElement, number>(`line.${name}`)
      .data(values)
      .join("line")
      .attr("class", `rule ${name}`)
      .attr("x1", (v) => place(v)[0])
      .attr("y1", (v) => place(v)[1])
      .attr("x2", (v) => place(v)[2])
      .attr("y2", (v) => place(v)[3]);
  rule("rule-x", graduations(x.domain() as [number, number], box.width).major, (v) => [
    x(v),
    0,
    x(v),
    box.height,
  ]);
  rule("rule-y", graduations(y.domain() as [number, number], box.height).major, (v) => [
    0,
    y(v),
    box.width,
    y(v),
  ]);
}

function drawSight(layer: G, box: PanelBox, cursor: Item | null, place: (i: Item) => XY): void {
  const at = cursor ? place(cursor) : null;
  layer
    .selectAll("path")
    .data(at ? [`M0,${at[1]}H${box.width}M${at[0]},0V${box.height}`] : [])
    .join("path")
    .attr("class", "sight")
    .attr("d", (d) => d);
}

/** Below this width a move's label carries its words only, without the amounts. */
const ROOMY_PX = 420;

/**
 * Draw one projection into `g`, which stands at the panel's corner. Returns what the pointer can find in it, in
 * panel pixels.
 */
export function drawPanel(g: G, box: PanelBox, scene: Scene): Hit[] {
  const layers = ensureLayers(g, box, scene);
  const x = scaleLinear(domainOf(scene.view, scene.home, box.x), [0, box.width]);
  const y = scaleLinear(domainOf(scene.view, scene.home, box.y), [box.height, 0]);
  const px = (p: XY): XY => [x(p[0]), y(p[1])];
  const place = (i: Item): XY => [x(i.point[box.x]), y(i.point[box.y])];

  drawPaper(layers.back, layers.grid, box, x, y);
  const caption = drawRegion(layers.region, box, scene, px);
  const sx = box.width / (x.domain()[1]! - x.domain()[0]!);
  const sy = -box.height / (y.domain()[1]! - y.domain()[0]!);
  const doubtful = scene.items.filter((i) => i.kind === "live" || i.current || i.key === scene.cursor?.key);
  drawDoubts(layers.doubts, box, doubtful, place, sx, sy);
  const segments = drawTrail(layers.trail, scene.items, place, box.primary);

  const full = box.primary && box.width >= ROOMY_PX;
  const moves: MoveMark[] = scene.model.ghosts.flatMap((ghost) =>
    ghost.path.map((move, index) => ({
      key: `${ghost.id} ${index}`,
      ghost: ghost.id,
      index,
      points: move.points.map((p): XY => px([p[box.x], p[box.y]])),
      label: `${ghost.path.length > 1 ? `${index + 1}. ` : ""}${full ? move.label : shortLabel(move.label)}`,
      active: scene.activeGhosts.has(ghost.id),
    })),
  );
  drawPaths(layers.paths, moves);
  for (const { points } of moves) {
    const [first, middle, last] = [
      points[0],
      points[Math.floor(points.length / 2)],
      points[points.length - 1],
    ];
    if (first && middle && last) segments.push([first, middle], [middle, last]);
  }
  drawMarks(layers.marks, box, scene, place);
  drawSight(layers.sight, box, scene.cursor, place);
  const { balloons, overlay } = layers;
  const edge = drawEdge(layers.edge, edgeMarks(box, scene.items, place));
  const labels = drawLabels(
    { names: layers["reference-labels"], balloons, overlay },
    box,
    scene,
    place,
    moves,
    segments,
    caption,
  );
  return [...labels, ...edge];
}
