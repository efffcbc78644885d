import { type BaseType, line, type Selection, selection } from "d3";
import type { XY } from "./model.ts";

/** A drawn group. */
export type G = Selection<SVGGElement, unknown, null, undefined>;
/** A whole picture. */
export type Svg = Selection<SVGSVGElement, unknown, null, undefined>;

/** SVG path through points in pixels. */
export const toPath = line<XY>()
  .x((p) => p[0])
  .y((p) => p[1])
  .digits(2);

// d3 sets an attribute though it is set so already, and what is set anew is laid out and painted anew: in a drag that
// is nearly everything on the map. Ours sets what differs.
const { attr } = selection.prototype;
selection.prototype.attr = function (
  this: Selection<Element, unknown, null, undefined>,
  ...asked: unknown[]
) {
  const [name, value] = asked as [string, unknown];
  if (asked.length < 2) return attr.call(this, name);
  return this.each(function (datum, i, nodes) {
    const now: unknown = typeof value === "function" ? value.call(this, datum, i, nodes) : value;
    if (now === null || now === undefined) this.removeAttribute(name);
    else if (this.getAttribute(name) !== String(now)) this.setAttribute(name, String(now));
  });
} as typeof attr;

/** Set texts where they differ: what is set anew is laid out anew, and most names stay as they are in a drag. */
export const written =
  <Node extends BaseType, Datum>(text: (datum: Datum, i: number) => string) =>
  (selection: Selection<Node, Datum, BaseType, unknown>): void => {
    selection.each(function (datum, i) {
      const node = this as unknown as globalThis.Node;
      const now = text(datum, i);
      if (node.textContent !== now) node.textContent = now;
    });
  };
