import { toVec } from "../axes.ts";
import { METHODS } from "../dilution/methods.ts";
import { chanceAtLeast } from "../doubt/chance-at-least.ts";
import { analyticProbability } from "../doubt/probability-inside.ts";
import { fail } from "../errors.ts";
import { dot3 } from "../linalg.ts";
import { coefficientsOf } from "../mix/coefficients.ts";
import { compositionDoubts } from "../mix/composition-doubts.ts";
import { type DoubtedPoint, doubtedPoint } from "../place/doubted-point.ts";
import { type PreparedSpec, prepareSpec } from "../place/prepare-spec.ts";
import { pouredSpec } from "../solve/poured-spec.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { solve } from "../solve/solve.ts";
import { normalQuantile } from "../stats.ts";
import { type CompiledTarget, compileTarget } from "../targets/compile-target.ts";
import type { Ingredient, Placement, Spec, Vec3 } from "../types.ts";
import { checkRequest } from "./asking.ts";

/** Chance that the real drink is inside, from the doubts of the spec's parts, with its point and doubts. */
export function chanceInside(
  request: Pick<SolveRequest, "pantry" | "unitSettings">,
  spec: Spec,
  target: CompiledTarget,
): { chance: number; placed: DoubtedPoint } {
  const placed = doubtedPoint(spec, request.pantry, { unitSettings: request.unitSettings });
  return { chance: chanceOf(placed, target), placed };
}

/** Chance that a placed drink is really inside. */
export function chanceOf(
  { point, covariance }: Pick<Placement, "point" | "covariance">,
  target: CompiledTarget,
): number {
  return analyticProbability(target, toVec(point), covariance).analytic;
}

/**
 * The request with its `minProbability` (0–1) turned into the solver's leaf test: a drink counts as inside
 * only if the chance that it really is reaches the asked one. The test only removes candidates, so the
 * answer stays proved minimal among those that pass. For chances above a half the solver is also told how
 * far inside each face such a drink must lie (`leastMargin`). A request without one is returned as it is.
 *
 * @throws EngineError if `minProbability` is not between 0 and 1
 */
export function withChance(request: SolveRequest): SolveRequest {
  const { minProbability } = request;
  if (minProbability === undefined) return request;
  if (!(minProbability > 0 && minProbability < 1)) {
    fail("/minProbability", `${minProbability} is not between 0 and 1`, "ask for a chance such as 0.8");
  }
  checkRequest(request);
  const target = compileTarget(request.target);
  const before = prepareSpec(request.spec, request.pantry, { unitSettings: request.unitSettings });
  const known = new Map<string, boolean>();
  return {
    ...request,
    shrink: leastMargin(request, before, target, minProbability),
    extraAccept: (volumesMl) => {
      const key = volumesMl.map((v) => v.toFixed(3)).join(",");
      const seen = known.get(key);
      if (seen !== undefined) return seen;
      const spec = pouredSpec(request, before, volumesMl);
      const { point, covariance } = doubtedPoint(spec, request.pantry, {
        unitSettings: request.unitSettings,
      });
      const accepted = chanceAtLeast(target, toVec(point), covariance, minProbability);
      known.set(key, accepted);
      return accepted;
    },
  };
}

/** Solve a request with its `minProbability` counted in; each proposal with its chance of being inside. */
export function solveWithChance(request: SolveRequest): SolveResult {
  const result = solve(withChance(request));
  if (result.proposals.length === 0) return result;
  const target = compileTarget(request.target);
  const proposals = result.proposals.map((proposal) => ({
    ...proposal,
    probabilityInside: chanceInside(request, proposal.spec, target).chance,
  }));
  return { ...result, proposals };
}

/** Kept back from every lower bound on a doubt, for what its first-order derivation leaves out. */
const DOUBT_SAFETY = 0.8;

/**
 * How far inside a face every drink that is inside with `chance` must lie, whatever its amounts (the face's
 * own unit, ≥ 0).
 *
 * Being inside the region is no likelier than being on the right side of one face n·p ≤ h, so n·p ≤ h − zσ
 * with z the normal quantile of the chance and σ the doubt along n. Two lower bounds on σ that hold for
 * every mixture of the ingredients:
 * - the doubt of the ice water scales the whole point, so σ ≥ κ|n·p|, with κ from the doubt of the ratio and
 *   the most that ice can add (0 when some lines take no ice);
 * - sugar and acid come from the ingredients with their own doubts: for a total A = Σ xᵢaᵢ the variance
 *   Σ xᵢ²dᵢ² is at least A²/Σ(aᵢ/dᵢ)² (Cauchy–Schwarz), and A is at least the region's least.
 */
function leastMargin(
  request: SolveRequest,
  before: PreparedSpec,
  target: CompiledTarget,
  chance: number,
): (normal: Vec3) => number {
  const z = normalQuantile(chance);
  if (z <= 0) return () => 0;
  const kappa = DOUBT_SAFETY * leastRatioShare(request, before);
  const [least] = target.boundingBox;
  const ids = new Set([...request.spec.lines.map((line) => line.ingredient), ...(request.additions ?? [])]);
  const ingredients = [...ids].flatMap((id) => request.pantry.get(id) ?? []);
  const sugarSd = DOUBT_SAFETY * Math.max(least[0], 0) * leastRelativeSd(ingredients, "sugar");
  const acidSd = DOUBT_SAFETY * Math.max(least[1], 0) * leastRelativeSd(ingredients, "acid");
  return (normal) => {
    const h = dot3(normal, target.support(normal));
    // n·p ≤ h − zκ|n·p| solved for n·p, on either side of zero.
    const byIce = h >= 0 ? h - h / (1 + z * kappa) : z * kappa < 1 ? h - h / (1 - z * kappa) : 0;
    const byParts = z * Math.hypot(normal[0] * sugarSd, normal[1] * acidSd);
    return Math.max(byIce, byParts, 0);
  };
}

/** Least share of the point that one standard uncertainty of the ice water moves it by. */
function leastRatioShare(request: SolveRequest, { model }: PreparedSpec): number {
  const added = (request.additions ?? []).some((id) => request.pantry.get(id)?.addAfterDilution);
  if (added || model.stages.includes("top")) return 0;
  const { dilution } = request.spec;
  const { a2, a1, a0, heat } = model.dilution;
  // Only a plain curve has a doubt of the ratio that is known for all pours.
  if (heat !== null || dilution?.model === "measured" || dilution?.calibration !== undefined) return 0;
  const peak = a2 < 0 ? Math.min(Math.max(-a1 / (2 * a2), 0), 1) : 0;
  const most = Math.max(a0, (a2 * peak + a1) * peak + a0);
  return METHODS[model.method].sd / (1 + most);
}

/** 1/√Σ(a/d)² over the ingredients that hold any; 0 when one is certain. */
function leastRelativeSd(ingredients: readonly Ingredient[], quantity: "sugar" | "acid"): number {
  let sum = 0;
  for (const ingredient of ingredients) {
    const coeffs = coefficientsOf(ingredient);
    const [amount, part] =
      quantity === "sugar"
        ? ([coeffs.sugarG, "sugarG"] as const)
        : ([coeffs.acidCitricEqG, "acidCitricEqG"] as const);
    if (amount === 0) continue;
    const sd = Math.hypot(
      ...compositionDoubts(ingredient)
        .filter((doubt) => doubt.quantity === quantity)
        .map((doubt) => doubt.change[part]),
    );
    if (sd === 0) return 0;
    sum += (amount / sd) ** 2;
  }
  return sum > 0 ? 1 / Math.sqrt(sum) : 0;
}
