import type { Finished } from "../dilution/model.ts";
import type {
  Bound,
  CharacterRule,
  ContinuousOptimum,
  KeepId,
  MeasureId,
  Membership,
  Pantry,
  Point,
  PourLadder,
  Proposal,
  Refutation,
  SolveCertificate,
  SolveStatus,
  Spec,
  TargetSpec,
  UnitSettings,
  Vec3,
} from "../types.ts";

/** A box of pours, mL by spec line and addition. */
export interface PourBox {
  low: ArrayLike<number>;
  high: ArrayLike<number>;
}

/** A question to the solver: bring this spec into this target by the least change. */
export interface SolveRequest {
  spec: Spec;
  pantry: Pantry;
  target: TargetSpec;
  /** Amounts the user's tools can measure; a changed amount lands on one of them (or on 0). */
  ladder: PourLadder;
  /** Pantry ids that may be let in, besides the spec's own lines. */
  additions?: readonly string[];
  /** Ingredient ids whose amount stays. */
  locks?: readonly string[];
  /** Default range of each amount: 0 to twice the present amount plus 60 mL. */
  bounds?: readonly Bound[];
  /** Most ingredients that may change. Default: no limit. */
  maxTouched?: number;
  /** Glass limit: most finished volume, mL. */
  maxFinishedMl?: number;
  /** Least finished volume, mL. */
  minFinishedMl?: number;
  /** What "least" means; default fewest ingredients, then least volume. */
  measure?: MeasureId;
  character?: readonly CharacterRule[];
  /** Where drift is measured from; default: the spec itself. */
  firstRound?: Spec;
  /** Most drift from the first round, axis-scale units. */
  driftBudget?: number;
  /** Habits of the trade to let go of: read by the explore layer, which keeps to the others. */
  release?: readonly KeepId[];
  /** Carried for the explore layer, which turns it into `extraAccept` and `shrink`; not read here. */
  minProbability?: number;
  /** Price per litre by ingredient id; the cost measure needs one for every amount that may change. */
  prices?: ReadonlyMap<string, number>;
  unitSettings?: UnitSettings;
  /** With `now`: stop after this long and return the best so far, with its gap. */
  timeBudgetMs?: number;
  /** Clock in ms; the engine has none of its own. */
  now?: () => number;
  /** Stop after this many search nodes. Default 20 000, with `extraAccept` 4000; with a time budget 200 000. */
  nodeLimit?: number;
  /** Whether the certificate is to list what closed each box of the search, for the measures that search one. */
  leaves?: boolean;
  /** Different proposals wanted; default 4. */
  count?: number;
  /**
   * Further test on a finished drink that already meets everything else. It only removes candidates,
   * so every bound and refutation stays true; sets of ingredients it empties are refuted by trying
   * each of their pours. Must be a pure function of the volumes (spec lines, then additions).
   */
  extraAccept?: (volumesMl: readonly number[], finished: Finished) => boolean;
  /**
   * How far inside a face with this normal every drink that `extraAccept` passes is sure to lie, ≥ 0 in
   * the face's own unit; with a box (mL, volumes as there), every such drink in it. Tightens the search; an
   * overstatement would lose answers, 0 is always safe.
   */
  shrink?: (normal: Vec3, box?: PourBox) => number;
}

/** Why nothing within the request's limits is inside the target. */
export interface InfeasibleReport {
  /** True when in-between amounts would do, and only the ladder or the limit on touched ingredients forbids. */
  continuousFeasible: boolean;
  /** The reachable drink closest to the target (axis-scale distance), any amounts within the limits. */
  nearest: {
    amountsMl: { ingredient: string; ml: number }[];
    point: Point;
    membership: Membership;
    finishedVolumeMl: number;
    /** False when the time ran out while it was still being approached: there may be a nearer one. */
    isSettled: boolean;
  };
  /** A multiplier that shows it at once, when one exists. */
  refutation: Refutation | null;
  text: string;
}

/** The solver's answer. Outcomes are values; only bad input throws. */
export interface SolveResult {
  status: SolveStatus;
  /** Which limit stopped the search, when one did. */
  limit?: "time" | "nodes";
  /** Best first; each minimal for the ingredients it touches unless `certificate.proved` is false. */
  proposals: Proposal[];
  /** Least change when any amount can be poured and any number of ingredients touched. */
  continuous: ContinuousOptimum | null;
  certificate: SolveCertificate;
  membershipBefore: Membership;
  explanation: string;
  infeasible?: InfeasibleReport;
}

/** Whether fewer ingredients touched come before anything else. */
export function isLexicographic(measure: MeasureId): boolean {
  return measure === "fewest-then-volume" || measure === "drift";
}
