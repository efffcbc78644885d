import type { Item } from "./items.ts";
import { roundItems } from "./items.ts";
import type { XY } from "./model.ts";
import { placeIn, type Scene } from "./scene.ts";
import { type G, toPath } from "./svg-layer.ts";

/** The steps from round to round, in pixels; `age` runs from 0, the first step, to 1, the last. */
interface Step {
  key: string;
  points: [XY, XY];
  age: number;
  aside: boolean;
  other: number | null;
}

function stepsOf(rounds: readonly Item[], place: (i: Item) => XY, other: number | null): Step[] {
  const byKey = new Map(rounds.map((i) => [i.key, i]));
  const last = Math.max(1, rounds.length - 1);
  return rounds.flatMap((child, i) => {
    const parent = child.parent === null ? undefined : byKey.get(child.parent);
    if (!parent) return [];
    return [
      {
        key: child.key,
        points: [place(parent), place(child)] as [XY, XY],
        age: i / last,
        aside: child.abandoned,
        other,
      },
    ];
  });
}

/** A tapering band from one point to the next: thin where it began, full where it arrives. */
function taper([a, b]: readonly [XY, XY], from: number, to: number): string {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  const [nx, ny] = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
  const p = ([x, y]: XY, w: number) => `${(x + (nx * w) / 2).toFixed(1)},${(y + (ny * w) / 2).toFixed(1)}`;
  return `M${p(a, from)}L${p(b, to)}L${p(b, -to)}L${p(a, -from)}Z`;
}

/** The items of the trails laid over the map, each trail with its number. */
export function otherTrails(scene: Scene): { name: string; items: Item[] }[] {
  return scene.model.others.map(({ id, name, rounds }) => ({
    name,
    items: roundItems(rounds, `other:${id}`),
  }));
}

/** Draw the trail as one line that grows toward the present, and the tether of the spec being edited. */
export function drawTrail(g: G, scene: Scene): void {
  const { frame, items, layers } = scene;
  const at = placeIn(frame);
  const place = (item: Item) => at(item.point);
  const unit = frame.layout.typePx / 12;
  const rounds = items.filter((i) => i.kind === "round");
  const steps = layers.has("trail")
    ? [
        ...otherTrails(scene).flatMap((trail, n) => stepsOf(trail.items, place, n)),
        ...stepsOf(rounds, place, null),
      ]
    : [];
  g.selectAll<SVGPathElement, Step>("path.step")
    .data(steps, (s) => s.key)
    .join("path")
    .attr("class", (s) =>
      ["step", s.aside && "is-aside", s.other !== null && `other other-${s.other % 6}`]
        .filter(Boolean)
        .join(" "),
    )
    .attr("d", (s) =>
      s.aside ? toPath(s.points) : taper(s.points, (0.8 + 2 * s.age) * unit, (1.8 + 2.4 * s.age) * unit),
    );
  const live = items.find((i) => i.kind === "live");
  const stem = live?.parent ? rounds.find((i) => i.key === live.parent) : undefined;
  g.selectAll("path.tether")
    .data(live && stem && layers.has("trail") ? [toPath([place(stem), place(live)])!] : [])
    .join("path")
    .attr("class", "tether")
    .attr("d", (d) => d);
}

/** The lines of the trail, for the labels to keep off. */
export function trailSegments(scene: Scene): [XY, XY][] {
  if (!scene.layers.has("trail")) return [];
  const at = placeIn(scene.frame);
  const rounds = scene.items.filter((i) => i.kind === "round");
  return stepsOf(rounds, (item) => at(item.point), null).map((step) => step.points);
}
