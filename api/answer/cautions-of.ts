import { place } from "../../engine/place/place.ts";
import type { Caution, Pantry, Spec } from "../../engine/types.ts";
import type { Catalogue } from "../catalogue.ts";
import { type Settings, unitSettingsOf } from "../read/settings.ts";

/** The cautions of every drink an answer holds: the one asked about and those proposed. */
export function cautionsOf(
  specs: readonly (Spec | null)[],
  pantry: Pantry,
  settings: Settings,
  catalogue: Catalogue,
): Caution[] {
  const options = { doubts: false, unitSettings: unitSettingsOf(settings) };
  return catalogue.cautionsFor(
    specs.flatMap((spec) => (spec === null ? [] : place(spec, pantry, options).cautions)),
  );
}
