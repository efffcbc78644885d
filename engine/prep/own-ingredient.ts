import { fail } from "../errors.ts";
import { coefficientsOf } from "../mix/coefficients.ts";
import type { Ingredient, Role } from "../types.ts";
import { own, sugarFromBrix, USUAL_SD } from "./measure.ts";

/** An ingredient of one's own as its maker states it: what is left out is none, or follows from the rest. */
export interface OwnStatement {
  id: string;
  name: string;
  role: Role;
  /** % vol. */
  abvPercent?: number | undefined;
  /** g/100 mL; or `brix`, never both. */
  sugarGPer100Ml?: number | undefined;
  /** As a refractometer that corrects for temperature shows it, °Bx. */
  brix?: number | undefined;
  /** Titratable, as citric acid, g/100 mL. */
  acidGPer100Ml?: number | undefined;
  /** At 20 °C, g/mL; left out it is worked out from the rest. */
  densityGPerMl?: number | undefined;
}

/** What a figure off a label or a hand instrument may be out by, as a share of it (estimate). */
const STATED_SHARE = 0.03;

/**
 * An ingredient from what its maker states, ready to be poured. Sugar counts as sucrose and acid as citric; a
 * Brix is taken apart with the strength and the acid (see sugarFromBrix).
 *
 * @throws EngineError naming the figure that cannot be, and what would do
 */
export function ownIngredient(said: OwnStatement): Ingredient {
  const { id, role, abvPercent = 0, sugarGPer100Ml, brix, acidGPer100Ml = 0, densityGPerMl } = said;
  const name = said.name.trim();
  if (name === "") fail("/name", "it has no name", "write what you call it");
  if (sugarGPer100Ml !== undefined && brix !== undefined) {
    fail("/brix", "both a sugar and a Brix are given", "give one of them");
  }
  const about = (value: number) => own(value, STATED_SHARE * value);
  const unsweet: Ingredient = {
    id,
    name,
    role,
    aliases: [name.toLowerCase()],
    abvPercent: own(abvPercent, abvPercent > 0 ? USUAL_SD.labelPercent : 0),
    sugarsGPer100Ml: {},
    acidsGPer100Ml: acidGPer100Ml > 0 ? { citric: about(acidGPer100Ml) } : {},
    ...(densityGPerMl !== undefined && { densityGPerMl: about(densityGPerMl) }),
    own: true,
  };
  const sugar =
    brix === undefined
      ? about(sugarGPer100Ml ?? 0)
      : sugarFromBrix(unsweet, { kind: "refractometer", readingBrix: brix }).sugarGPer100Ml;
  const made = sugar.value > 0 ? { ...unsweet, sugarsGPer100Ml: { sucrose: sugar } } : unsweet;
  coefficientsOf(made);
  return made;
}
