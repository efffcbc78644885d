import { inProportion, totalSugarGPer100Ml } from "../mix/coefficients.ts";
import { sucroseGPer100Ml } from "../physics/sucrose-water.ts";
import type { Ingredient, SourcedValue } from "../types.ts";
import { ratioNumber } from "./names.ts";

/*
 * A pantry ingredient at the strength or ratio that was typed: "bourbon 40 %", "honey syrup 4:1", "lactic acid
 * 10 %". The result is an ingredient of the user's own, so that placing it needs nothing else.
 */

/** Source id of a figure that was typed with a name. */
const TYPED = "typed";

/** Labels may be 0.3 % vol out (EU 1169/2011, Annex XII): a rectangle of that half width. */
const LABEL_ABV_SD = 0.3 / Math.sqrt(3);
/** A typed strength this near the entry's own is the entry. */
const SAME_PERCENT = 0.35;
/** Outside these multiples of the entry's strength the name is likely another product (our judgement). */
const LEAST_FACTOR = 0.5;
const MOST_FACTOR = 1.5;
/** Ratios nearer than this share are one ratio. */
const SAME_RATIO = 0.05;
/** By weight or by volume is rarely said: the two readings of one ratio lie some 7 % either side of their middle. */
const RATIO_SD_SHARE = 0.07;
/** Grams per 100 g or per 100 mL is rarely said of an acid; the two differ by the density. */
const SOLUTION_SD_SHARE = 0.03;
/** Density of weak solutions of food acids rises by about this per % (handbook tables, from memory). */
const ACID_DENSITY_PER_PERCENT = 0.004;

/** What the typed figure made of the entry: the entry itself, an own ingredient, or nothing sensible. */
export type Adjusted = {
  ingredient: Ingredient;
  /** The entry it was made of; null for the entry itself. */
  from: Ingredient | null;
} | null;
const asItIs = (ingredient: Ingredient): Adjusted => ({ ingredient, from: null });

/** An own ingredient made of a pantry entry by what was typed. */
export interface MadeIngredient {
  /** Pantry id of the entry. */
  from: string;
  ingredient: Ingredient;
}

const typed = (value: number, sd: number): SourcedValue => ({ value, sd, source: TYPED });

/** "45.5" → "45-5" for an id. */
const inId = (figure: string) => figure.replace(/[^\d]+/gu, "-");

/** The name up to its brackets: "Bourbon whiskey (45 % vol)" → "Bourbon whiskey". */
const withoutFigures = (name: string) => name.replace(/ \(.*$/u, "").replace(/,? \d+ %.*$/u, "");

function own(from: Ingredient, figure: string, says: string, change: Partial<Ingredient>): Adjusted {
  const { densityGPerMl: _density, pieceMl: _piece, ...kept } = from;
  const id = `${from.id}-at-${inId(figure)}`;
  const name = `${withoutFigures(from.name)} (${says}, as written)`;
  return { ingredient: { ...kept, ...change, id, name, aliases: [], own: true }, from };
}

/** Strength typed of something with alcohol. Sugar and acid stay as they are. */
function atAbv(base: Ingredient, percent: number): Adjusted {
  const abv = base.abvPercent.value;
  if (Math.abs(percent - abv) <= SAME_PERCENT) return asItIs(base);
  if (percent < LEAST_FACTOR * abv || percent > MOST_FACTOR * abv || percent > 96) return null;
  return own(base, String(percent), `${percent} % vol`, { abvPercent: typed(percent, LABEL_ABV_SD) });
}

/** Strength typed of an acid: a solution of that many grams per 100 g. */
function atAcidPercent(base: Ingredient, percent: number): Adjusted {
  const [acid, ...others] = Object.keys(base.acidsGPer100Ml) as (keyof Ingredient["acidsGPer100Ml"])[];
  if (acid === undefined || others.length > 0 || percent <= 0 || percent > 95) return null;
  const grams = percent * (1 + ACID_DENSITY_PER_PERCENT * percent);
  const acidsGPer100Ml = { [acid]: typed(grams, SOLUTION_SD_SHARE * grams) };
  return own(base, String(percent), `${percent} % solution`, { acidsGPer100Ml });
}

/**
 * The entry at a typed percentage: % vol of what holds alcohol, % by weight of an acid; of dairy and juice the
 * figure is fat or fruit and changes nothing here. Null when the figure makes no sense for it.
 */
export function atPercent(base: Ingredient, percent: number): Adjusted {
  if (base.abvPercent.value > 0) return atAbv(base, percent);
  if (base.role === "acid") return atAcidPercent(base, percent);
  return base.role === "dairy" ? asItIs(base) : null;
}

/** Sugar of a syrup by a rule of the family's: from its undiluted base by volume, else sugar to water by weight. */
function sugarAtRatio(family: readonly Ingredient[], ratio: string): number {
  const [a = 0, b = 0] = ratio.split(":").map(Number);
  const pure = family.find((i) => i.syrup?.ratio === "pure");
  return pure
    ? (totalSugarGPer100Ml(pure.sugarsGPer100Ml) * a) / (a + b)
    : sucroseGPer100Ml((100 * a) / (a + b));
}

/**
 * A syrup of the family at the ratio that was typed: the pantry's own if it has one, else the nearest with its
 * sugar worked out for that ratio. Null for what is no syrup with a ratio.
 */
export function atRatio(base: Ingredient, ratio: string, family: readonly Ingredient[]): Adjusted {
  const wanted = ratioNumber(ratio);
  if (!base.syrup || !(wanted > 0) || !Number.isFinite(wanted)) return null;
  const ratioOf = (i: Ingredient) => (i.syrup ? ratioNumber(i.syrup.ratio) : Number.NaN);
  const off = (i: Ingredient) => Math.abs(Math.log(ratioOf(i) / wanted));
  const measured = family.filter((i) => Number.isFinite(ratioOf(i)));
  const nearest = measured.reduce<Ingredient | null>(
    (best, i) => (!best || off(i) < off(best) - 1e-9 || (off(i) < off(best) + 1e-9 && i === base) ? i : best),
    null,
  );
  if (nearest && off(nearest) <= SAME_RATIO) return asItIs(nearest);
  // Sugar dissolves in half its weight of water and no less; honey and maple are syrups already.
  const most = family.some((i) => i.syrup?.ratio === "pure") ? 5 : 2.1;
  if (wanted > most || wanted < 0.2) return null;
  const from = nearest ?? base;
  const present = totalSugarGPer100Ml(from.sugarsGPer100Ml);
  const sourced = (value: number) => typed(value, RATIO_SD_SHARE * value);
  const sugarsGPer100Ml = inProportion(from.sugarsGPer100Ml, present, sugarAtRatio(family, ratio), sourced);
  const syrup = { ...(from.syrup ?? base.syrup), ratio };
  return own(from, ratio, ratio, { sugarsGPer100Ml, syrup });
}

/** A plain sugar syrup at typed degrees Brix. Null for other syrups: their sugars are not sucrose in water alone. */
export function atBrix(base: Ingredient, brix: number, family: readonly Ingredient[]): Adjusted {
  if (!base.syrup || family.some((i) => i.syrup?.ratio === "pure") || brix < 10 || brix > 70) return null;
  const share = brix / (100 - brix);
  return atRatio(base, `${Number(share.toPrecision(4))}:1`, family);
}
