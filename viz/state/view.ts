import type { AskOptions } from "../../engine/shapes/view.ts";

export type {
  AskOptions,
  LadderChoice,
  LineRule,
  Measured,
  TargetPart,
  View,
} from "../../engine/shapes/view.ts";

/** The settings a new question starts with. */
export const DEFAULT_ASK: AskOptions = {
  additions: [],
  maxTouched: null,
  maxFinishedMl: null,
  character: [],
  minProbability: null,
  measure: "fewest-then-volume",
  driftBudget: null,
};
