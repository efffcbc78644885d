import type { Prep } from "../../engine/prep/types.ts";
import type { AskOptions, View } from "../../engine/shapes/view.ts";
import type { Bench, Ingredient } from "../../engine/types.ts";

export type {
  AskOptions,
  LadderChoice,
  LineRule,
  Measured,
  TargetPart,
  View,
} from "../../engine/shapes/view.ts";

/** Everything the user works on; any change to it can be undone. */
export interface Work extends Omit<View, "reference"> {
  benches: Bench[];
  /** Currency per litre, by pantry id. */
  prices: Record<string, number>;
  /** Ingredients of the user's own, what became of the preps among them. */
  own: Ingredient[];
  /** House-made things: how each batch was made, and what was measured of it. */
  preps: Prep[];
}

/** The settings a new question starts with. */
export const DEFAULT_ASK: AskOptions = {
  additions: [],
  maxTouched: null,
  maxFinishedMl: null,
  character: [],
  minProbability: null,
  measure: "fewest-then-volume",
  driftBudget: null,
  anyGlass: false,
};
