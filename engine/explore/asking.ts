import { under } from "../errors.ts";
import { type PreparedSpec, prepareSpec } from "../place/prepare-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import { type CompiledTarget, compileTarget } from "../targets/compile-target.ts";

/** Solvers refuse a budget of nothing; this is out of time for any of them. */
const NO_TIME_MS = 1e-3;

/**
 * The spec and the target read, or an error that names fields from the request's root as the solver
 * does. For answers that look at either before they solve; the rest of a request is the solver's to check.
 */
export function checkRequest({ spec, target, pantry, unitSettings }: SolveRequest): {
  prepared: PreparedSpec;
  target: CompiledTarget;
} {
  const prepared = under("/spec", () => prepareSpec(spec, pantry, { unitSettings }));
  return { prepared, target: compileTarget(target, "/target") };
}

/**
 * A request's `timeBudgetMs` spread over several solves that answer it together: each solve, as it comes, gets
 * an even share of what is left, so that what the quick ones spare goes to the slow. Without a clock and a
 * budget, requests pass as they are.
 *
 * @param solves how many will be asked for; those past that get no time
 */
export function shareTime(whole: SolveRequest, solves: number): (part: SolveRequest) => SolveRequest {
  const { now, timeBudgetMs } = whole;
  if (now === undefined || timeBudgetMs === undefined) return (part) => part;
  const end = now() + timeBudgetMs;
  let left = solves;
  return (part) => {
    const share = (end - now()) / Math.max(left, 1);
    left -= 1;
    return { ...part, timeBudgetMs: Math.max(left < 0 ? 0 : share, NO_TIME_MS) };
  };
}
