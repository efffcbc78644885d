import { scaleLinear, select } from "d3";
import { drawBeam, type Weight } from "./beam.ts";
import { sdOf } from "./items.ts";
import { type BeamBox, type Layout, layoutFor, type PanelBox, type PanelId } from "./layout.ts";
import { drawLegend, legendHeight } from "./legend.ts";
import { drawPanel, panelName } from "./panel.ts";
import { chordOf, regionOf } from "./region.ts";
import type { Hit, Scene } from "./scene.ts";
import { domainOf } from "./shared-view.ts";
import type { G, Svg } from "./svg-layer.ts";

/** What was drawn where: for the pointer, the zoom and the tests. */
export interface Picture {
  layout: Layout;
  hits: ReadonlyMap<PanelId, Hit[]>;
}

function one(parent: Svg | G, name: string, tag = "g"): G {
  return (parent as G)
    .selectAll<SVGGElement, unknown>(`:scope > ${tag}.${name}`)
    .data([0])
    .join(tag)
    .attr("class", name) as unknown as G;
}

function drawDefs(svg: Svg, scene: Scene): void {
  const defs = one(svg, "defs", "defs");
  // Hatching, as a drawing marks what lies behind: strokes at 45 degrees.
  defs
    .selectAll("pattern")
    .data([0])
    .join((enter) => {
      const p = enter.append("pattern");
      p.append("path").attr("class", "hatch").attr("d", "M0,0V7");
      return p;
    })
    .attr("id", `${scene.idPrefix}-hatch`)
    .attr("patternUnits", "userSpaceOnUse")
    .attr("patternTransform", "rotate(45)")
    .attr("width", 7)
    .attr("height", 7);
}

function weightsOf(scene: Scene, beam: BeamBox): Weight[] {
  const weights: Weight[] = [];
  const { hand, cursor } = scene;
  if (hand) {
    const sd = sdOf(hand, beam.axis);
    weights.push({ key: "hand", value: hand.point[beam.axis], sd, hollow: false });
  }
  if (cursor && cursor.key !== hand?.key) {
    weights.push({ key: "cursor", value: cursor.point[beam.axis], sd: null, hollow: true });
  }
  return weights;
}

/** Narrow screens: every drink and the target on the axis the panel cannot show. */
function drawDepth(g: G, beam: BeamBox, panel: PanelBox, scene: Scene): void {
  const scale = scaleLinear(domainOf(scene.view, scene.home, beam.axis), [0, beam.length]);
  const [lo, hi] = scale.domain() as [number, number];
  const { hand } = scene;
  const bar = one(g, "depth-target");
  bar.attr("transform", `translate(${beam.left},${beam.top - 20})`);
  const region = scene.model.target
    ? regionOf(scene.model.target, panel.x, panel.depth, hand?.point[panel.y] ?? null)
    : null;
  const spans: { name: string; span: [number, number] | null }[] = [
    { name: "shadow", span: region?.shadow ? chordOf(region.shadow, null) : null },
    { name: "slice", span: region?.slice && hand ? chordOf(region.slice, hand.point[panel.x]) : null },
  ];
  bar
    .selectAll<SVGRectElement, { name: string; span: [number, number] }>("rect")
    .data(
      spans.flatMap(({ name, span }) => (span ? [{ name, span }] : [])),
      (d) => d.name,
    )
    .join("rect")
    .attr("class", (d) => d.name)
    .style("fill", (d) => (d.name === "shadow" ? `url(#${scene.idPrefix}-hatch)` : null))
    .attr("x", (d) => scale(Math.max(d.span[0], lo)))
    .attr("width", (d) => Math.max(0, scale(Math.min(d.span[1], hi)) - scale(Math.max(d.span[0], lo))))
    .attr("height", 18);
  bar
    .selectAll<SVGLineElement, number>("line.depth-tick")
    .data(scene.items.map((i) => i.point[beam.axis]).filter((v) => v >= lo && v <= hi))
    .join("line")
    .attr("class", "depth-tick")
    .attr("x1", scale)
    .attr("x2", scale)
    .attr("y1", 6)
    .attr("y2", 18);
  drawBeam(one(g, "depth-rail"), beam, scale, weightsOf(scene, beam));
}

/** Draw the whole map into `svg`, as wide as `width` pixels; the height follows and is set. */
export function drawPicture(svg: Svg, scene: Scene, width: number, shown: PanelId): Picture {
  const layout = layoutFor(width, shown, (w) => legendHeight(scene, w));
  svg
    .attr("viewBox", `0 0 ${layout.width} ${layout.height}`)
    .attr("width", layout.width)
    .attr("height", layout.height);
  drawDefs(svg, scene);

  const beams = one(svg, "rails");
  beams
    .selectAll<SVGGElement, BeamBox>("g.rail")
    .data(layout.beams, (b) => `${b.key} ${b.side}`)
    .join("g")
    .attr("class", "rail")
    .each(function (beam) {
      const domain = domainOf(scene.view, scene.home, beam.axis);
      const range = beam.side === "below" ? [0, beam.length] : [beam.length, 0];
      drawBeam(selectG(this), beam, scaleLinear(domain, range), weightsOf(scene, beam));
    });

  const hits = new Map<PanelId, Hit[]>();
  one(svg, "panels")
    .selectAll<SVGGElement, PanelBox>("g.m-panel")
    .data(layout.panels, (p) => `${p.id} ${p.primary}`)
    .join("g")
    .attr("class", "m-panel")
    .attr("data-panel", (p) => p.id)
    .attr("transform", (p) => `translate(${p.left},${p.top})`)
    .attr("role", (p) => (p.primary ? "graphics-object group" : null))
    .attr("aria-hidden", (p) => (p.primary ? null : "true"))
    .attr("aria-label", (p) => (p.primary ? panelName(p) : null))
    .each(function (p) {
      hits.set(p.id, drawPanel(selectG(this), p, scene));
    });

  const depth = one(svg, "depth");
  const panel = layout.panels[0]!;
  if (layout.depthBeam) drawDepth(depth, layout.depthBeam, panel, scene);
  else depth.selectAll("*").remove();

  const legend = one(svg, "legend");
  if (layout.legend) drawLegend(legend, layout.legend, scene);
  else legend.selectAll("*").remove();
  return { layout, hits };
}

/** Draw the legend alone, for a narrow screen; it borrows the hatching of the picture on the same page. */
export function drawKey(svg: Svg, scene: Scene, width: number): void {
  const height = legendHeight(scene, width);
  svg.attr("viewBox", `0 0 ${width} ${height}`).attr("width", width).attr("height", height);
  drawLegend(one(svg, "legend"), { left: 0, top: 0, width }, scene);
}

function selectG(node: SVGGElement): G {
  return select(node) as unknown as G;
}
