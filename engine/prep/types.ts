import type * as z from "zod/mini";
import type { STEEPED_IDS, STORAGE_IDS } from "../ids.ts";
import type { measurementShape, prepShape } from "../shapes/prep.ts";
import type { AcidId, AllergenId, CautionId, Ingredient, SourcedValue, SugarId } from "../types.ts";
import type { KeepingReason } from "./keeping.ts";

/*
 * Records of the prep bench. A prep is what goes into it, what was done, and what was measured of the batch;
 * everything else is worked out (`compilePreps`). Plain data: the store keeps these records, the API takes them,
 * the page edits them. Every figure that comes out is a `SourcedValue`: value, standard uncertainty, source.
 */

/** One thing that goes into a prep: a pantry id, or the id of another prep. */
export type PrepPart = Prep["parts"][number];

/** What was steeped and strained out. Its own sugar and acid are not counted unless measured. */
export type SteepedId = (typeof STEEPED_IDS)[number];

export type StorageId = (typeof STORAGE_IDS)[number];

/** A measurement of one batch. Sample temperatures in °C; `sd` replaces the instrument's usual uncertainty. */
export type PrepMeasurement = z.infer<typeof measurementShape>;

/** A measurement of one kind. */
export type Reading<K extends PrepMeasurement["kind"]> = Extract<PrepMeasurement, { kind: K }>;

/** A house-made ingredient, one batch of it. */
export type Prep = z.infer<typeof prepShape>;

/** What 100 mL holds, and what a batch weighs and fills. */
export interface Composition {
  massG: SourcedValue;
  volumeMl: SourcedValue;
  densityGPerMl: SourcedValue;
  abvPercent: SourcedValue;
  sugars: Partial<Record<SugarId, SourcedValue>>;
  acids: Partial<Record<AcidId, SourcedValue>>;
  otherSolidsGPer100Ml: SourcedValue;
  /** Sum of the sugars, g/100 mL. */
  sugarGPer100Ml: SourcedValue;
  /** Titratable, as anhydrous citric acid, g/100 mL. */
  acidGPer100Ml: SourcedValue;
  /** Everything dissolved, % by mass: what a refractometer would show were it all sucrose. */
  solidsPercent: SourcedValue;
  waterGPer100Ml: number;
}

/** A mixture worked out: what it holds, and the same for the pantry, like any other ingredient. */
export interface Made {
  composition: Composition;
  ingredient: Ingredient;
}

/** One figure that a measurement replaced. */
export interface Replaced {
  quantity: "sugar" | "acid" | "abv" | "density";
  before: SourcedValue;
  after: SourcedValue;
  by: PrepMeasurement["kind"];
}

/** What a prep becomes. */
export interface CompiledPrep extends Made {
  prep: Prep;
  replaced: Replaced[];
  /** Measured, or by charge balance where the parts' minerals are known; null where neither is so. */
  ph: SourcedValue | null;
  crystals: CrystalRisk[];
  keeping: Keeping;
  /** Last day of use, YYYY-MM-DD: its own keeping, and no longer than the preps inside it. */
  useBy: string;
  cautions: CautionId[];
  /** Ids of the preps inside it, at any depth. */
  contains: string[];
  /** Names of the parts, heaviest first. */
  partNames: string[];
}

/** What may come out of solution, and where. */
export interface CrystalRisk {
  what: "sucrose" | "glucose" | "citric";
  storedAt: "room" | "fridge";
  tempC: number;
  risk: "none" | "may" | "will";
  /** What is dissolved, and what the water holds: g per 100 g of water. */
  dissolvedGPer100GWater: number;
  holdsGPer100GWater: number;
}

/** How long it is kept at most, on the safe side. */
export interface Keeping {
  days: number;
  storage: StorageId;
  because: KeepingReason;
  /** Key into the source table. */
  source: string;
  /** The record says it stands warmer than that. */
  tooWarm: boolean;
}

/** What a label carries. */
export interface PrepLabel
  extends Pick<Prep, "name" | "batch" | "madeOn">,
    Pick<Keeping, "storage">,
    Pick<CompiledPrep, "useBy" | "ph" | "cautions">,
    Pick<Composition, "abvPercent" | "sugarGPer100Ml" | "acidGPer100Ml" | "solidsPercent" | "volumeMl"> {
  keptBecause: KeepingReason;
  keepingSource: string;
  /** Names of the parts, heaviest first. */
  ingredients: string[];
  allergens: AllergenId[];
}
