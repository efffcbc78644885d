import type { OwnFigures } from "../../engine/mix/own-figures.ts";
import type {
  Bench,
  CharacterRule,
  Ingredient,
  Interval,
  LadderId,
  MeasureId,
  Spec,
  UnitSettings,
} from "../../engine/types.ts";

/** What the user said about one ingredient, beside its amount. Keyed by pantry id in `View.rules`. */
export interface LineRule {
  locked?: boolean;
  minMl?: number;
  maxMl?: number;
}

/** What the user measured of one ingredient. */
export type Measured = OwnFigures;

/** One requirement of the target; several together mean "all of these". */
export type TargetPart =
  | { kind: "family"; family: string; coverage: number }
  | { kind: "band"; band: string }
  | { kind: "box"; sugar: Interval; acid: Interval; abv: Interval }
  | { kind: "ratio"; min: number | null; max: number | null }
  | { kind: "plane"; normal: readonly [number, number, number]; offset: number };

/** The user's pour ladder: a named one, or an own step in mL. */
export interface LadderChoice {
  id: LadderId;
  /** Only for `own`. */
  stepMl?: number;
}

/** The settings of the "bring it into range" question. */
export interface AskOptions {
  additions: string[];
  maxTouched: number | null;
  maxFinishedMl: number | null;
  character: CharacterRule[];
  /** 0–1; null means "any". */
  minProbability: number | null;
  measure: MeasureId;
  driftBudget: number | null;
  /** Proposals may fill the chosen glass past its wash line. */
  anyGlass: boolean;
}

/** Everything a link reproduces. */
export interface View {
  spec: Spec;
  rules: Record<string, LineRule>;
  target: TargetPart[];
  units: "oz" | "ml";
  ladder: LadderChoice;
  /** Bench and round the spec was opened from. */
  bench: string | null;
  round: string | null;
  /** Highlighted reference drink. */
  reference: string | null;
  ask: AskOptions;
  /** Sizes of spoon, dash, drop and part: amounts in them depend on it. */
  unitSettings: UnitSettings;
  /** The user's own figures, by pantry id; they replace the books' for everything but the classics. */
  measured: Record<string, Measured>;
}

/** Everything the user works on; any change to it can be undone. */
export interface Work extends Omit<View, "reference"> {
  benches: Bench[];
  /** Currency per litre, by pantry id. */
  prices: Record<string, number>;
  /** Ingredients of the user's own. */
  own: Ingredient[];
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
