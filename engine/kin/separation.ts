import { scaledDistance } from "../axes.ts";
import { createCatalogue, USUAL_COVERAGE } from "../catalogue.ts";
import { finishSpec } from "../place/prepare-spec.ts";
import { compileTarget } from "../targets/compile-target.ts";
import { familyTarget } from "../targets/family-target.ts";
import type { EraId, ReferenceData } from "../types.ts";
import { spoilsOf } from "./spoil.ts";

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
  return data.families.flatMap(({ id: family, ratio }): Separation[] => {
    const id = `family:${family}${era === null ? "" : `:${era}`}`;
    const drinks = data.balanced.filter((drink) => drink.family === family);
    if (drinks.length === 0 || !has(id)) return [];
    const members = view().members(id);
    const judged = drinks.map(({ id: drink, spec }) => {
      const { point } = finishSpec(spec, pantry);
      const others = members.filter((m) => scaledDistance(m.point, point) > SAME_POINT);
      const { contains } = compileTarget(familyTarget(others, coverage, { ratio }).target);
      const spoils = spoilsOf(spec, pantry).map((spoil) => ({
        id: `${drink}: ${spoil.id}`,
        point: spoil.point,
      }));
      return { drink, isInside: contains(point), spoils, admitted: spoils.filter((s) => contains(s.point)) };
    });
    const missed = judged.flatMap(({ drink, isInside }) => (isInside ? [] : [drink]));
    const admitted = judged.flatMap((of) => of.admitted.map((spoil) => spoil.id));
    const balanced = drinks.length;
    const spoiled = judged.flatMap(({ spoils }) => spoils).length;
    const [inside, outside] = [balanced - missed.length, spoiled - admitted.length];
    return [{ family, inside, balanced, outside, spoiled, missed, admitted }];
  });
}
