import { DEFAULT_UNIT_SETTINGS, ML_PER_UNIT } from "../amounts/units.ts";
import { requireShare } from "../errors.ts";
import { type PlaceOptions, place } from "../place/place.ts";
import { servingIce } from "../place/wash-line.ts";
import { allergensOf } from "../prep/keeping.ts";
import type { Glass, Pantry, Spec, UnitSettings } from "../types.ts";
import { CARD_FORM, type Card, type CardShown } from "./types.ts";

/** What a card is made from besides the spec. */
export interface CardOptions extends PlaceOptions, Pick<Card, "garnish" | "notes"> {
  /** Part of the price that the pours cost, 0..1: 0.2 is a pour cost of 20 %. */
  pourCost?: number;
}

/** The pantry a card is read against: its own ingredients over the ones at hand. */
export function pantryOf(card: Card, pantry: Pantry): Pantry {
  return new Map([...pantry, ...(card.ingredients ?? []).map((i) => [i.id, i] as const)]);
}

/**
 * The card of a spec. Ingredients of one's own travel with it whole, and sizes of spoon and dash where they are not
 * the usual ones, so that it comes to the same point wherever it is read.
 *
 * @throws EngineError as `place`; for a pour cost that is no share
 */
export function makeCard(spec: Spec, pantry: Pantry, options: CardOptions = {}): Card {
  const { garnish, notes, unitSettings } = options;
  const used = new Set(spec.lines.flatMap((line) => pantry.get(line.ingredient) ?? []));
  const own = [...used].filter((ingredient) => ingredient.own);
  return {
    form: CARD_FORM,
    spec,
    ...(garnish !== undefined && garnish !== "" && { garnish }),
    ...(notes !== undefined && notes !== "" && { notes }),
    ...(unitSettings !== undefined && !isUsual(unitSettings) && { unitSettings }),
    ...(own.length > 0 && { ingredients: own }),
    shown: shownOf(spec, pantry, options),
  };
}

function isUsual(settings: UnitSettings): boolean {
  return (Object.keys(DEFAULT_UNIT_SETTINGS) as (keyof UnitSettings)[]).every(
    (key) => settings[key] === DEFAULT_UNIT_SETTINGS[key],
  );
}

function shownOf(spec: Spec, pantry: Pantry, options: CardOptions): CardShown {
  const { pourCost, glasses } = options;
  if (pourCost !== undefined) requireShare(pourCost, "/pourCost", "give a share such as 0.2");
  const p = place(spec, pantry, { ...options, doubts: false });
  const glass: Glass | undefined = glasses?.find((g) => g.id === spec.glass);
  return {
    lines: p.lines.map(({ name, volumeMl }) => ({ name, ml: volumeMl, usFlOz: volumeMl / ML_PER_UNIT.oz })),
    glass: glass?.name ?? null,
    servedOn: servingIce(spec, glass),
    finishedVolumeMl: { value: p.finishedVolumeMl, sd: p.finishedVolumeSdMl },
    abvPercent: { value: p.point.abvPercent, sd: p.sd.abvPercent },
    sugarGPer100Ml: { value: p.point.sugarGPer100Ml, sd: p.sd.sugarGPer100Ml },
    acidGPer100Ml: { value: p.point.acidGPer100Ml, sd: p.sd.acidGPer100Ml },
    standardDrinksUs: p.standardDrinks.us,
    energyKcal: p.energyKcal,
    allergens: allergensOf(p.cautions),
    cautions: p.cautions,
    cost: p.cost,
    price: p.cost !== null && pourCost !== undefined ? p.cost / pourCost : null,
  };
}
