import { toVec } from "../axes.ts";
import { chanceAtLeast } from "../doubt/chance-at-least.ts";
import { probabilityInside } from "../doubt/probability-inside.ts";
import { fail } from "../errors.ts";
import { doubtedPoint } from "../place/doubted-point.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { solve } from "../solve/solve.ts";
import { type CompiledTarget, compileTarget } from "../targets/compile-target.ts";
import type { Placement, Spec } from "../types.ts";
import { checkRequest, shareTime } from "./asking.ts";
import type { Reading } from "./changed-spec.ts";
import { HoldMargin } from "./hold-margin.ts";
import { PouredDoubts } from "./poured-doubts.ts";

type Placed = Pick<Placement, "point" | "covariance">;

/** Chance that the real drink is inside, from the doubts of the spec's parts, with its point and doubts. */
export function chanceInside(request: Reading, spec: Spec, target: CompiledTarget) {
  const placed = doubtedPoint(spec, request.pantry, request);
  return { chance: chanceOf(placed, target), placed };
}

/** Chance that a placed drink is really inside. */
export function chanceOf({ point, covariance }: Placed, target: CompiledTarget): number {
  return probabilityInside(target, toVec(point), covariance);
}

/**
 * The request with its `minProbability` (0–1) turned into the solver's leaf test: a drink counts as inside
 * only if the chance that it really is reaches the asked one. The test only removes candidates, so the
 * answer stays proved minimal among those that pass. For chances above a half the solver is also told how
 * far inside each face such a drink must lie (`HoldMargin`). A request without one is returned as it is.
 *
 * @throws EngineError if `minProbability` is not between 0 and 1
 */
export function withChance(request: SolveRequest): SolveRequest {
  const { minProbability } = request;
  if (minProbability === undefined) return request;
  if (!(minProbability > 0 && minProbability < 1)) {
    fail("/minProbability", `${minProbability} is not between 0 and 1`, "ask for a chance such as 0.8");
  }
  const { prepared, target } = checkRequest(request);
  const doubts = new PouredDoubts(request, prepared);
  const margin = new HoldMargin(request, doubts, target, minProbability);
  const known = new Map<string, boolean>();
  return {
    ...request,
    shrink: (normal, box) => margin.of(normal, box),
    extraAccept: (volumesMl, { point }) => {
      const key = volumesMl.map((v) => v.toFixed(3)).join(",");
      const seen = known.get(key);
      if (seen !== undefined) return seen;
      const accepted = chanceAtLeast(target, point, doubts.covariance(volumesMl), minProbability);
      known.set(key, accepted);
      return accepted;
    },
  };
}

/** Solve a request with its `minProbability` counted in; each proposal with its chance of being inside. */
export function solveWithChance(request: SolveRequest): SolveResult {
  const time = shareTime(request, 1);
  const prepared = withChance(request);
  const result = solve(time.of(prepared));
  if (result.proposals.length === 0) return result;
  const target = compileTarget(request.target);
  const proposals = result.proposals.map((proposal) => ({
    ...proposal,
    probabilityInside: chanceInside(request, proposal.spec, target).chance,
  }));
  return { ...result, proposals };
}
