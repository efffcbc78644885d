import { scaledDistance } from "../axes.ts";
import { createCatalogue, USUAL_COVERAGE } from "../catalogue.ts";
import { compileTarget } from "../targets/compile-target.ts";
import { familyTarget } from "../targets/family-target.ts";
import type { BalancedDrink, EraId, ReferenceData, Vec3 } from "../types.ts";
import { pointOf, type Spoil, spoilsOf } from "./spoil.ts";

/** How well one family's region tells balanced drinks from spoiled ones. */
export interface Separation {
  family: string;
  /** Balanced drinks inside, of how many. */
  inside: number;
  balanced: number;
  /** Spoiled drinks outside, of how many: seven for each balanced one. */
  outside: number;
  spoiled: number;
  /** Ids of the balanced drinks that fall out, and of the spoils ("daiquiri-even: half-acid") that stay in. */
  missed: string[];
  admitted: string[];
}

/** Two drinks closer than this, axis-scale units, are one point. */
const SAME_POINT = 1e-6;

/**
 * Judge the families' regions by drinks they were not made from: each balanced drink should be inside its
 * family's region, and outside it when spoiled. A reference drink at a balanced drink's very point is left out
 * of the family while that drink is judged.
 *
 * @param coverage of the regions
 * @param era only references of it; families with too few are left out
 */
export function separation(
  data: Pick<ReferenceData, "pantry" | "drinks" | "families" | "bands" | "balanced">,
  coverage = USUAL_COVERAGE,
  era: EraId | null = null,
): Separation[] {
  const { pantry, has, view } = createCatalogue(data);
  const found: Separation[] = [];
  for (const { id: family, ratio } of data.families) {
    const id = `family:${family}${era === null ? "" : `:${era}`}`;
    const drinks = data.balanced.filter((drink) => drink.family === family);
    if (drinks.length === 0 || !has(id)) continue;
    const members = view().members(id);
    const result = emptySeparation(family);
    for (const drink of drinks) {
      const point = pointOf(drink.spec, pantry);
      const others = members.filter((m) => scaledDistance(m.point, point) > SAME_POINT);
      const { contains } = compileTarget(familyTarget(others, coverage, { ratio }).target);
      judge(result, drink, contains(point), spoilsOf(drink.spec, pantry), contains);
    }
    found.push(result);
  }
  return found;
}

function judge(
  result: Separation,
  drink: BalancedDrink,
  isInside: boolean,
  spoils: readonly Spoil[],
  contains: (p: Vec3) => boolean,
): void {
  result.balanced += 1;
  if (isInside) result.inside += 1;
  else result.missed.push(drink.id);
  for (const spoil of spoils) {
    result.spoiled += 1;
    if (contains(spoil.point)) result.admitted.push(`${drink.id}: ${spoil.id}`);
    else result.outside += 1;
  }
}

function emptySeparation(family: string): Separation {
  return { family, inside: 0, balanced: 0, outside: 0, spoiled: 0, missed: [], admitted: [] };
}
