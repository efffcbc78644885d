import { line, type Selection } from "d3";
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
