import { allergensOf } from "../prep/keeping.ts";
import type { AllergenId, CautionId, Pantry, Spec } from "../types.ts";

/** What to know before anybody tastes: of all the glasses together, so that no code gives its round away. */
export interface Care {
  allergens: AllergenId[];
  cautions: CautionId[];
  /** False where something poured is not known here: then there may be more. */
  isComplete: boolean;
}

/** Allergens and cautions of what is poured into glasses served together; a spec not at hand is undefined. */
export function careOf(specs: readonly (Pick<Spec, "lines"> | undefined)[], pantry: Pantry): Care {
  const lines = specs.flatMap((spec) => spec?.lines ?? []);
  const poured = lines.map(({ ingredient }) => pantry.get(ingredient));
  const cautions = [...new Set(poured.flatMap((known) => known?.cautions ?? []))];
  const isComplete = [...specs, ...poured].every((known) => known !== undefined);
  return { allergens: allergensOf(cautions), cautions, isComplete };
}
