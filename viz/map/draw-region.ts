import { minIndex, polygonContains } from "d3";
import { toVec } from "../../engine/axes.ts";
import { gaugeBands } from "../../engine/targets/chord.ts";
import { axisNumber } from "../words/axis.ts";
import { kinMarks } from "./draw-classics.ts";
import { doubtNameRects } from "./draw-doubt.ts";
import { trailSegments } from "./draw-trail.ts";
import type { Rect } from "./label-placement.ts";
import type { XY } from "./model.ts";
import { regionOf } from "./region.ts";
import { placeIn, type Scene } from "./scene.ts";
import { type G, toPath, written } from "./svg-layer.ts";

/** A name set along an edge: the stretch of the outline it stands on, and whether the region lies below it. */
export interface EdgeName {
  path: XY[];
  below: boolean;
  /** Where on the outline the stretch begins. */
  from: XY;
}

/**
 * The stretch of a closed outline on which a text of `lengthPx` can stand: inside the plot, as straight and as
 * level as can be, read from left to right. Null where the outline has none.
 */
export function stretchFor(
  outline: readonly XY[],
  lengthPx: number,
  size: { width: number; height: number },
  marginPx: number,
  isTaken: (at: XY) => boolean = () => false,
): EdgeName | null {
  const n = outline.length;
  const inside = ([x, y]: XY) =>
    x > marginPx &&
    y > marginPx &&
    x < size.width - marginPx &&
    y < size.height - marginPx &&
    !isTaken([x, y]);
  const free = outline.map(inside);
  let best: { path: XY[]; from: number; cost: number } | null = null;
  for (let start = 0; start < n; start += 1) {
    if (!free[start]) continue;
    const path: XY[] = [outline[start]!];
    let length = 0;
    for (let k = 1; k <= n && length < lengthPx; k += 1) {
      const from = path.at(-1)!;
      const to = outline[(start + k) % n]!;
      if (!free[(start + k) % n]) break;
      length += Math.hypot(to[0] - from[0], to[1] - from[1]);
      path.push(to);
    }
    if (length < lengthPx) continue;
    const [a, b] = [path[0]!, path.at(-1)!];
    const chord = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const bend = length / Math.max(chord, 1) - 1;
    const slope = Math.abs(b[1] - a[1]) / Math.max(chord, 1);
    // Level and straight; a little to the middle of the plot rather than to its corners.
    const off = Math.abs((a[0] + b[0]) / 2 - size.width / 2) / size.width;
    const cost = 3 * bend + slope + 0.4 * off;
    if (!best || cost < best.cost) best = { path, from: start, cost };
  }
  if (!best) return null;
  return onStretch(outline, best.from, best.path.length);
}

/** A name on a stretch of an outline, read from left to right. */
function onStretch(outline: readonly XY[], from: number, corners: number): EdgeName {
  const path = Array.from({ length: corners }, (_, k) => outline[(from + k) % outline.length]!);
  if (path[0]![0] > path.at(-1)![0]) path.reverse();
  const middle = path[Math.floor(path.length / 2)]!;
  const below = polygonContains(outline as [number, number][], [middle[0], middle[1] + 3]);
  return { path, below, from: outline[from]! };
}

/** The stretch that begins nearest to where one began: a name that stays on its edge while the edge moves. */
function stretchFrom(outline: readonly XY[], lengthPx: number, [x, y]: XY): EdgeName {
  const from = minIndex(outline, (p) => Math.hypot(p[0] - x, p[1] - y));
  let corners = 1;
  for (let length = 0; length < lengthPx && corners < outline.length; corners += 1) {
    const [a, b] = [
      outline[(from + corners - 1) % outline.length]!,
      outline[(from + corners) % outline.length]!,
    ];
    length += Math.hypot(b[0] - a[0], b[1] - a[1]);
  }
  return onStretch(outline, from, corners);
}

interface Outline {
  kind: "shadow" | "slice";
  points: XY[];
  text: string;
}

/** The target's shadow and its slice at the drink's strength, with what each is called. */
function outlinesOf({ frame, model, hand, layers }: Scene): Outline[] {
  if (!model.target || !layers.has("range")) return [];
  const at = hand?.point[2] ?? null;
  const { shadow, slice } = regionOf(model.target, 0, 1, at);
  const px = ([x, y]: XY): XY => [frame.x(x), frame.y(y)];
  const strength = at === null ? "" : `${axisNumber(2, at)} % vol`;
  const outlines: Outline[] = [];
  if (shadow) {
    const text =
      at === null || slice
        ? `${model.targetName}, at its widest`
        : `${model.targetName}, at other strengths than ${strength}`;
    outlines.push({ kind: "shadow", points: shadow.map(px), text });
  }
  if (slice)
    outlines.push({ kind: "slice", points: slice.map(px), text: `${model.targetName} at ${strength}` });
  return outlines;
}

type NamedOutline = Outline & EdgeName;

/** How long a stretch an outline's name needs, px. */
const lengthOf = ({ text }: Outline, { frame, measure }: Scene) =>
  measure(text, { px: frame.layout.typePx, bold: true }) + 6;

/** Points along a line, a step apart. */
function along([a, b]: readonly [XY, XY], step: number): XY[] {
  const n = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / step));
  return Array.from({ length: n + 1 }, (_, i) => [
    a[0] + ((b[0] - a[0]) * i) / n,
    a[1] + ((b[1] - a[1]) * i) / n,
  ]);
}

/**
 * The names of the outlines, each on a stretch of its own edge: the slice's first, the shadow's clear of it, and
 * both clear of the drink, its rings' names, its trail, the family's classics and the other edge, where there is such a stretch.
 */
function placedNames(scene: Scene): NamedOutline[] {
  const { typePx, plot } = scene.frame.layout;
  const busy = [
    ...kinMarks(scene),
    ...(scene.hand ? [placeIn(scene.frame)(scene.hand.point)] : []),
    ...trailSegments(scene).flatMap((segment) => along(segment, typePx)),
  ];
  const rings = doubtNameRects(scene).flatMap(({ left, right, top, bottom }) =>
    [top, bottom].flatMap((y) =>
      along(
        [
          [left, y],
          [right, y],
        ],
        typePx,
      ),
    ),
  );
  const near = (p: XY, points: readonly XY[], reach: number) =>
    points.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < reach * typePx);
  const named: NamedOutline[] = [];
  const outlines = outlinesOf(scene).reverse();
  for (const outline of outlines) {
    const length = lengthOf(outline, scene);
    const taken = named.flatMap(({ path }) => path);
    const stretch = (isTaken: (p: XY) => boolean) =>
      stretchFor(outline.points, length, plot, 0.8 * typePx, isTaken);
    const others = outlines.filter((other) => other !== outline).flatMap(({ points }) => points);
    const isName = (p: XY) => near(p, taken, 2.2) || near(p, rings, 1.7);
    const found =
      stretch((p) => isName(p) || near(p, busy, 1.6) || near(p, others, 1.7)) ??
      stretch((p) => isName(p) || near(p, busy, 1.6)) ??
      stretch(isName);
    if (found) named.push({ ...outline, ...found });
  }
  return named;
}

/** While labels are held each name stays where it stood on its edge, whatever comes near it. */
function heldNames(scene: Scene): NamedOutline[] {
  return outlinesOf(scene)
    .reverse()
    .flatMap((outline) => {
      const from = scene.labels.edges.get(outline.kind);
      return from ? [{ ...outline, ...stretchFrom(outline.points, lengthOf(outline, scene), from) }] : [];
    });
}

const told = new WeakMap<Scene, NamedOutline[]>();

/** The names of the outlines, worked out once for a picture: the range is drawn by them, and labels keep off them. */
function edgeNames(scene: Scene): NamedOutline[] {
  const before = told.get(scene);
  if (before) return before;
  const { labels } = scene;
  const named = labels.held ? heldNames(scene) : placedNames(scene);
  if (!labels.held) labels.edges = new Map(named.map(({ kind, from }) => [kind, from]));
  told.set(scene, named);
  return named;
}

/** Where the names of the range stand, for other labels to keep off: small boxes along each edge. */
export function regionNameRects(scene: Scene): Rect[] {
  const { typePx } = scene.frame.layout;
  return edgeNames(scene).flatMap(({ path, below }) =>
    path.map(([x, y]) => ({
      left: x - 0.4 * typePx,
      right: x + 0.4 * typePx,
      top: below ? y : y - 1.4 * typePx,
      bottom: below ? y + 1.5 * typePx : y,
    })),
  );
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
  const inRange =
    model.target && hand
      ? gaugeBands(model.target, hand.point, toVec(model.target.membership(hand.point).nearest))
      : null;
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
