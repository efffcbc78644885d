import type { AxisIndex } from "../axes.ts";
import type { HalfSpace, Mat3, Vec3 } from "../types.ts";
import type { Plane } from "./body.ts";
import type { Ellipsoid } from "./ellipsoid.ts";

/** A flat face with what is needed to speak about it. `part` is the index of the named part it came from. */
export interface FlatFace extends Plane {
  half: HalfSpace;
  part: number;
  measure:
    | { kind: "axis"; axis: AxisIndex; side: "floor" | "ceiling"; limit: number }
    | { kind: "ratio"; side: "floor" | "ceiling"; limit: number }
    | { kind: "general" };
}

/** A curved face: the ellipsoid in axis-scale units, and the user's own numbers. */
export interface CurvedFace {
  id: string;
  name: string;
  part: number;
  ellipsoid: Ellipsoid;
  mean: Vec3;
  covariance: Mat3;
  radius: number;
}

/** A target taken apart: leaf parts by name, flat faces (parallel ones merged) and ellipsoids. */
export interface Parts {
  names: string[];
  flats: FlatFace[];
  curves: CurvedFace[];
}
