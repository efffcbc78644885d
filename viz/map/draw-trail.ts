import { arrowPath } from "./arrow-path.ts";
import { markRadius } from "./draw-marks.ts";
import type { Item } from "./items.ts";
import type { XY } from "./model.ts";
import { type G, toPath } from "./svg-layer.ts";

interface TrailMark {
  key: string;
  shaft: string;
  head: string;
  abandoned: boolean;
}

/** Draw the steps from round to round and the tether of the spec being edited; returns their lines, for the labels to keep off. */
export function drawTrail(
  layer: G,
  items: readonly Item[],
  place: (i: Item) => XY,
  primary: boolean,
): [XY, XY][] {
  const byKey = new Map(items.map((i) => [i.key, i]));
  const segments: [XY, XY][] = [];
  const marks: TrailMark[] = [];
  for (const child of items) {
    const parent = child.parent === null ? undefined : byKey.get(child.parent);
    if (child.kind !== "round" || !parent) continue;
    const arrow = arrowPath(
      place(parent),
      place(child),
      markRadius(parent, primary) + 2,
      markRadius(child, primary) + 2.5,
      primary ? 8 : 7,
    );
    segments.push([place(parent), place(child)]);
    if (arrow) marks.push({ key: child.key, ...arrow, abandoned: child.abandoned });
  }
  layer
    .selectAll<SVGGElement, TrailMark>("g.m-step")
    .data(marks, (m) => m.key)
    .join((enter) => {
      const g = enter.append("g");
      g.append("path").attr("class", "shaft");
      g.append("path").attr("class", "head");
      return g;
    })
    .attr("class", (m) => `m-step${m.abandoned ? " m-step-abandoned" : ""}`)
    .each(function (m) {
      this.children[0]?.setAttribute("d", m.shaft);
      this.children[1]?.setAttribute("d", m.head);
    });
  const hand = items.find((i) => i.kind === "live");
  const stem = hand?.parent ? byKey.get(hand.parent) : undefined;
  layer
    .selectAll("path.tether")
    .data(hand && stem ? [toPath([place(stem), place(hand)])!] : [])
    .join("path")
    .attr("class", "tether")
    .attr("d", (d) => d);
  if (hand && stem) segments.push([place(stem), place(hand)]);
  return segments;
}
