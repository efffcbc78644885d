import { incompleteBeta } from "../../engine/stats.ts";

/** Student t distribution function, `df` > 0 degrees of freedom (DLMF 8.17). */
export function tCdf(x: number, df: number): number {
  const tail = 0.5 * incompleteBeta(df / 2, 0.5, df / (df + x * x), (x * x) / (df + x * x));
  return x < 0 ? tail : 1 - tail;
}
