import type * as z from "zod/mini";
import type { KEEP_IDS, LIMIT_ROLE_IDS, MEASURE_IDS, MOVE_KIND_IDS, SOLVE_STATUS_IDS } from "../ids.ts";
import type { characterRuleShape } from "../shapes/view.ts";
import type { UnitId } from "./amounts.ts";
import type { AxisName, Point, Vec3 } from "./place.ts";
import type { Spec } from "./spec.ts";

export interface Bound {
  ingredient: string;
  minMl?: number;
  maxMl?: number;
}

/** One limit on what a drink must keep. */
export type CharacterRule = z.infer<typeof characterRuleShape>;

/** A habit of the trade that a change keeps to unless it is let go; the sentences are in explore/words.ts. */
export type KeepId = (typeof KEEP_IDS)[number];

export type MeasureId = (typeof MEASURE_IDS)[number];

export type SolveStatus = (typeof SOLVE_STATUS_IDS)[number];

export type MoveKind = (typeof MOVE_KIND_IDS)[number];

export interface Move {
  kind: MoveKind;
  ingredient: string;
  /** For swaps and syrup changes: what it replaces. */
  replaces?: string;
  fromMl: number;
  toMl: number;
  deltaMl: number;
  fromAmount: number;
  toAmount: number;
  unit: UnitId;
  /** In the user's unit: "lime juice ¾ → 1 oz (+¼ oz)". */
  text: string;
}

export interface Proposal {
  id: string;
  /** Named by what it does: "More lime", "Thin the syrup and add lime". */
  name: string;
  moves: Move[];
  spec: Spec;
  before: Point;
  after: Point;
  afterSd: Point;
  touched: number;
  volumeChangedMl: number;
  /** Chance that the real drink is inside, from the covariance; null when not computed. */
  probabilityInside: number | null;
  /** Axis-scale distance to the target's middle. */
  centreDistance: number;
  driftFromFirst: number | null;
  costChange: number | null;
  finishedVolumeMl: number;
  why: string;
  /** True curve traced move by move: one polyline per move, starting at `before`. */
  path: { ingredient: string; points: Vec3[] }[];
  /** Which trade-offs it is best at. */
  bestAt: string[];
}

/** What a limit of the solver is about. */
export type LimitRole = (typeof LIMIT_ROLE_IDS)[number];

/** A row that refutations combine: Σ value·Δ ≤ limit, Δ the change of each ingredient in mL. */
export interface CertificateRow {
  row: string;
  /** The part of the relaxation it holds in, from 0. */
  cell: number;
  role: LimitRole;
  label: string;
  coefficients: { ingredient: string; value: number }[];
  limit: number;
}

/** A multiplier that refutes families of subsets; checkable without the solver. */
export interface Refutation {
  touched: number;
  /** The part of the relaxation it refutes them in, from 0; a set is out when it is refuted in each. */
  cell: number;
  /** Sets of touched ingredients this covers; "all" = every set of that size. */
  covers: "all" | string[][];
  /** Non-negative multiplier per relaxed row. */
  multipliers: { row: string; value: number }[];
  text: string;
}

export interface SolveCertificate {
  nodes: number;
  relaxations: number;
  evaluations: number;
  /** Lower bound on the measure, and the gap to the returned proposal (0 = proved). */
  bound: { touched: number; volumeMl: number } | null;
  gap: number;
  proved: boolean;
  refutations: Refutation[];
  /** Into how many parts the relaxation was cut; together they hold every drink. */
  cells: number;
  /** The rows the refutations combine. */
  rows?: CertificateRow[];
  /** Range of each Δ in mL; with `rows`, all a checker needs. */
  ranges?: { ingredient: string; minMl: number; maxMl: number }[];
  /** When asked for, of a measure that searches all amounts at once. */
  leaves?: CertificateLeaves;
  tolerance: number;
  assumptions: string[];
}

/** Boxes of Δ that in each cell hold every pour, and what shows that none holds a better one (drift: one a step nearer). */
export interface CertificateLeaves {
  /** Into how many parts the relaxation of these was cut. */
  cells: number;
  /** Cost per mL changed, by ingredient in the order of `ranges`. */
  weights: number[];
  boxes: CertificateLeaf[];
}

/**
 * A box of Δ (mL, in the order of `ranges`) in one cell. Every acceptable drink there has Σ coefficient·Δ ≤ limit, so
 * it costs at least the least of Σ (weight·|Δ| + coefficient·Δ) − limit over the box; or, with `isEmpty`, there is
 * none, as Σ coefficient·Δ is above the limit all over it. Without coefficients its pours were tried.
 */
export interface CertificateLeaf {
  cell: number;
  leastMl: number[];
  mostMl: number[];
  coefficients: number[] | null;
  limit: number;
  isEmpty: boolean;
}

/** What one limit costs, per unit of it. */
export interface Multiplier {
  row: string;
  value: number;
  /** What the limit is about; "amount" is an ingredient's own range. */
  role: LimitRole | "amount";
  /** Of a target or drift face that lies across one axis. */
  axis?: AxisName;
  /** Of a target or drift face: it touches a curved edge. */
  isCurved?: boolean;
  /** Of an amount: whose, and the end of its range that it stands at. */
  ingredient?: string;
  side?: "least" | "most";
  unit: string;
  text: string;
}

export interface ContinuousOptimum {
  amountsMl: { ingredient: string; ml: number }[];
  point: Point;
  volumeChangedMl: number;
  multipliers: Multiplier[];
  kkt: { stationarity: number; primal: number; dual: number; complementarity: number };
}
