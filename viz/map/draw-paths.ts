import type { Vec3 } from "../../engine/types.ts";
import type { XY } from "./model.ts";
import { placeIn, type Scene } from "./scene.ts";
import { type G, toPath, written } from "./svg-layer.ts";

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

/** Where the ingredient in hand pulls: the curve of pouring more of it and less, a tick a rung. */
export function drawPull(g: G, scene: Scene): void {
  const { frame, model, hand } = scene;
  const { pull } = model;
  const place = placeIn(frame);
  const { typePx } = frame.layout;
  const arms =
    pull && hand
      ? [
          { key: "less", points: pull.less, word: `less ${pull.name}` },
          { key: "more", points: pull.more, word: `more ${pull.name}` },
        ].filter(({ points }) => points.length > 0)
      : [];
  const start = hand?.point ?? [0, 0, 0];
  g.selectAll<SVGPathElement, (typeof arms)[number]>("path.pull")
    .data(arms, (a) => a.key)
    .join("path")
    .attr("class", (a) => `pull pull-${a.key}`)
    .attr("d", (a) => toPath([start, ...a.points].map(place)));
  g.selectAll("path.rungs")
    .data([arms.map((a) => ticksAlong(a.points, start, place, 0.3 * typePx)).join("")])
    .join("path")
    .attr("class", "rungs")
    .attr("d", (d) => d);
  const { plot } = frame.layout;
  g.selectAll<SVGTextElement, (typeof arms)[number]>("text")
    .data(arms, (a) => a.key)
    .join("text")
    .attr("class", "pull-name")
    .attr("text-anchor", (a) => (place(a.points.at(-1)!)[0] > place(start)[0] ? "start" : "end"))
    .each(function (a) {
      const [x, y] = place(a.points.at(-1)!);
      const width = scene.measure(a.word, { px: typePx, bold: true }) + 10;
      const right = x > place(start)[0];
      const clamped = right ? Math.min(x + 6, plot.width - width) : Math.max(x - 6, width);
      this.setAttribute("x", String(clamped));
      // Off the drink's own name, which stands at the height of its mark.
      const level = Math.abs(y - place(start)[1]) < 1.5 * typePx ? place(start)[1] - 1.7 * typePx : y;
      this.setAttribute("y", String(Math.min(Math.max(level, typePx), plot.height - 4)));
    })
    .call(written((a) => a.word));
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
