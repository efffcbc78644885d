import type { Placement } from "../types.ts";

/** What glasses cost, as far as their prices are known. */
export interface CostSoFar {
  /** Of the lines with a price, in the currency of the prices. */
  known: number;
  /** Ingredients poured without a price, each once: the sum lacks them. */
  unpriced: { ingredient: string; name: string }[];
}

/** Cost of a round (one glass) or of a bench (every glass mixed); glasses placed without prices are all unpriced. */
export function costOf(glasses: readonly Pick<Placement, "lines">[]): CostSoFar {
  let known = 0;
  const unpriced = new Map<string, string>();
  for (const { ingredient, name, volumeMl, cost } of glasses.flatMap(({ lines }) => lines)) {
    if (cost !== null) known += cost;
    else if (volumeMl > 0) unpriced.set(ingredient, name);
  }
  return { known, unpriced: [...unpriced].map(([ingredient, name]) => ({ ingredient, name })) };
}
