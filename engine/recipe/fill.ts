import { EngineError } from "../errors.ts";
import { finishSpec } from "../place/prepare-spec.ts";
import { roomInGlassMl } from "../place/wash-line.ts";
import type { Glass, Ingredient, Pantry, Spec, UnitSettings } from "../types.ts";

/** How near the wash line a hand pours, how full of ice the glass is and how alike glasses of one name are. */
const FILL_SHARE_SD = 0.1;
/** Less room than this is a glass too small, not a topping. */
const LEAST_FILL_ML = 20;
/** Glasses a topping usually goes in when none is named, the first with room for it taken: sparkling wine, and the rest. */
const USUAL_GLASSES = { wine: ["flute", "wine-glass"], other: ["highball", "tumbler-large"] };

/** How much fills the glass, or which glass has no room left. */
export type Fill =
  | { ml: number; sdMl: number; glass: Glass; named: boolean; roomMl: number }
  | { full: Glass }
  | null;

/**
 * How much of the last ingredient fills a drink to its glass's wash line, the ice it is served on counted. Null
 * when there is no glass to fill or nothing poured yet that says how full it is.
 */
export function fillTo(
  spec: Spec,
  top: Ingredient,
  pantry: Pantry,
  options: { glasses: readonly Glass[]; unitSettings: UnitSettings },
): Fill {
  let finishedMl = 0;
  if (spec.lines.length > 0) {
    try {
      finishedMl = finishSpec(spec, pantry, options).finishedVolumeMl;
    } catch (error) {
      if (!(error instanceof EngineError)) throw error;
      return null;
    }
  }
  const usual = top.role === "wine" ? USUAL_GLASSES.wine : USUAL_GLASSES.other;
  const glasses = (spec.glass === undefined ? usual : [spec.glass]).flatMap(
    (id) => options.glasses.find((g) => g.id === id) ?? [],
  );
  const [first] = glasses;
  const glass = glasses.find((g) => roomInGlassMl(spec, g) - finishedMl >= LEAST_FILL_ML);
  if (!glass) return first ? { full: first } : null;
  const roomMl = roomInGlassMl(spec, glass);
  const sdMl = FILL_SHARE_SD * glass.washLineMl;
  return { ml: roomMl - finishedMl, sdMl, glass, named: spec.glass !== undefined, roomMl };
}
