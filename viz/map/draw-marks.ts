import { group } from "d3";
import { otherTrails } from "./draw-trail.ts";
import type { Item } from "./items.ts";
import { titleOf } from "./items.ts";
import type { XY } from "./model.ts";
import { placeIn, type Scene } from "./scene.ts";
import { type G, written } from "./svg-layer.ts";

/** Radius of an item's mark, for a text size. */
export function markRadius(item: Item, hand: Item | null, typePx: number): number {
  const unit = typePx / 12;
  if (item.kind === "reference") return 4 * unit;
  if (item.key === hand?.key) return 8 * unit;
  if (item.kind === "ghost") return 8 * unit;
  return 4.5 * unit;
}

const ROLE = { reference: "classic", round: "round", live: "your drink", ghost: "proposal" } as const;

/** Marks of rounds, proposals and the drink. The classics have none of their own here but the one the keyboard is on. */
export function drawMarks(g: G, scene: Scene): void {
  const { frame, items, hand, cursor, model, layers } = scene;
  const { typePx } = frame.layout;
  const place = placeIn(frame);
  const shown = items.filter((item) => {
    if (item.kind === "reference") return item.key === cursor?.key || item.id === model.beside;
    return item.kind !== "round" || layers.has("trail") || item.key === hand?.key;
  });
  const others = otherTrails(scene).flatMap((trail, n) => trail.items.map((item) => ({ item, n })));
  g.selectAll<SVGCircleElement, (typeof others)[number]>("circle.other")
    .data(others, ({ item }) => item.key)
    // Beneath the bench's own marks, which carry their numbers.
    .join((enter) => enter.insert("circle", "g.m-mark"))
    .attr("class", ({ n }) => `other other-${n % 6}`)
    .attr("r", 0.3 * typePx)
    .attr("cx", ({ item }) => place(item.point)[0])
    .attr("cy", ({ item }) => place(item.point)[1]);
  const marks = g
    .selectAll<SVGGElement, Item>("g.m-mark")
    .data(shown, (i) => i.key)
    .join((enter) => {
      const mark = enter.append("g");
      mark.append("circle").attr("class", "ring");
      mark.append("circle").attr("class", "shape");
      mark.append("text").attr("dy", "0.35em").attr("text-anchor", "middle");
      return mark;
    })
    .attr("class", (i) =>
      [
        `m-mark m-mark-${i.kind}`,
        i.key === hand?.key && "is-hand",
        i.abandoned && "is-aside",
        i.kind === "ghost" && i.id === model.shownGhost && "is-shown",
        cursor?.key === i.key && "is-cursor",
      ]
        .filter(Boolean)
        .join(" "),
    )
    .attr("data-kind", (i) => i.kind)
    .attr("data-id", (i) => i.id)
    .attr("transform", (i) => `translate(${place(i.point).map((v) => v.toFixed(2))})`)
    .attr("role", "button")
    .attr("aria-roledescription", (i) => ROLE[i.kind])
    .attr("aria-label", titleOf)
    .attr("aria-current", (i) => (i.current ? "true" : null));
  const radius = (i: Item) => markRadius(i, hand, typePx);
  marks.select("circle.shape").attr("r", (i) => (i.kind === "reference" ? 0 : radius(i)));
  marks.select("circle.ring").attr("r", (i) => radius(i) + 4);
  marks
    .select("text")
    .call(written((i) => (i.kind === "ghost" || (i.key === hand?.key && i.kind === "round") ? i.tag : "")));
}

/** Thin lines from the drink to the two arms that weigh it, and a cross through what the cursor is on. */
export function drawSight(g: G, { frame, hand, cursor }: Scene): void {
  const place = placeIn(frame);
  const { plot } = frame.layout;
  const lines = [
    ...(hand ? [{ name: "sight-hand", at: place(hand.point), cross: false }] : []),
    ...(cursor && cursor.key !== hand?.key ? [{ name: "sight", at: place(cursor.point), cross: true }] : []),
  ];
  g.selectAll<SVGPathElement, (typeof lines)[number]>("path")
    .data(lines, (l) => l.name)
    .join("path")
    .attr("class", (l) => l.name)
    .attr("d", ({ at: [x, y] }) => `M0,${y.toFixed(1)}H${x.toFixed(1)}V${plot.height}`);
}

/** A pointer at the frame toward a drink that the window does not show, in pixels of the plot. */
export interface EdgeMark {
  item: Item;
  at: XY;
  /** Degrees clockwise from "points right". */
  turn: number;
}

/** Half the pointer, so that it stays whole inside the frame. */
const INSET_PX = 12;
/** Two pointers closer than this on one side could not be told apart. */
const APART_PX = 22;

/**
 * Pointers to the rounds, proposals and the edited spec outside the plot, each where the frame is nearest to its
 * drink; those that would cover each other are moved along their side. References are left out: they are many.
 */
export function edgeMarks(
  size: { width: number; height: number },
  items: readonly Item[],
  place: (i: Item) => XY,
): EdgeMark[] {
  const clamp = (v: number, most: number) => Math.min(Math.max(v, INSET_PX), most - INSET_PX);
  const marks = items
    .filter((item) => item.kind !== "reference")
    .flatMap((item) => {
      const [x, y] = place(item);
      const r = 5;
      if (x >= -r && x <= size.width + r && y >= -r && y <= size.height + r) return [];
      const at: [number, number] = [clamp(x, size.width), clamp(y, size.height)];
      const turn = (Math.atan2(y - at[1], x - at[0]) * 180) / Math.PI;
      return [{ item, at, turn }];
    });
  const ends = [INSET_PX, size.height - INSET_PX];
  /** Marks at the foot and the head of the plot move along it, the others up and down. */
  const lies = ({ at }: (typeof marks)[number], axis: 0 | 1) => ends.includes(at[1]) === (axis === 0);
  const sides = ([0, 1] as const).flatMap((axis) =>
    [
      ...group(
        marks.filter((mark) => lies(mark, axis)),
        ({ at }) => at[1 - axis],
      ).values(),
    ].map((side) => ({
      axis,
      side,
    })),
  );
  for (const { axis, side } of sides) {
    const most = (axis === 0 ? size.width : size.height) - INSET_PX;
    side.sort((a, b) => a.at[axis] - b.at[axis]);
    side.forEach((mark, i) => {
      const before = side[i - 1];
      if (before) mark.at[axis] = Math.max(mark.at[axis], before.at[axis] + APART_PX);
    });
    const over = Math.max(0, side[side.length - 1]!.at[axis] - most);
    for (const mark of side) mark.at[axis] -= over;
  }
  return marks;
}

/** Draw the pointers; each can be found and chosen like the mark it stands for. */
export function drawEdge(layer: G, scene: Scene): void {
  const at = placeIn(scene.frame);
  const shown = scene.items.filter((item) => item.kind !== "round" || scene.layers.has("trail"));
  const marks = edgeMarks(scene.frame.layout.plot, shown, (item) => at(item.point));
  const groups = layer
    .selectAll<SVGGElement, EdgeMark>("g.m-edge")
    .data(marks, (m) => m.item.key)
    .join((enter) => {
      const g = enter.append("g");
      g.append("path").attr("d", "M11,0L3,-7.5A8,8 0 1 0 3,7.5Z");
      g.append("text").attr("dy", "0.35em").attr("text-anchor", "middle");
      return g;
    })
    .attr("class", (m) => `m-edge m-edge-${m.item.kind}${m.item.key === scene.hand?.key ? " is-hand" : ""}`)
    .attr("transform", (m) => `translate(${m.at[0].toFixed(1)},${m.at[1].toFixed(1)})`);
  groups.select("path").attr("transform", (m) => `rotate(${m.turn.toFixed(1)})`);
  groups.select("text").call(written((m) => m.item.tag));
}
