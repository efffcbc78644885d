import { fail } from "../errors.ts";
import { findRoot } from "../physics/find-root.ts";
import { type PlaceOptions, place } from "../place/place.ts";
import type { Ingredient, Pantry, Placement, Spec } from "../types.ts";

/** The two ways of giving a drink the acid its juice lacks, each placed. */
export interface AcidWays {
  /** The juice swapped for its adjusted self, amount for amount. */
  adjusted: { spec: Spec; placement: Placement };
  /** The juice left as it is and citrus added until the finished drink is as sour; null where none is enough. */
  added: { spec: Spec; placement: Placement; citrusMl: number } | null;
}

/** Most citrus that is tried, mL. */
const MOST_CITRUS_ML = 200;

/**
 * "Adjust the juice" beside "add lime": the same drink twice, equally sour on the map, so that what differs (volume,
 * sugar, strength, cost) can be seen.
 *
 * @param line index of the juice in the spec
 * @param adjusted the adjusted juice, already in the pantry or not
 * @throws EngineError from placing; for a line that is not there
 */
export function compareAcidWays(
  spec: Spec,
  line: number,
  adjusted: Ingredient,
  citrus: Ingredient,
  pantry: Pantry,
  options: PlaceOptions = {},
): AcidWays {
  if (spec.lines[line] === undefined) {
    fail("/line", `the spec has no line ${line}`, "give the juice's place in the spec, from 0");
  }
  const wider: Pantry = new Map([...pantry, [adjusted.id, adjusted], [citrus.id, citrus]]);
  const swapped: Spec = {
    ...spec,
    lines: spec.lines.map((l, i) => (i === line ? { ...l, ingredient: adjusted.id } : l)),
  };
  const first = place(swapped, wider, options);
  const withCitrus = (ml: number): Spec =>
    ml > 0 ? { ...spec, lines: [...spec.lines, { ingredient: citrus.id, amount: ml, unit: "ml" }] } : spec;
  const over = (ml: number) =>
    place(withCitrus(ml), wider, { doubts: false }).point.acidGPer100Ml - first.point.acidGPer100Ml;
  const result = { adjusted: { spec: swapped, placement: first } };
  if (over(0) < 0 && over(MOST_CITRUS_ML) < 0) return { ...result, added: null };
  const citrusMl = over(0) >= 0 ? 0 : findRoot(over, 0, MOST_CITRUS_ML, 1e-4);
  const sour = withCitrus(citrusMl);
  return { ...result, added: { spec: sour, placement: place(sour, wider, options), citrusMl } };
}
