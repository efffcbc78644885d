import type * as z from "zod/mini";
import type { ACID_IDS, ALLERGEN_IDS, CAUTION_IDS, ROLE_IDS, SUGAR_IDS } from "../ids.ts";
import type { ingredientShape } from "../shapes/ingredient.ts";

export type SugarId = (typeof SUGAR_IDS)[number];
export type AcidId = (typeof ACID_IDS)[number];

/** What an ingredient does in a drink; a swap stays within a role unless the user says otherwise. */
export type Role = (typeof ROLE_IDS)[number];

/** Declared allergens that a bar's pantry can hold (Reg. (EU) 1169/2011, Annex II). */
export type AllergenId = (typeof ALLERGEN_IDS)[number];

/** Keys of the caution texts in reference-data. */
export type CautionId = (typeof CAUTION_IDS)[number];

/** What a bottle holds, a source for each value. Read-only throughout: an edited one is a new one. */
export type Ingredient = z.infer<typeof ingredientShape>;

/** A number that says where it came from. `sd` is the standard uncertainty in the same unit. */
export type SourcedValue = Ingredient["abvPercent"];

export type Pantry = ReadonlyMap<string, Ingredient>;
