import { under } from "../errors.ts";
import { type PreparedSpec, prepareSpec } from "../place/prepare-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import { type CompiledTarget, compileTarget } from "../targets/compile-target.ts";

/** Solvers refuse a budget of nothing; this is out of time for any of them. */
const NO_TIME_MS = 1e-3;

/** The request's spec read, or an error that names fields from the request's root as the solver does. */
export function preparedSpec(request: Pick<SolveRequest, "spec" | "pantry" | "unitSettings">): PreparedSpec {
  return under("/spec", () => prepareSpec(request.spec, request.pantry, request));
}

/** The spec and the target. For answers that look at either before they solve; the rest is the solver's to check. */
export function checkRequest(request: SolveRequest): { prepared: PreparedSpec; target: CompiledTarget } {
  return { prepared: preparedSpec(request), target: compileTarget(request.target, "/target") };
}

/** A time budget shared by several solves. */
export interface TimeShares {
  /** The request with its share of what is left. */
  of(part: SolveRequest): SolveRequest;
  /** Less is left than the quickest solve so far took: what is still to be solved is better not begun. */
  isSpent(): boolean;
}

/**
 * A request's `timeBudgetMs` spread over several solves that answer it together: each solve, as it comes, gets
 * an even share of what is left, so that what the quick ones spare goes to the slow. Without a clock and a
 * budget, requests pass as they are.
 *
 * @param solves how many will be asked for; those past that get no time
 */
export function shareTime(whole: SolveRequest, solves: number): TimeShares {
  const { now, timeBudgetMs } = whole;
  if (now === undefined || timeBudgetMs === undefined) return { of: (part) => part, isSpent: () => false };
  const end = now() + timeBudgetMs;
  let left = solves;
  let begun: number | null = null;
  let quickestMs = Number.POSITIVE_INFINITY;
  return {
    isSpent: () => {
      const at = now();
      if (begun !== null) quickestMs = Math.min(quickestMs, at - begun);
      begun = null;
      return at >= end || (quickestMs < Number.POSITIVE_INFINITY && end - at < quickestMs);
    },
    of: (part) => {
      begun = now();
      const share = (end - begun) / Math.max(left, 1);
      left -= 1;
      return { ...part, timeBudgetMs: Math.max(left < 0 ? 0 : share, NO_TIME_MS) };
    },
  };
}
