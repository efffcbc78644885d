import type { ACID_IDS, ALLERGEN_IDS, CAUTION_IDS, ROLE_IDS, SUGAR_IDS } from "../ids.ts";
export type SugarId = (typeof SUGAR_IDS)[number];
export type AcidId = (typeof ACID_IDS)[number];

/** A number that says where it came from. `sd` is the standard uncertainty in the same unit. */
export interface SourcedValue {
  readonly value: number;
  readonly sd: number;
  /** Key into the source table. */
  readonly source: string;
  /** True when the value was recalled and not read in the source. */
  readonly memory?: boolean;
  readonly note?: string;
}

/** What an ingredient does in a drink; a swap stays within a role unless the user says otherwise. */
export type Role = (typeof ROLE_IDS)[number];

/** Declared allergens that a bar's pantry can hold (Reg. (EU) 1169/2011, Annex II). */
export type AllergenId = (typeof ALLERGEN_IDS)[number];

/** Keys of the caution texts in reference-data. */
export type CautionId = (typeof CAUTION_IDS)[number];

/**
 * Read-only throughout: what follows from an ingredient is worked out once and kept with it. An edited one is
 * a new one.
 */
export interface Ingredient {
  readonly id: string;
  readonly name: string;
  readonly role: Role;
  /** What it is within its role ("rum", "citrus"): the nearest swaps share it. Absent: not said. */
  readonly kind?: string;
  /** Lower-case words people write for it. */
  readonly aliases: readonly string[];
  readonly abvPercent: SourcedValue;
  readonly sugarsGPer100Ml: Readonly<Partial<Record<SugarId, SourcedValue>>>;
  readonly acidsGPer100Ml: Readonly<Partial<Record<AcidId, SourcedValue>>>;
  /** Density at 20 °C. Absent: computed by the mixing rule from the composition, water filling the rest. */
  readonly densityGPerMl?: SourcedValue;
  /** Protein, fat, fibre, minerals: mass that is neither ethanol, sugar, acid nor water. */
  readonly otherSolidsGPer100Ml?: SourcedValue;
  /** Charge of the potassium, sodium, calcium and magnesium that buffer it, meq/L: for its pH. */
  readonly cationsMeqPerL?: SourcedValue;
  /** Fizzy or delicate: goes in after the shake and takes no melt water. */
  readonly addAfterDilution?: boolean;
  /** Volume of one piece in mL (an egg white, the juice of a lime). */
  readonly pieceMl?: SourcedValue;
  /** Juice of one wedge as bars cut it, mL. */
  readonly wedgeMl?: SourcedValue;
  /** In any bar's reach, so that it may be suggested. */
  readonly staple?: boolean;
  /** Stands for a name that leaves its kind open ("sugar syrup"): its doubt is that of the spec, not of the bottle. */
  readonly unstated?: boolean;
  /** Sets or splits when it meets acid. */
  readonly curdles?: boolean;
  /** For syrups and thinned honey: the base and its strength, so a strength change can be proposed. */
  readonly syrup?: Readonly<{ family: string; ratio: string }>;
  readonly cautions?: readonly CautionId[];
  /** Other sources' figures that disagree, shown beside the one used. */
  readonly disagreements?: readonly (Omit<SourcedValue, "memory"> &
    Readonly<{ quantity: string; unit: string }>)[];
  readonly note?: string;
  /** Set for ingredients the user made or edited. */
  readonly own?: boolean;
}

export type Pantry = ReadonlyMap<string, Ingredient>;
