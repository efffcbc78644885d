import { type Catalogue, createCatalogue, USUAL_COVERAGE } from "../../engine/catalogue.ts";
import { EngineError } from "../../engine/errors.ts";
import { ERA_IDS } from "../../engine/ids.ts";
import { familyName } from "../../engine/targets/words.ts";
import type { EraId, Pantry, Spec } from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import type { TargetPart } from "./view.ts";

const kept = new WeakMap<PageData, Catalogue>();

/** The one catalogue over the page's data: placing the classics twice would be felt. */
export function catalogueOf(data: PageData): Catalogue {
  const catalogue = kept.get(data) ?? createCatalogue(data);
  kept.set(data, catalogue);
  return catalogue;
}

/** The range of a family as a target, in all or of one era. */
export const familyPart = (family: string, era?: EraId): TargetPart => ({
  kind: "family",
  family,
  coverage: USUAL_COVERAGE,
  ...(era && { era }),
});

/** Families with classics enough for a range, each followed by its eras that have enough; `n` is how many. */
export function familiesToAimAt(data: PageData): { family: string; era?: EraId; name: string; n: number }[] {
  const { ids } = catalogueOf(data);
  return data.families.flatMap((family) =>
    [undefined, ...ERA_IDS].flatMap((era) => {
      if (!ids.includes(familyRegionId(family.id, era))) return [];
      const of = data.drinks.filter(
        (drink) => drink.families.includes(family.id) && (era === undefined || drink.era === era),
      );
      const name = familyName(family.name, era ?? null);
      return [{ family: family.id, ...(era && { era }), name, n: of.length }];
    }),
  );
}

/** The catalogue's id for the range of a family. */
export const familyRegionId = (family: string, era?: EraId): string =>
  `family:${family}${era === undefined ? "" : `:${era}`}`;

/** The range of the family a drink is likeliest of; null for one that cannot be placed, or is nothing yet. */
export function likeliestTarget(data: PageData, spec: Spec, pantry: Pantry): TargetPart[] | null {
  try {
    const [family] = catalogueOf(data).view(spec).kin(spec, pantry).families;
    return family ? [familyPart(family.family)] : null;
  } catch (error) {
    if (error instanceof EngineError) return null;
    throw error;
  }
}
