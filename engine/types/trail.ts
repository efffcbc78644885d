import type { Placement, Vec3 } from "./place.ts";
import type { MoveKind } from "./solve.ts";

export interface TrailChange {
  ingredient: string;
  kind: MoveKind;
  fromMl: number;
  toMl: number;
  text: string;
  /** Shapley share of the step per axis; shares of a step sum to its vector. */
  share: Vec3;
}

export interface TrailStep {
  from: string;
  to: string;
  vector: Vec3;
  lengthScaled: number;
  changes: TrailChange[];
  text: string;
}

export interface TrailRound {
  id: string;
  number: number;
  parent: string | null;
  placement: Placement;
  /** Axis-scale distance from the first round. */
  drift: number;
  driftVector: Vec3;
}

export interface Trail {
  rounds: TrailRound[];
  steps: TrailStep[];
}
