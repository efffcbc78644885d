import { polygonContains } from "d3";
import { toVec } from "../../engine/axes.ts";
import { gaugeBands } from "../../engine/targets/chord.ts";
import { axisNumber } from "../words/axis.ts";
import type { XY } from "./model.ts";
import { regionOf } from "./region.ts";
import type { Scene } from "./scene.ts";
import { type G, toPath } from "./svg-layer.ts";

/** A name set along an edge: the stretch of the outline it stands on, and whether the region lies below it. */
export interface EdgeName {
  path: XY[];
  below: boolean;
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
  let best: { path: XY[]; cost: number } | null = null;
  for (let start = 0; start < n; start += 1) {
    if (!inside(outline[start]!)) continue;
    const path: XY[] = [outline[start]!];
    let length = 0;
    for (let k = 1; k <= n && length < lengthPx; k += 1) {
      const from = path.at(-1)!;
      const to = outline[(start + k) % n]!;
      if (!inside(to)) break;
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
    if (!best || cost < best.cost) best = { path, cost };
  }
  if (!best) return null;
  const { path } = best;
  const upright = path[0]![0] <= path.at(-1)![0] ? path : [...path].reverse();
  const middle = upright[Math.floor(upright.length / 2)]!;
  const below = polygonContains(outline as [number, number][], [middle[0], middle[1] + 3]);
  return { path: upright, below };
}

interface Outline {
  kind: "shadow" | "slice";
  points: XY[];
  text: string;
}

/** The target's shadow and its slice at the drink's strength, each named on its own edge. */
export function drawRegion(g: G, scene: Scene): void {
  const { frame, model, hand, layers, idPrefix } = scene;
  const { typePx, plot } = frame.layout;
  const at = hand?.point[2] ?? null;
  const { shadow, slice } =
    model.target && layers.has("range") ? regionOf(model.target, 0, 1, at) : { shadow: null, slice: null };
  const px = ([x, y]: XY): XY => [frame.x(x), frame.y(y)];
  const strength = at === null ? "" : `${axisNumber(2, at)} % vol`;
  const outlines: Outline[] = [
    ...(shadow
      ? [
          {
            kind: "shadow" as const,
            points: shadow.map(px),
            text: slice
              ? `${model.targetName}, at its widest`
              : `${model.targetName}, at other strengths than ${strength}`,
          },
        ]
      : []),
    ...(slice
      ? [{ kind: "slice" as const, points: slice.map(px), text: `${model.targetName} at ${strength}` }]
      : []),
  ];
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
  // The slice is named first; the shadow's name keeps clear of it.
  const named: (Outline & EdgeName)[] = [];
  for (const outline of [...outlines].reverse()) {
    const length = scene.measure(outline.text, { px: typePx, bold: true }) + 6;
    const taken = named.flatMap(({ path }) => path);
    const stretch = stretchFor(outline.points, length, plot, 0.8 * typePx, (p) =>
      taken.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < 2.2 * typePx),
    );
    if (stretch) named.push({ ...outline, ...stretch });
  }
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
    .text((o) => o.text);
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
