import { nearestRung, nextRung } from "../amounts/ladder.ts";
import { lineAtVolume } from "../amounts/line.ts";
import { DEFAULT_UNIT_SETTINGS } from "../amounts/units.ts";
import { toPoint, toVec } from "../axes.ts";
import { requireShare } from "../errors.ts";
import { subtract3 } from "../linalg.ts";
import { type PlaceOptions, place } from "../place/place.ts";
import { lineVolume, prepareSpec } from "../place/prepare-spec.ts";
import type { DilutionChoice, Pantry, PourLadder, Spec } from "../types.ts";

/** A round mixed small, as the tools can pour it. */
export type SmallPour = ReturnType<typeof smallPour>;

/**
 * A share of a drink, each pour rounded to the ladder. Nothing is rounded away: what is smaller than the smallest
 * measure is poured as one, and named. A measured dilution is scaled with the drink.
 *
 * @throws EngineError for a share that is not above 0 and at most 1; as `place`
 */
export function smallPour(
  spec: Spec,
  share: number,
  ladder: PourLadder,
  pantry: Pantry,
  options: PlaceOptions = {},
) {
  requireShare(share, "/share", "give a share such as 0.5");
  const settings = options.unitSettings ?? DEFAULT_UNIT_SETTINGS;
  // Names every bad line at once, before any is rounded.
  prepareSpec(spec, pantry, options);
  // Of which even the smallest measure is more than the share asks.
  const heavy: { ingredient: string; name: string; askedMl: number; pouredMl: number }[] = [];
  const lines = spec.lines.map((line, i) => {
    const ingredient = pantry.get(line.ingredient)!;
    const askedMl = share * lineVolume(line, i, ingredient, settings).ml;
    if (askedMl === 0) return line;
    const rung = nearestRung(askedMl, ladder, ingredient, settings);
    const pouredMl = rung > 0 ? rung : nextRung(0, ladder, 1, ingredient, settings);
    if (rung === 0) heavy.push({ ingredient: ingredient.id, name: ingredient.name, askedMl, pouredMl });
    return lineAtVolume(line, pouredMl, ladder, ingredient, settings);
  });
  const scaled = { ...spec, dilution: spec.dilution && dilutionOf(spec.dilution, share) };
  const small: Spec = { ...scaled, lines };
  const asked = spec.lines.map((line) => ({ ...line, amount: share * line.amount }));
  // The small glass, the same share of the full one poured exactly, and what the rounding does to the point.
  const placement = place(small, pantry, options);
  const exact = place({ ...scaled, lines: asked }, pantry, options);
  const drift = toPoint(subtract3(toVec(placement.point), toVec(exact.point)));
  return { spec: small, placement, exact, drift, heavy };
}

function dilutionOf(choice: DilutionChoice, share: number): DilutionChoice {
  if (choice.model !== "measured") return choice;
  const { model: _, ...measured } = choice;
  const scaled = Object.entries(measured).map(([key, value]) => [key, share * value]);
  return { model: "measured", ...Object.fromEntries(scaled) };
}
