import { pairs } from "d3";
import type { Vec3 } from "../../engine/types.ts";
import type { Layout } from "./layout.ts";
import type { XY } from "./model.ts";
import { placeIn, type Scene, type Wanted } from "./scene.ts";
import { type G, toPath } from "./svg-layer.ts";

/** A short stroke across a curve where a rung of the pour ladder lies. */
function tick(at: XY, before: XY, half: number): string {
  const length = Math.hypot(at[0] - before[0], at[1] - before[1]) || 1;
  const [nx, ny] = [(-(at[1] - before[1]) / length) * half, ((at[0] - before[0]) / length) * half];
  return `M${(at[0] - nx).toFixed(1)},${(at[1] - ny).toFixed(1)}L${(at[0] + nx).toFixed(1)},${(at[1] + ny).toFixed(1)}`;
}

function ticksAlong(points: readonly Vec3[], start: Vec3, place: (p: Vec3) => XY, half: number): string {
  return points.map((point, i) => tick(place(point), place(points[i - 1] ?? start), half)).join("");
}

/** Every proposal's curve, the one shown with a tick for each rung it passes. */
export function drawPaths(g: G, scene: Scene): void {
  const { frame, model } = scene;
  const place = placeIn(frame);
  const half = 0.36 * frame.layout.typePx;
  const moves = model.ghosts.flatMap((ghost) =>
    ghost.path.map((move, index) => ({
      key: `${ghost.id} ${index}`,
      shown: ghost.id === model.shownGhost,
      d: toPath(move.points.map(place)) ?? "",
      ticks:
        ghost.id === model.shownGhost && move.points[0]
          ? ticksAlong(move.rungs, move.points[0], place, half)
          : "",
    })),
  );
  g.selectAll<SVGPathElement, (typeof moves)[number]>("path.move")
    .data(moves, (m) => m.key)
    .join("path")
    .attr("class", (m) => (m.shown ? "move is-shown" : "move"))
    .attr("d", (m) => m.d);
  g.selectAll("path.rungs")
    .data([moves.map((m) => m.ticks).join("")])
    .join("path")
    .attr("class", "rungs")
    .attr("d", (d) => d);
}

/** One way an ingredient pulls: pouring more of it, or less. */
interface PullArm {
  key: "less" | "more";
  points: readonly Vec3[];
  word: string;
}

/** The ways the ingredient in hand can be poured from the drink at hand. */
function pullArms({ model: { pull }, hand }: Scene): PullArm[] {
  if (!pull || !hand) return [];
  return (["less", "more"] as const).flatMap((key) =>
    pull[key].length > 0 ? [{ key, points: [hand.point, ...pull[key]], word: `${key} ${pull.name}` }] : [],
  );
}

/** Where the ingredient in hand pulls: the curve of pouring more of it and less, a tick a rung. */
export function drawPull(g: G, scene: Scene): void {
  const place = placeIn(scene.frame);
  const half = 0.3 * scene.frame.layout.typePx;
  const arms = pullArms(scene);
  g.selectAll<SVGPathElement, PullArm>("path.pull")
    .data(arms, (a) => a.key)
    .join("path")
    .attr("class", (a) => `pull pull-${a.key}`)
    .attr("d", (a) => toPath(a.points.map(place)));
  g.selectAll("path.rungs")
    .data([arms.map(({ points: [start, ...rungs] }) => ticksAlong(rungs, start!, place, half)).join("")])
    .join("path")
    .attr("class", "rungs")
    .attr("d", (d) => d);
}

/** Where a curve ends, or leaves the window: the farthest share of its first step out that stays inside. */
function endInside(curve: readonly XY[], { width, height }: Layout["plot"]): XY {
  const out = curve.findIndex(([x, y]) => x < 0 || y < 0 || x > width || y > height);
  if (out <= 0) return curve.at(-1)!;
  const [from, to] = [curve[out - 1]!, curve[out]!];
  const share = (at: number, end: number, most: number) =>
    end < 0 ? at / (at - end) : end > most ? (most - at) / (end - at) : 1;
  const t = Math.min(share(from[0], to[0], width), share(from[1], to[1], height));
  return [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
}

/** The words at the ends of a pull, which keep off its curves. */
export function pullNames(scene: Scene): { wanted: Wanted[]; segments: readonly (readonly [XY, XY])[] } {
  const place = placeIn(scene.frame);
  const { typePx, plot } = scene.frame.layout;
  const arms = pullArms(scene).map((arm) => ({ ...arm, curve: arm.points.map(place) }));
  return {
    wanted: arms.map(({ key, word, curve }) => ({
      wish: {
        key: `pull ${key}`,
        anchor: endInside(curve, plot),
        radius: 2,
        width: scene.measure(word, { px: typePx, bold: true }) + 6,
        height: 1.3 * typePx,
        priority: 0,
        required: true,
      },
      said: { text: word, kind: "pull", item: null },
    })),
    segments: arms.flatMap(({ curve }) => pairs(curve)),
  };
}

/** The wish, where the pours bring the drink, and the gap between the two. */
export function drawWish(g: G, { frame, model }: Scene): void {
  const place = placeIn(frame);
  const r = 0.55 * frame.layout.typePx;
  const { wish } = model;
  const at = wish && place(wish.at);
  const reached = wish?.reached ? place(wish.reached) : null;
  g.selectAll("path.wish-gap")
    .data(at && reached ? [toPath([reached, at])!] : [])
    .join("path")
    .attr("class", "wish-gap")
    .attr("d", (d) => d);
  g.selectAll("circle.wish-reached")
    .data(reached ? [reached] : [])
    .join("circle")
    .attr("class", "wish-reached")
    .attr("r", r)
    .attr("cx", (p) => p[0])
    .attr("cy", (p) => p[1]);
  g.selectAll("path.wish-mark")
    .data(at ? [at] : [])
    .join("path")
    .attr("class", "wish-mark")
    .attr("transform", (p) => `translate(${p[0]},${p[1]})`)
    .attr("d", `M${-1.9 * r},0H${1.9 * r}M0,${-1.9 * r}V${1.9 * r}`);
}
