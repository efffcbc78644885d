import type { CompiledTarget } from "../../engine/targets/compile-target.ts";
import { projectTarget, sliceTarget } from "../../engine/targets/outline.ts";
import type { Axis } from "../words/axis.ts";
import type { XY } from "./model.ts";

/** A target as one panel shows it: convex polygons in axis units. */
export interface Region {
  /** Everything the target reaches, seen along the third axis. */
  shadow: readonly XY[] | null;
  /** The part at the third-axis value asked for; null when there is none (or no value). */
  slice: readonly XY[] | null;
}

/** Outlines already traced: the cursor redraws the map often, and the target changes seldom. */
const traced = new WeakMap<CompiledTarget, Map<string, readonly XY[]>>();

function remembered(target: CompiledTarget, key: string, trace: () => readonly XY[]): readonly XY[] | null {
  const before = traced.get(target);
  // A drag asks for a new slice at every step: past steps are let go of.
  const known = before && before.size < 60 ? before : new Map<string, readonly XY[]>();
  traced.set(target, known);
  const outline = known.get(key) ?? trace();
  known.set(key, outline);
  return outline.length > 2 ? outline : null;
}

/** The target on axes `x` and `y`, cut where the remaining axis is `third` (its unit; null for no cut). */
export function regionOf(target: CompiledTarget, x: Axis, y: Axis, third: number | null): Region {
  return {
    shadow: remembered(target, `${x}${y}`, () => projectTarget(target, x, y)),
    slice:
      third === null ? null : remembered(target, `${x}${y} ${third}`, () => sliceTarget(target, x, y, third)),
  };
}
