import { fQuantile } from "../../../engine/stats.ts";

/** Radius of Hotelling's prediction ellipsoid for one further point: √(p(n+1)(n−1)/(n(n−p)) F), p = 3 < n. */
export function hotellingRadius(n: number, coverage: number): number {
  return Math.sqrt(((3 * (n + 1) * (n - 1)) / (n * (n - 3))) * fQuantile(coverage, 3, n - 3));
}
