import type { AxisIndex } from "../axes.ts";
import type { HalfSpace, Mat3, Vec3 } from "../types.ts";
import type { Plane } from "./body.ts";
import type { Ellipsoid } from "./ellipsoid.ts";

/** What a face holds down or up: one axis, or the ratio of sugar to acid. */
export interface Limit {
  of: AxisIndex | "ratio";
  side: "floor" | "ceiling";
  value: number;
}

/** A flat face with what is needed to speak about it. `part` is the index of the named part it came from. */
export interface FlatFace extends Plane {
  half: HalfSpace;
  part: number;
  /** Null for a face that leans across axes in some other way. */
  limit: Limit | null;
}

/** A curved face, with the user's own numbers. */
export interface CurvedFace extends Ellipsoid {
  given: { id: string; name: string; mean: Vec3; covariance: Mat3; radius: number };
  part: number;
}

/** A target taken apart: leaf parts by name, flat faces (parallel ones merged) and ellipsoids, in axis-scale units. */
export interface Parts {
  names: string[];
  planes: FlatFace[];
  ellipsoids: CurvedFace[];
}
