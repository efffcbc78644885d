import { type BaseType, line, type Selection } from "d3";
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
