import type {
  AllergenId,
  CautionId,
  Ingredient,
  ServingIce,
  SourcedValue,
  Spec,
  UnitSettings,
} from "../types.ts";

/** What every card begins with: its form and version. */
export const CARD_FORM = "steelyard-card-1";

/** A figure and its standard uncertainty, same unit. */
export type Doubted = Pick<SourcedValue, "value" | "sd">;

/** What a card shows beside the spec: worked out when it was written, never read back. */
export interface CardShown {
  lines: { name: string; ml: number; usFlOz: number }[];
  glass: string | null;
  servedOn: ServingIce;
  finishedVolumeMl: Doubted;
  abvPercent: Doubted;
  sugarGPer100Ml: Doubted;
  acidGPer100Ml: Doubted;
  standardDrinksUs: number;
  energyKcal: number;
  allergens: AllergenId[];
  cautions: CautionId[];
  /** In the currency of the prices; null without them. */
  cost: number | null;
  /** Cost over the chosen pour cost. */
  price: number | null;
}

/** A spec handed over: all that makes the same drink somewhere else, and what it comes to. */
export interface Card {
  form: typeof CARD_FORM;
  spec: Spec;
  garnish?: string;
  notes?: string;
  /** Sizes of bar spoon, dash, drop and part where they are not the usual ones. */
  unitSettings?: UnitSettings;
  /** Ingredients of one's own that it uses, whole. */
  ingredients?: Ingredient[];
  shown?: CardShown;
}
