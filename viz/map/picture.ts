import { drawAlcohol } from "./draw-alcohol.ts";
import { drawClassics } from "./draw-classics.ts";
import { drawDoubt } from "./draw-doubt.ts";
import { drawLabels } from "./draw-labels.ts";
import { drawEdge, drawMarks, drawSight } from "./draw-marks.ts";
import { drawArms, drawPaper, drawWeights } from "./draw-paper.ts";
import { drawPaths, drawPull, drawWish } from "./draw-paths.ts";
import { drawBands, drawRegion } from "./draw-region.ts";
import { drawTrail } from "./draw-trail.ts";
import type { Layout } from "./layout.ts";
import type { Hit, Scene } from "./scene.ts";
import type { G, Svg } from "./svg-layer.ts";

/** One layer: what it draws, and everything that it rests on; it is drawn again only when one of those changed. */
interface Layer {
  name: string;
  /** Where: clipped to the plot, over it, or in the picture's own coordinates. */
  on: "plot" | "over" | "picture";
  rests(scene: Scene): readonly unknown[];
  draw(g: G, scene: Scene, find: (hits: readonly Hit[]) => void): void;
}

const LAYERS: readonly Layer[] = [
  { name: "paper", on: "plot", rests: (s) => [s.frame], draw: drawPaper },
  {
    name: "region",
    on: "plot",
    rests: (s) => [
      s.frame,
      s.model.target,
      s.model.targetName,
      s.model.references,
      s.model.families,
      s.model.rounds,
      s.hand?.point[2].toFixed(2),
      s.layers,
      s.labels.held,
    ],
    draw: drawRegion,
  },
  {
    name: "classics",
    on: "plot",
    rests: (s) => [s.frame, s.model.references, s.model.families, s.model.beside, s.layers, s.cursor],
    draw: drawClassics,
  },
  {
    name: "doubt",
    on: "plot",
    rests: (s) => [
      s.frame,
      s.hand,
      s.layers,
      s.model.references,
      s.model.families,
      s.model.rounds,
      s.labels.held,
    ],
    draw: drawDoubt,
  },
  { name: "sight", on: "plot", rests: (s) => [s.frame, s.hand, s.cursor], draw: drawSight },
  {
    name: "trail",
    on: "plot",
    rests: (s) => [s.frame, s.model.rounds, s.model.others, s.model.live?.edited, s.hand, s.layers],
    draw: drawTrail,
  },
  { name: "pull", on: "plot", rests: (s) => [s.frame, s.model.pull, s.hand], draw: drawPull },
  {
    name: "paths",
    on: "plot",
    rests: (s) => [s.frame, s.model.ghosts, s.model.shownGhost],
    draw: drawPaths,
  },
  { name: "arms", on: "picture", rests: (s) => [s.frame], draw: drawArms },
  { name: "bands", on: "picture", rests: (s) => [s.frame, s.model.target, s.hand], draw: drawBands },
  {
    name: "alcohol",
    on: "picture",
    rests: (s) => [
      s.frame,
      s.model.rounds,
      s.model.ghosts,
      s.hand?.key,
      s.model.references,
      s.model.families,
      s.model.shownGhost,
      s.layers,
    ],
    draw: drawAlcohol,
  },
  {
    name: "marks",
    on: "plot",
    rests: (s) => [s.frame, s.items, s.model.others, s.model.shownGhost, s.model.beside, s.cursor, s.layers],
    draw: drawMarks,
  },
  { name: "edge", on: "plot", rests: (s) => [s.frame, s.items, s.layers], draw: drawEdge },
  {
    name: "names",
    on: "over",
    rests: (s) => [
      s.frame,
      s.items,
      s.model.others,
      s.model.families,
      s.model.beside,
      s.cursor,
      s.layers,
      s.labels.held,
      s.model.pull,
    ],
    draw: drawLabels,
  },
  { name: "wish", on: "plot", rests: (s) => [s.frame, s.model.wish], draw: drawWish },
  {
    name: "weights",
    on: "picture",
    rests: (s) => [s.frame, s.hand, s.cursor, s.model.wish, s.model.shownGhost, s.items],
    draw: drawWeights,
  },
];

function one(parent: Svg | G, name: string, tag = "g"): G {
  return (parent as G)
    .selectAll<SVGGElement, unknown>(`:scope > ${tag}.${name}`)
    .data([0])
    .join((enter) => enter.append(tag).attr("class", name)) as unknown as G;
}

/** Size the picture and clip its plot. */
function sizeTo(svg: Svg, { width, height, typePx, plot }: Layout, clip: string): void {
  svg
    .attr("viewBox", `0 0 ${width} ${height}`)
    .attr("width", width)
    .attr("height", height)
    .style("font-size", `${typePx}px`);
  one(svg, "defs", "defs")
    .selectAll("clipPath")
    .data([0])
    .join((enter) => {
      const path = enter.append("clipPath");
      path.append("rect");
      return path;
    })
    .attr("id", clip)
    .select("rect")
    .attr("width", plot.width)
    .attr("height", plot.height);
  one(svg, "plot")
    .attr("transform", `translate(${plot.left},${plot.top})`)
    .attr("role", "graphics-object group");
}

/** A picture that keeps what it drew: `draw` renews only the layers whose grounds changed. */
export function createPicture(svg: Svg): { draw(scene: Scene): readonly Hit[] } {
  const rested = new Map<string, readonly unknown[]>();
  /** Found once: sixteen searches of the picture at every step of a drag add up. */
  const groups = new Map<string, G>();
  let hits: readonly Hit[] = [];
  let fitted: Layout | null = null;
  return {
    draw(scene) {
      const { layout } = scene.frame;
      const clip = `${scene.idPrefix}-clip`;
      // A size set anew, though the same, has the browser lay out and paint everything in it anew.
      if (fitted !== layout) sizeTo(svg, layout, clip);
      fitted = layout;
      for (const layer of LAYERS) {
        const g =
          groups.get(layer.name) ??
          one(layer.on === "picture" ? svg : one(svg, "plot"), `layer-${layer.name}`);
        groups.set(layer.name, g);
        const now = layer.rests(scene);
        const before = rested.get(layer.name);
        if (before && now.every((part, i) => part === before[i])) continue;
        rested.set(layer.name, now);
        if (layer.on === "plot" && !before) g.attr("clip-path", `url(#${clip})`);
        layer.draw(g, scene, (found) => {
          hits = found;
        });
      }
      return hits;
    },
  };
}
