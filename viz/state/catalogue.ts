import { type Catalogue, createCatalogue, USUAL_COVERAGE } from "../../engine/catalogue.ts";
import { EngineError } from "../../engine/errors.ts";
import type { Pantry, Spec } from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import type { TargetPart } from "./view.ts";

const kept = new WeakMap<PageData, Catalogue>();

/** The one catalogue over the page's data: placing the classics twice would be felt. */
export function catalogueOf(data: PageData): Catalogue {
  const catalogue = kept.get(data) ?? createCatalogue(data);
  kept.set(data, catalogue);
  return catalogue;
}

/** The range of a family as a target. */
export const familyPart = (family: string): TargetPart => ({
  kind: "family",
  family,
  coverage: USUAL_COVERAGE,
});

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
