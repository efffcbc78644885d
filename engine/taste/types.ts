import type { AxisName, Mat3, Point, Vec3 } from "../types.ts";

/** −2 much too little, −1 a little too little, 0 just about right, 1 a little too much, 2 much too much. */
export type Mark = -2 | -1 | 0 | 1 | 2;

/** What a just-about-right mark is given on, each on its axis of the space. */
export type MarkName = "sweet" | "sour" | "strong";

/** What one taster said of one round; the names are those of the stored record. Tasters leave things out. */
export interface Tasting extends Partial<Record<MarkName, Mark | null>> {
  round: string;
  taster: string;
  /** 1 (dislike extremely) to 9 (like extremely), whole: the 9-point scale of sensory practice. */
  liking?: number | null;
  /** Of the tasting vocabulary, or the taster's own. */
  words?: readonly string[];
}

/** One taster set two rounds side by side. */
export interface Comparison {
  taster: string;
  preferred: string;
  other: string;
  /** No preference: `preferred` and `other` are then only the two rounds. */
  tie?: boolean;
}

/** A round as the model needs it: where its finished drink sits. */
export interface TastedRound {
  id: string;
  point: Point;
}

/**
 * What is known of the table before it tastes. Lengths in the model are in spreads: axis units from `centre`
 * divided by `spread`, axis by axis.
 */
export interface TablePrior {
  /** Axis units. */
  centre: Vec3;
  /** Standard deviation of the classics on each axis, axis units. */
  spread: Vec3;
  correlation: Mat3;
}

/** Everything a table's range is learned from. */
export interface TableRecord {
  prior: TablePrior;
  rounds: readonly TastedRound[];
  tastings: readonly Tasting[];
  comparisons?: readonly Comparison[];
}

/** The mark that belongs to an axis. */
export const MARK_OF: Readonly<Record<AxisName, MarkName>> = { sugar: "sweet", acid: "sour", abv: "strong" };
