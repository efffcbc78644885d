import type { PlaceOptions } from "../place/place.ts";
import { changesBetween } from "../trail/changes.ts";
import type { Pantry, Round, TrailChange } from "../types.ts";

/** Two rounds side by side. */
export interface Comparison {
  /** What is different in the second, each as "Lime juice ½ oz → ¾ oz". */
  changes: Omit<TrailChange, "share">[];
  /** The same in one line; null when nothing is. */
  line: string | null;
  /** Tasting cannot say which of several changes did it. */
  moreThanOne: boolean;
}

/**
 * What changed from one round to another, however far apart in the tree.
 *
 * @throws EngineError for a spec that cannot be placed
 */
export function compareRounds(
  from: Pick<Round, "spec">,
  to: Pick<Round, "spec">,
  pantry: Pantry,
  options: PlaceOptions = {},
): Comparison {
  const changes = changesBetween(from.spec, to.spec, pantry, options).changes.map(
    ({ ingredient, kind, fromMl, toMl, text }) => ({ ingredient, kind, fromMl, toMl, text }),
  );
  return {
    changes,
    line: changes.length === 0 ? null : changes.map(({ text }) => text).join("; "),
    moreThanOne: changes.length > 1,
  };
}
