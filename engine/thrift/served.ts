import { requireShare } from "../errors.ts";
import type { Placement } from "../types.ts";

/** One glass, or a share of one, set before a taster. */
export interface Serving {
  taster: string;
  glass: Pick<Placement, "ethanolG" | "standardDrinks">;
  /** Part of the whole drink that was poured, above 0 and at most 1. */
  share: number;
}

/** What was set before one taster: the most that can have been drunk. */
export interface Served {
  taster: string;
  glasses: number;
  ethanolG: number;
  standardDrinks: Placement["standardDrinks"];
}

/**
 * Standard drinks served to each taster, in the order in which they first appear. Served, not drunk: sips and
 * spitting make it less, never more.
 *
 * @throws EngineError for a share that cannot be
 */
export function servedOf(servings: readonly Serving[]): Served[] {
  const sums = new Map<string, Served>();
  servings.forEach(({ taster, glass, share }, i) => {
    requireShare(share, `/servings/${i}/share`, "give 1 for a whole drink");
    const { us, uk, au } = glass.standardDrinks;
    const before = sums.get(taster);
    const so = before?.standardDrinks ?? { us: 0, uk: 0, au: 0 };
    sums.set(taster, {
      taster,
      glasses: (before?.glasses ?? 0) + 1,
      ethanolG: (before?.ethanolG ?? 0) + share * glass.ethanolG,
      standardDrinks: { us: so.us + share * us, uk: so.uk + share * uk, au: so.au + share * au },
    });
  });
  return [...sums.values()];
}
