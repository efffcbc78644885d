import type { AxisName, Mat3, Point, Vec3 } from "./place.ts";

export type Interval = readonly [number | null, number | null];

export type TargetSpec =
  | { kind: "box"; name?: string; sugarGPer100Ml?: Interval; acidGPer100Ml?: Interval; abvPercent?: Interval }
  | { kind: "ellipsoid"; name?: string; mean: Vec3; covariance: Mat3; radius: number }
  | { kind: "ratio"; name?: string; min: number | null; max: number | null }
  /** normal · (sugar, acid, ABV) ≤ offset */
  | { kind: "half-space"; name?: string; normal: Vec3; offset: number }
  | { kind: "intersection"; name?: string; parts: TargetSpec[] };

/** normal · point ≤ offset, in axis units, with the words for being outside it. */
export interface HalfSpace {
  id: string;
  normal: Vec3;
  offset: number;
  label: string;
}

export interface FaceViolation {
  /** e.g. "acid-floor". */
  face: string;
  /** What is short or over: an axis, the sugar:acid ratio, or some other face of the target. */
  measure: AxisName | "ratio" | "face";
  side: "short" | "over";
  /** Amount outside, in the face's own unit, > 0. */
  by: number;
  unit: string;
  /** e.g. "acid 0.31 short". */
  text: string;
}

export interface Membership {
  inside: boolean;
  /** In axis-scale units (see axes.ts): negative inside, positive outside. */
  signedDistance: number;
  violations: FaceViolation[];
  /** The nearest point of the region (the point itself when inside). */
  nearest: Point;
  /** For ellipsoids: Mahalanobis distance; else null. */
  mahalanobis: number | null;
  text: string;
}
