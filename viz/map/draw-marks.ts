import { type Item, titleOf } from "./items.ts";
import type { PanelBox } from "./layout.ts";
import type { XY } from "./model.ts";
import type { Scene } from "./scene.ts";
import type { G } from "./svg-layer.ts";

/** Radius of an item's mark, in pixels. */
export function markRadius(item: Item, primary: boolean): number {
  if (item.kind === "reference") return item.highlighted ? 5 : 3.5;
  if (item.kind === "ghost") return primary ? 6 : 5;
  if (item.kind === "live") return primary ? 6 : 5;
  return (item.current ? 6.5 : 4.5) - (primary ? 0 : 1);
}

const MARK_ROLE = { reference: "reference drink", round: "round", live: "spec", ghost: "proposal" } as const;

function markShape(item: Item, r: number): string {
  if (item.kind === "reference") return `M${-r},0H${r}M0,${-r}V${r}`;
  if (item.kind === "live") return `M${-r},${-r}H${r}V${r}H${-r}Z`;
  return `M${-r},0A${r},${r} 0 1 1 ${r},0A${r},${r} 0 1 1 ${-r},0Z`;
}

/** Draw a mark per item. */
export function drawMarks(layer: G, box: PanelBox, scene: Scene, place: (i: Item) => XY): void {
  const marks = layer
    .selectAll<SVGGElement, Item>("g.m-mark")
    .data(scene.items, (i) => i.key)
    .join((enter) => {
      const g = enter.append("g");
      g.append("circle").attr("class", "ring");
      g.append("path").attr("class", "shape");
      return g;
    })
    .attr("class", (i) =>
      [
        `m-mark m-mark-${i.kind}`,
        i.current && "is-current",
        i.abandoned && "is-abandoned",
        i.highlighted && "is-highlighted",
        scene.cursor?.key === i.key && "is-cursor",
      ]
        .filter(Boolean)
        .join(" "),
    )
    .attr("data-kind", (i) => i.kind)
    .attr("data-id", (i) => i.id)
    .attr("transform", (i) => `translate(${place(i).map((v) => v.toFixed(2))})`);
  marks
    .select("path.shape")
    .attr("d", (i) => markShape(i, markRadius(i, box.primary)))
    .attr("transform", (i) => (i.kind === "reference" ? "rotate(45)" : null));
  marks.select("circle.ring").attr("r", (i) => markRadius(i, box.primary) + 5);
  if (!box.primary) return;
  // The large panel's marks are the ones that take the focus; its two companions repeat the same
  // items and are hidden from screen readers, so that each drink is met once.
  marks
    .attr("role", "button")
    .attr("aria-roledescription", (i) => MARK_ROLE[i.kind])
    .attr("aria-label", (i) => titleOf(i))
    .attr("aria-current", (i) => (i.current ? "true" : null));
}
