import type { Round } from "../bench/types.ts";
import type { Placement, Vec3 } from "./place.ts";
import type { Move } from "./solve.ts";

export interface TrailChange extends Pick<Move, "ingredient" | "kind" | "fromMl" | "toMl" | "text"> {
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

export interface TrailRound extends Pick<Round, "id" | "number" | "parent"> {
  placement: Placement;
  /** Axis-scale distance from the first round. */
  drift: number;
  driftVector: Vec3;
}

export interface Trail {
  rounds: TrailRound[];
  steps: TrailStep[];
}
