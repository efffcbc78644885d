import { axisNumber } from "../words/axis.ts";
import { bandsOf } from "../words/verdict.ts";
import { kinMarks } from "./draw-classics.ts";
import { doubtNameRects } from "./draw-doubt.ts";
import { trailSegments } from "./draw-trail.ts";
import { along, type Edge, type EdgeName, edgeOf, stretchFor, stretchFrom } from "./edge-name.ts";
import { overlap, type Rect, rectAround } from "./label-placement.ts";
import type { XY } from "./model.ts";
import { regionOf } from "./region.ts";
import { type Frame, placeIn, type Scene } from "./scene.ts";
import { type G, toPath, written } from "./svg-layer.ts";

interface Outline {
  kind: "shadow" | "slice";
  points: XY[];
  edge: Edge;
  text: string;
}

/** Outlines as last drawn: the shadow is the same at every step of a drag. */
const drawn = new WeakMap<readonly XY[], { frame: Frame; line: Pick<Outline, "points" | "edge"> }>();

/** A polygon in pixels. */
function lineOf(polygon: readonly XY[], frame: Frame): Pick<Outline, "points" | "edge"> {
  const known = drawn.get(polygon);
  if (known?.frame === frame) return known.line;
  const points = polygon.map(([x, y]): XY => [frame.x(x), frame.y(y)]);
  const line = { points, edge: edgeOf(points, frame.layout.typePx) };
  drawn.set(polygon, { frame, line });
  return line;
}

/** The target's shadow and its slice at the drink's strength, with what each is called. */
function outlinesOf({ frame, model, hand, layers }: Scene): Outline[] {
  if (!model.target || !layers.has("range")) return [];
  const at = hand?.point[2] ?? null;
  const { shadow, slice } = regionOf(model.target, 0, 1, at);
  const outline = (kind: Outline["kind"], polygon: readonly XY[], text: string): Outline => ({
    kind,
    ...lineOf(polygon, frame),
    text,
  });
  const strength = at === null ? "" : `${axisNumber(2, at)} % vol`;
  const outlines: Outline[] = [];
  if (shadow) {
    const text =
      at === null || slice
        ? `${model.targetName}, at its widest`
        : `${model.targetName}, at other strengths than ${strength}`;
    outlines.push(outline("shadow", shadow, text));
  }
  if (slice) outlines.push(outline("slice", slice, `${model.targetName} at ${strength}`));
  return outlines;
}

type NamedOutline = Outline & EdgeName;

const SIDES = ["within", "without"] as const;

/** How long a stretch an outline's name needs, px. */
const lengthOf = ({ text }: Outline, { frame, measure }: Scene) =>
  measure(text, { px: frame.layout.typePx, bold: true }) + 6;

/**
 * The names of the outlines, each along its own edge, within it or else without: the slice's first, the shadow's clear
 * of it, and both clear of the drink, its rings' names, its trail, the family's classics and the other edge, where
 * there is such a stretch.
 */
function placedNames(scene: Scene): NamedOutline[] {
  const { typePx, plot } = scene.frame.layout;
  const busy = [
    ...kinMarks(scene),
    ...(scene.hand ? [placeIn(scene.frame)(scene.hand.point)] : []),
    ...trailSegments(scene).flatMap((segment) => along(segment, typePx)),
  ];
  const rings = doubtNameRects(scene);
  const near = (p: XY, points: readonly XY[], reach: number) =>
    points.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < reach * typePx);
  const named: NamedOutline[] = [];
  const outlines = outlinesOf(scene).reverse();
  for (const outline of outlines) {
    const length = lengthOf(outline, scene);
    const taken = named.flatMap(({ middle }) => middle);
    const stretch = (isTaken: (p: XY) => boolean) =>
      SIDES.map((side) => stretchFor(outline.edge, length, typePx, plot, side, isTaken)).find(Boolean);
    const others = outlines.flatMap((other) => (other === outline ? [] : other.edge));
    const isName = (p: XY) =>
      near(p, taken, 1.5) || rings.some((ring) => overlap(ring, rectAround(p, 0.7 * typePx)) > 0);
    const found =
      stretch((p) => isName(p) || near(p, busy, 1.1) || near(p, others, 0.9)) ??
      stretch((p) => isName(p) || near(p, busy, 1.1)) ??
      stretch(isName);
    if (found) named.push({ ...outline, ...found });
  }
  return named;
}

/** While labels are held each name stays where it stood on its edge, whatever comes near it. */
function heldNames(scene: Scene): NamedOutline[] {
  const { typePx } = scene.frame.layout;
  return outlinesOf(scene)
    .reverse()
    .flatMap((outline) => {
      const before = scene.labels.edges.get(outline.kind);
      return before
        ? [{ ...outline, ...stretchFrom(outline.edge, lengthOf(outline, scene), typePx, before) }]
        : [];
    });
}

const told = new WeakMap<Scene, NamedOutline[]>();

/** The names of the outlines, worked out once for a picture: the range is drawn by them, and labels keep off them. */
function edgeNames(scene: Scene): NamedOutline[] {
  const before = told.get(scene);
  if (before) return before;
  const { labels } = scene;
  const named = labels.held ? heldNames(scene) : placedNames(scene);
  if (!labels.held) labels.edges = new Map(named.map((name) => [name.kind, name]));
  told.set(scene, named);
  return named;
}

/** Where the names of the range stand, for other labels to keep off: a small box a letter. */
export function regionNameRects(scene: Scene): Rect[] {
  const { typePx } = scene.frame.layout;
  return edgeNames(scene).flatMap(({ middle }) => middle.map((p) => rectAround(p, 0.65 * typePx)));
}

/** The target's shadow and its slice at the drink's strength, each named on its own edge. */
export function drawRegion(g: G, scene: Scene): void {
  const { frame, idPrefix } = scene;
  const { typePx } = frame.layout;
  const outlines = outlinesOf(scene);
  // Shapes and names apart, so that a shape that comes later never covers a name.
  const group = (name: string) =>
    g.selectAll<SVGGElement, unknown>(`g.${name}`).data([0]).join("g").attr("class", name);
  const shapes = group("region-shapes");
  const names = group("region-names");
  shapes
    .selectAll<SVGPathElement, Outline>("path.region")
    .data(outlines, (o) => o.kind)
    .join("path")
    .attr("class", (o) => `region region-${o.kind}`)
    .attr("d", (o) => `${toPath(o.points)}Z`);
  const named = edgeNames(scene);
  names
    .selectAll<SVGPathElement, (typeof named)[number]>("path.region-line")
    .data(named, (o) => o.kind)
    .join("path")
    .attr("class", "region-line")
    .attr("id", (o) => `${idPrefix}-${o.kind}`)
    .attr("d", (o) => toPath(o.path));
  names
    .selectAll<SVGTextElement, (typeof named)[number]>("text.region-name")
    .data(named, (o) => o.kind)
    .join((enter) => {
      const text = enter.append("text");
      text.append("textPath").attr("startOffset", "50%").attr("text-anchor", "middle");
      return text;
    })
    .attr("class", (o) => `region-name region-name-${o.kind}`)
    .attr("dy", (o) => (o.below ? 1.15 * typePx : -0.45 * typePx))
    .select("textPath")
    .attr("href", (o) => `#${idPrefix}-${o.kind}`)
    .call(written((o) => o.text));
}

/** The stretch of each arm that is in range, as the verdict has it. */
export function drawBands(g: G, { frame, model, hand }: Scene): void {
  const { plot, alcohol } = frame.layout;
  const inRange = model.target && hand ? bandsOf(model.target, hand.point) : null;
  const arms = [
    {
      axis: 0 as const,
      scale: frame.x,
      left: plot.left,
      top: plot.top + plot.height,
      upright: false,
      out: 1,
    },
    { axis: 1 as const, scale: frame.y, left: plot.left, top: plot.top, upright: true, out: -1 },
    {
      axis: 2 as const,
      scale: frame.z,
      left: alcohol.left,
      top: alcohol.top,
      upright: alcohol.upright,
      out: 1,
    },
  ];
  const bands = arms.flatMap((arm) => {
    const chord = inRange?.[arm.axis];
    if (!chord) return [];
    const [low, high] = arm.scale.domain;
    const from = Math.max(chord[0], low);
    const to = Math.min(chord[1], high);
    if (to <= from) return [];
    const [a, b] = [arm.scale(from), arm.scale(to)].sort((p, q) => p - q) as [number, number];
    return [{ arm, a, b }];
  });
  g.selectAll<SVGRectElement, (typeof bands)[number]>("rect.arm-band")
    .data(bands, ({ arm }) => String(arm.axis))
    .join("rect")
    .attr("class", "arm-band")
    .attr("x", ({ arm, a }) => arm.left + (arm.upright ? (arm.out < 0 ? -5 : 0) : a))
    .attr("y", ({ arm, a }) => arm.top + (arm.upright ? a : 0))
    .attr("width", ({ arm, a, b }) => (arm.upright ? 5 : b - a))
    .attr("height", ({ arm, a, b }) => (arm.upright ? b - a : 5));
}
