import { fail } from "../errors.ts";
import { ACID_IDS, SUGAR_IDS } from "../ids.ts";
import { coefficientsOf, densityOf, isDrySolid } from "../mix/coefficients.ts";
import { addWater, type Totals, totalsOf } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { citricEquivalentPerG } from "../physics/acids.ts";
import type { AcidId, Ingredient, SourcedValue, SugarId } from "../types.ts";
import { positive } from "./given.ts";
import type { Composition, Prep, PrepPart } from "./types.ts";

/** A measured amount of an ingredient. */
export interface Amount extends Pick<PrepPart, "amount" | "unit"> {
  ingredient: Ingredient;
}

/**
 * Standard uncertainty of a kitchen's amounts (estimates): a scale reads to half a per cent and never better
 * than 0.1 g, a jug or measure to one per cent and never better than 0.5 mL.
 */
const AMOUNT_SD = { g: { share: 0.005, least: 0.1 }, ml: { share: 0.01, least: 0.5 } } as const;

/** Key of the source of what is worked out from the parts. */
export const COMPUTED = "prep-computed";

/** What fills so much of a vessel, mL. */
export function mlOf({ ingredient, amount, unit }: Amount): number {
  return unit === "ml" ? amount : amount / densityOf(ingredient);
}

/** So many grams of an ingredient. */
export const inG = (ingredient: Ingredient, amount: number): Amount => ({ ingredient, amount, unit: "g" });

/** So many mL of an ingredient. */
export const inMl = (ingredient: Ingredient, amount: number): Amount => ({ ingredient, amount, unit: "ml" });

/** Those that are poured at all. */
export function poured(...amounts: Amount[]): Amount[] {
  return amounts.filter(({ amount }) => amount > 0);
}

/** A value worked out here. */
export function computed(value: number, sd: number, memory = false): SourcedValue {
  return { value, sd, source: COMPUTED, ...(memory && { memory }) };
}

/** What a mixture is, without its doubts. */
export interface Mixture extends Totals {
  volumeMl: number;
  sugars: Record<SugarId, number>;
  acids: Record<AcidId, number>;
}

/** The figures of a mixture, per 100 mL where they are named so. */
const FIGURES = {
  massG: (m: Mixture) => m.massG,
  volumeMl: (m: Mixture) => m.volumeMl,
  densityGPerMl: (m: Mixture) => m.massG / m.volumeMl,
  abvPercent: (m: Mixture) => (100 * m.ethanolMl) / m.volumeMl,
  otherSolidsGPer100Ml: (m: Mixture) => (100 * m.otherSolidsG) / m.volumeMl,
  sugarGPer100Ml: (m: Mixture) => (100 * sum(m.sugars)) / m.volumeMl,
  acidGPer100Ml: (m: Mixture) => (100 * citricEquivalents(m.acids)) / m.volumeMl,
  solidsPercent: (m: Mixture) => (100 * (sum(m.sugars) + sum(m.acids) + m.otherSolidsG)) / m.massG,
} as const satisfies Record<string, (m: Mixture) => number>;

/** One figure of a mixture, for searches. */
export function figureOf(mixture: Mixture, figure: keyof typeof FIGURES): number {
  return FIGURES[figure](mixture);
}

/**
 * What a mixture of measured amounts is, at 20 °C, contraction included; `lostWaterG` has left as steam. The quick
 * form of `combine`, for searches.
 *
 * @throws EngineError for amounts that are not above 0, or more water lost than there is
 */
export function mixtureOf(amounts: readonly Amount[], lostWaterG = 0): Mixture {
  if (amounts.length === 0) fail("/parts", "nothing goes into it", "give at least one part with an amount");
  const volumesMl = amounts.map((part, i) => {
    positive(part.amount, `/parts/${i}/amount`, "grams or mL above zero");
    return mlOf(part);
  });
  const totals = totalsOf(
    amounts.map(({ ingredient }) => coefficientsOf(ingredient)),
    volumesMl,
  );
  if (!(lostWaterG >= 0 && lostWaterG < totals.waterG) && lostWaterG !== 0) {
    fail(
      "/simmered",
      `${lostWaterG.toFixed(1)} g of water cannot leave the ${totals.waterG.toFixed(1)} g there are`,
      "check both weights; weigh with the same pan",
    );
  }
  addWater(totals, -lostWaterG);
  const held = <Id extends string>(
    ids: readonly Id[],
    of: (i: Ingredient) => Partial<Record<Id, SourcedValue>>,
  ) => {
    const grams = (id: Id) =>
      volumesMl.reduce((s, ml, i) => s + ((of(amounts[i]!.ingredient)[id]?.value ?? 0) * ml) / 100, 0);
    return Object.fromEntries(ids.map((id) => [id, grams(id)])) as Record<Id, number>;
  };
  return {
    ...totals,
    volumeMl: mixedVolumeMl(totals),
    sugars: held(SUGAR_IDS, (i) => i.sugarsGPer100Ml),
    acids: held(ACID_IDS, (i) => i.acidsGPer100Ml),
  };
}

/**
 * What a mixture of measured amounts holds, each figure with its standard uncertainty.
 *
 * First order: every strength, sugar, acid, solid and density of an ingredient, and every amount, is one independent
 * doubt, moved by one standard uncertainty and the mixture worked out again. An ingredient given twice errs once.
 *
 * @throws EngineError as `mixtureOf`
 */
export function combine(amounts: readonly Amount[], lostWaterG = 0): Composition {
  const at = mixtureOf(amounts, lostWaterG);
  const ingredients = new Map(amounts.map(({ ingredient }) => [ingredient.id, ingredient]));
  const moved = [
    ...amounts.map((a, i) => amounts.with(i, { ...a, amount: a.amount + amountSd(a) })),
    ...[...ingredients.values()].flatMap((one) =>
      variants(one).map((other) =>
        amounts.map((a) => (a.ingredient.id === one.id ? { ...a, ingredient: other } : a)),
      ),
    ),
  ].map((changed) => mixtureOf(changed, lostWaterG));
  const memory = amounts.some(({ ingredient }) => restsOnMemory(ingredient));
  const figure = (of: (m: Mixture) => number): SourcedValue =>
    computed(of(at), Math.hypot(...moved.map((m) => of(m) - of(at))), memory);
  const kinds = <Id extends string>(ids: readonly Id[], of: (m: Mixture) => Record<Id, number>) =>
    Object.fromEntries(
      ids.flatMap((id) => (of(at)[id] > 0 ? [[id, figure((m) => (100 * of(m)[id]) / m.volumeMl)]] : [])),
    ) as Partial<Record<Id, SourcedValue>>;
  const figures = Object.fromEntries(Object.entries(FIGURES).map(([key, of]) => [key, figure(of)])) as Record<
    keyof typeof FIGURES,
    SourcedValue
  >;
  return {
    ...figures,
    sugars: kinds(SUGAR_IDS, (m) => m.sugars),
    acids: kinds(ACID_IDS, (m) => m.acids),
    waterGPer100Ml: (100 * at.waterG) / at.volumeMl,
  };
}

/** The ingredient with each of its doubtful figures moved by one standard uncertainty, one at a time. */
function variants(i: Ingredient): Ingredient[] {
  const less = (v: SourcedValue): SourcedValue => ({ ...v, value: Math.max(0, v.value - v.sd) });
  const doubtful = (v: SourcedValue | undefined): v is SourcedValue => v !== undefined && v.sd > 0;
  const kinds = (key: "sugarsGPer100Ml" | "acidsGPer100Ml"): Ingredient[] =>
    Object.entries(i[key]).flatMap(([id, v]) =>
      doubtful(v) ? [{ ...i, [key]: { ...i[key], [id]: less(v) } }] : [],
    );
  const density = i.densityGPerMl;
  return [
    ...(doubtful(i.abvPercent) ? [{ ...i, abvPercent: less(i.abvPercent) }] : []),
    ...kinds("sugarsGPer100Ml"),
    ...kinds("acidsGPer100Ml"),
    ...(doubtful(i.otherSolidsGPer100Ml)
      ? [{ ...i, otherSolidsGPer100Ml: less(i.otherSolidsGPer100Ml) }]
      : []),
    // The air between a powder's grains is no part of the mixture, and its purity stays what it is.
    ...(doubtful(density) && !isDrySolid(coefficientsOf(i))
      ? [{ ...i, densityGPerMl: { ...density, value: density.value + density.sd } }]
      : []),
  ];
}

function amountSd({ amount, unit }: Amount): number {
  const { share, least } = AMOUNT_SD[unit];
  return Math.min(Math.max(least, share * amount), amount);
}

/** The mixture as an ingredient of the pantry, under the given names. */
export function toIngredient(
  composition: Composition,
  named: Pick<Ingredient, "id" | "name" | "role"> & Partial<Ingredient>,
): Ingredient {
  const { otherSolidsGPer100Ml: solids } = composition;
  return {
    aliases: [],
    ...named,
    abvPercent: composition.abvPercent,
    sugarsGPer100Ml: composition.sugars,
    acidsGPer100Ml: composition.acids,
    densityGPerMl: composition.densityGPerMl,
    ...(solids.value > 0 && { otherSolidsGPer100Ml: solids }),
    own: true,
  };
}

const sum = (values: Record<string, number>) => Object.values(values).reduce((s, x) => s + x, 0);

const citricEquivalents = (acids: Record<AcidId, number>) =>
  ACID_IDS.reduce((s, id) => s + acids[id] * citricEquivalentPerG(id), 0);

function restsOnMemory({ abvPercent, sugarsGPer100Ml, acidsGPer100Ml }: Ingredient): boolean {
  const values = [abvPercent, ...Object.values(sugarsGPer100Ml), ...Object.values(acidsGPer100Ml)];
  return values.some((v) => v?.memory === true && v.value > 0);
}

/** Share of its mass that what was simmered lost, by the same pan weighed before and after. */
export function lostShare({ beforeG, afterG }: NonNullable<Prep["simmered"]>): number {
  if (!(afterG > 0 && beforeG >= afterG && Number.isFinite(beforeG))) {
    fail(
      "/simmered",
      `${afterG} g after simmering is not above 0 and at most the ${beforeG} g before`,
      "weigh the same pan before and after",
    );
  }
  return 1 - afterG / beforeG;
}
