import type { RowSum } from "./rows.ts";

/**
 * One inequality that every acceptable drink of a box and cell satisfies, coefficient·Δ ≤ limit, and what follows:
 * the least of Σ (wᵢ|Δᵢ| + coefficientᵢΔᵢ) − limit over the box, w the cost per mL or 0, bounds the cost from below
 * (w the cost), or shows by being above 0 that there is no such drink (w = 0).
 */
export interface Proof extends RowSum {
  isWeighted: boolean;
}

/** A box of changes (mL, ends included) in one cell that the search has done with. */
export interface Leaf {
  cell: number;
  low: Float64Array;
  high: Float64Array;
  /** Null where at most one amount was undecided, and its pours were tried. */
  proof: Proof | null;
}

/** Boxes that in each of so many cells hold every choice. */
export interface Leaves {
  cells: number;
  boxes: Leaf[];
}
