import type * as z from "zod/mini";
import type { LADDER_IDS, UNIT_IDS } from "../ids.ts";
import type { unitSettingsShape } from "../shapes/amounts.ts";

/** Units a spec line may use. `part` needs a part size; `piece` needs the ingredient's piece size. */
export type UnitId = (typeof UNIT_IDS)[number];

/** Sizes of the units that no standard defines, in mL, with their standard uncertainty; a "part" is exact. */
export type UnitSettings = z.infer<typeof unitSettingsShape>;

export type LadderId = (typeof LADDER_IDS)[number];

/**
 * The amounts the user's tools can measure. `rungsMl` semantics: an amount is on the ladder
 * if it is a whole multiple of `stepMl`, or, below `fineBelowMl`, a whole multiple of `fineStepMl`
 * (bar spoons, dashes). A scale ladder steps in grams and is converted through density.
 */
export interface PourLadder {
  id: LadderId;
  name: string;
  stepMl: number;
  fineStepMl?: number;
  fineBelowMl?: number;
  /** For scale ladders: the step in grams; `stepMl` is then ignored. */
  stepG?: number;
  displayUnit: UnitId;
}
