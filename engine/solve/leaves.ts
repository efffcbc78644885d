import type { Ruled } from "./levels.ts";
import type { RowSet } from "./rows.ts";
import type { SearchProblem } from "./search.ts";

/**
 * One inequality that every acceptable drink of a box and cell satisfies, coefficient·Δ ≤ limit, and what follows:
 * the least of Σ (wᵢ|Δᵢ| + coefficientᵢΔᵢ) − limit over the box, w the cost per mL or 0, bounds the cost from below
 * (w the cost), or shows by being above 0 that there is no such drink (w = 0).
 */
export interface Proof {
  coefficient: Float64Array;
  limit: number;
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

/** What the rows of a cell or node say together, with multipliers λ ≥ 0. */
export function proofOf(rows: RowSet, multipliers: Float64Array, isWeighted: boolean): Proof {
  const { coefficient, limit } = rows.combine(multipliers);
  return { coefficient, limit, isWeighted };
}

/** The cells that one multiplier empties whole, as leaves beside those of the cells that were searched. */
export function emptyCells(
  { cells, choices }: Pick<SearchProblem, "cells" | "choices">,
  ruled: readonly Ruled[],
  live: readonly number[],
): Leaf[] {
  return cells.flatMap(({ rows }, cell): Leaf[] => {
    const found = live.includes(cell) ? undefined : ruled.find((r) => r.cell === cell && r.sets === "all");
    if (!found?.multipliers) return [];
    const end = (at: 0 | -1) => Float64Array.from(choices, (c) => c.at(at) ?? 0);
    return [{ cell, low: end(0), high: end(-1), proof: proofOf(rows, found.multipliers, false) }];
  });
}
