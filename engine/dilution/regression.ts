import type { Method } from "../types.ts";
import { METHODS } from "./methods.ts";

/**
 * Published (or, for other methods than shaken and stirred, estimated) dilution: mL of water from
 * ice per mL poured into the mix. Sources and uncertainties are in `METHODS`.
 *
 * @param abvFraction mL ethanol / mL poured, 0..1
 */
export function regressionRatio(method: Method, abvFraction: number): number {
  const { a2, a1, a0 } = METHODS[method].regression;
  return (a2 * abvFraction + a1) * abvFraction + a0;
}
