import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import type { PlaceOptions } from "../../engine/place/place.ts";
import type { UnitSettings } from "../../engine/types.ts";
import type { IncludeId } from "../answer/lean.ts";
import type { Catalogue } from "../catalogue.ts";
import type { ReadSettings } from "./spec.ts";

export interface Settings {
  unitSettings?: Partial<UnitSettings> | undefined;
  pricePerLitre?: Record<string, number> | undefined;
}

/** The caller's sizes over the defaults; those left out keep theirs. */
export function unitSettingsOf({ unitSettings }: Settings): UnitSettings {
  return { ...DEFAULT_UNIT_SETTINGS, ...unitSettings };
}

export function pricesOf({ pricePerLitre }: Settings): ReadonlyMap<string, number> | undefined {
  return pricePerLitre && new Map(Object.entries(pricePerLitre));
}

/** What reading a text takes from a request. */
export function readSettings(body: Settings, catalogue: Catalogue): ReadSettings {
  return { unitSettings: unitSettingsOf(body), glasses: catalogue.glasses };
}

/** What placing a drink takes from a request. */
export function placeOptions(
  body: Settings,
  catalogue: Catalogue,
  include: readonly IncludeId[] = [],
): PlaceOptions {
  return {
    unitSettings: unitSettingsOf(body),
    glasses: catalogue.glasses,
    prices: pricesOf(body),
    doubts: include.includes("doubts"),
  };
}
