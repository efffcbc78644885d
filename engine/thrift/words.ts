import { AXES, AXIS_INDICES, showOnAxis, toVec } from "../axes.ts";
import type { AllergenId, CautionId } from "../types.ts";
import { joinWords } from "../wording.ts";
import type { Care } from "./care.ts";
import type { CostSoFar } from "./cost.ts";
import type { Need } from "./needs.ts";
import type { Served } from "./served.ts";
import type { SmallPour } from "./small-pour.ts";
import type { SplitBuild } from "./split-build.ts";

const ALLERGEN_WORDS: Readonly<Record<AllergenId, string>> = {
  egg: "egg",
  milk: "milk",
  nuts: "nuts",
  sulphites: "sulphites",
  gluten: "cereals with gluten",
  soy: "soy",
  celery: "celery",
  fish: "fish",
};

/** What it cost, and what the sum lacks. */
export function costWords({ known, unpriced }: CostSoFar): string {
  const lacks = joinWords(unpriced.map(({ name }) => name));
  return unpriced.length === 0
    ? `${known.toFixed(2)}.`
    : known === 0
      ? `no price yet for ${lacks}.`
      : `${known.toFixed(2)} without ${lacks}, which ${unpriced.length === 1 ? "has" : "have"} no price.`;
}

/** What to have at hand of one ingredient. */
export function needWords({ name, ml, bottles, pieces }: Need): string {
  const parts = [`${name}: ${ml.toFixed(ml < 10 ? 1 : 0)} mL`];
  if (pieces !== null) parts.push(piecesWords(pieces));
  else if (bottles !== null) parts.push(`${bottles.toFixed(2)} of a full bottle`);
  return `${parts.join(", ")}.`;
}

function piecesWords({ usual, poor }: NonNullable<Need["pieces"]>): string {
  const some = usual === 1 ? "1 piece" : `${usual} pieces`;
  if (poor === null) return `${some} at a usual yield, which varies too much to say more`;
  return poor > usual
    ? `${some} at a usual yield, ${poor} if they yield poorly`
    : `${some}, even of poor yield`;
}

/** What rounding does to a small pour. */
export function smallPourWords({ drift, heavy, placement }: SmallPour): string[] {
  const moves = AXIS_INDICES.flatMap((k) => {
    const by = toVec(drift)[k];
    const shown = showOnAxis(k, Math.abs(by));
    return Number(shown) === 0 ? [] : [`${AXES[k].name} ${by < 0 ? "−" : "+"}${shown}`];
  });
  return [
    moves.length === 0
      ? "Rounding to your measures leaves the point where it is."
      : `Rounding to your measures moves the point: ${joinWords(moves)}.`,
    ...heavy.map(
      ({ name }) => `${name}: the smallest measure is more than this share asks; weigh it, or mix more.`,
    ),
    ...(placement.dilution.because === "unusual-size"
      ? ["A drink this small melts another share of ice than the curve was read on: measure one."]
      : []),
  ];
}

/** What a split build shares. */
export function splitWords({ base, portionMl, variants }: SplitBuild): string {
  if (base.length === 0) return "These variants share nothing that can be poured ahead.";
  return `Mix ${joinWords(base.map(({ name }) => name))} once; ${portionMl.toFixed(1)} mL of it go into each of ${variants.length} glasses.`;
}

/** What was set before a taster. */
export function servedWords({ taster, glasses, standardDrinks: { us, uk, au } }: Served): string {
  return `${taster}: ${glasses} ${glasses === 1 ? "glass" : "glasses"}, at most ${us.toFixed(1)} US standard drinks (14 g), ${uk.toFixed(1)} UK units (8 g), ${au.toFixed(1)} of 10 g.`;
}

/** Said beside every count of what was served. */
export const SERVED_CAUTION =
  "A count of what was poured, not a limit and not advice: what is safe differs by person, medicine and law. Sips and spitting are usual; anyone may leave a glass or stop. No driving after tasting.";

/** Said where one of these is in any of the glasses. */
const CARE_WORDS: Readonly<Partial<Record<CautionId, string>>> = {
  "raw-egg":
    "Raw egg is among them: use pasteurised egg, always so for children, older or pregnant guests and anyone with weak immunity.",
  "grapefruit-medicines": "Grapefruit or its kin is among them: it changes how some medicines work.",
  quinine: "Quinine is among them: some people and some medicines rule it out.",
};

/** What to tell tasters before the first glass. */
export function careWords({ allergens, cautions, isComplete }: Care): string[] {
  const names = allergens.map((id) => ALLERGEN_WORDS[id]);
  return [
    names.length === 0
      ? "No allergens known of these glasses; labels and kitchens decide, so ask whoever pours."
      : `Among these glasses: ${joinWords(names)}. Labels and kitchens may add others.`,
    ...cautions.flatMap((id) => CARE_WORDS[id] ?? []),
    ...(isComplete ? [] : ["Something in them is not known here: ask whoever pours what it is."]),
    "Local law, food codes and licensed practice come first.",
  ];
}
