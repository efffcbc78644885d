import type { SolveResult } from "../../engine/solve/request.ts";

/** A result without its certificate's rows: they are most of its length, and only a checker reads them. */
export function withoutRows(result: SolveResult): SolveResult {
  const { rows: _rows, ranges: _ranges, ...certificate } = result.certificate;
  return { ...result, certificate };
}
