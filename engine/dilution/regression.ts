import type { Method } from "../types.ts";
import { METHODS, ratioAt } from "./methods.ts";

/**
 * Published (or, for other methods than shaken and stirred, estimated) dilution: mL of water from
 * ice per mL poured into the mix. Sources and uncertainties are in `METHODS`.
 *
 * @param abvFraction mL ethanol / mL poured, 0..1
 */
export function regressionRatio(method: Method, abvFraction: number): number {
  return ratioAt(METHODS[method].regression, abvFraction);
}

/**
 * Strengths of the undiluted mix, as fractions, at which the published curves are trusted. The fitted range
 * was not read; this is our judgement from the drinks that the author reports.
 */
export const CURVE_STRENGTH = [0.1, 0.5] as const;

/**
 * How fast the doubt grows outside that range, ratio per unit of strength. Without alcohol everything hangs on
 * whether the juice was cold (0.1 more at room temperature); at 57 % vol, where the curve bends over, a heat
 * balance with usual ice says 0.2 more (`tests/published/melt-water.test.ts`).
 */
const BEYOND = { below: 1, above: 3 } as const;

/** Standard uncertainty of the curve's ratio at a strength (mL ethanol / mL poured), absolute. */
export function curveRatioSd(method: Method, abvFraction: number): number {
  const { sd, kind } = METHODS[method];
  if (kind === "exact") return 0;
  const [least, most] = CURVE_STRENGTH;
  const beyond =
    BEYOND.below * Math.max(0, least - abvFraction) + BEYOND.above * Math.max(0, abvFraction - most);
  return Math.hypot(sd, beyond);
}
