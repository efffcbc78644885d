import { fail, requireInRange } from "../errors.ts";
import { coefficientsOf } from "../mix/coefficients.ts";
import {
  abvPercentToMassFraction,
  dilutionWaterMl,
  ethanolWaterDensityKgPerM3,
  WATER_G_PER_ML,
} from "../physics/ethanol-water.ts";
import { findRoot } from "../physics/find-root.ts";
import type { Ingredient, SourcedValue } from "../types.ts";
import { combine, computed, figureOf, inG, inMl, mixtureOf, poured, toIngredient } from "./combine.ts";
import { positive } from "./given.ts";
import { cautionsOf } from "./keeping.ts";
import type { Composition } from "./types.ts";

/** Key of the source of what follows from the alcohol tables alone. */
const OIML = "oiml-r22";

/** Uncertainty of a kitchen's jug, as a share of what is measured. */
const JUG_SHARE = 0.01;

const byTables = (value: number, sd: number): SourcedValue => ({ value, sd, source: OIML });

/**
 * Bring a plain spirit (ethanol and water) down to a lower strength, contraction included, by OIML R 22: the water,
 * and what becomes of the volume.
 *
 * @param amount of the spirit, by volume at 20 °C or by weight
 * @throws EngineError when the wanted strength is not below the present one
 */
export function proofDown(
  amount: { volumeMl: number } | { massG: number },
  fromAbvPercent: SourcedValue,
  toAbvPercent: number,
) {
  const from = fromAbvPercent.value;
  const gPerMl = ethanolWaterDensityKgPerM3(abvPercentToMassFraction(from)) / 1000;
  const volumeMl =
    "volumeMl" in amount
      ? positive(amount.volumeMl, "/amount/volumeMl", "mL of spirit")
      : positive(amount.massG, "/amount/massG", "grams of spirit") / gPerMl;
  const water = (abv: number) => dilutionWaterMl(volumeMl, abv, toAbvPercent);
  const value = water(from);
  const sd = Math.hypot(JUG_SHARE * value, water(from + Math.min(fromAbvPercent.sd, 100 - from)) - value);
  const finalMl = (volumeMl * from) / toAbvPercent;
  return {
    waterMl: byTables(value, sd),
    waterG: byTables(value * WATER_G_PER_ML, sd * WATER_G_PER_ML),
    /** Exactly volume × from / to: alcohol's volume is conserved by the definition of % vol. */
    finalMl: byTables(finalMl, finalMl * Math.hypot(JUG_SHARE, fromAbvPercent.sd / from)),
    /** What spirit and water lose on mixing. */
    contractionMl: byTables(volumeMl + value - finalMl, JUG_SHARE * Math.abs(volumeMl + value - finalMl)),
  };
}

/**
 * How much of each of two spirits (sweetened or not) makes a wanted volume of a wanted strength.
 *
 * @throws EngineError when the strength does not lie between theirs
 */
export function blendToStrength(first: Ingredient, second: Ingredient, abvPercent: number, volumeMl: number) {
  positive(volumeMl, "/volumeMl", "mL of blend");
  const [a, b] = [first.abvPercent.value, second.abvPercent.value];
  if (!(abvPercent >= Math.min(a, b) && abvPercent <= Math.max(a, b)) || a === b) {
    fail(
      "/abvPercent",
      `${abvPercent} % vol does not lie between ${Math.min(a, b)} and ${Math.max(a, b)} % vol`,
      "choose a strength between the two, or use water to go lower",
    );
  }
  const poursOf = (one: Ingredient, other: Ingredient): [firstMl: number, secondMl: number] => {
    /** A mL of the two together before mixing. */
    const blend = (share: number) => mixtureOf(together(one, share, other, 1 - share));
    const off = (share: number) => figureOf(blend(share), "abvPercent") - abvPercent;
    const share =
      off(0) * off(1) >= 0 ? Number(Math.abs(off(1)) < Math.abs(off(0))) : findRoot(off, 0, 1, 1e-12);
    const scale = volumeMl / blend(share).volumeMl;
    return [share * scale, (1 - share) * scale];
  };
  const [firstMl, secondMl] = poursOf(first, second);
  // What a doubtful strength asks of the pour.
  const moved = [poursOf(shifted(first), second), poursOf(first, shifted(second))];
  const pour = (i: 0 | 1, perMl = 1) => {
    const value = [firstMl, secondMl][i]!;
    return computed(value * perMl, perMl * Math.hypot(...moved.map((m) => m[i] - value)));
  };
  const composition = combine(together(first, firstMl, second, secondMl));
  return {
    firstMl: pour(0),
    firstG: pour(0, coefficientsOf(first).massG),
    secondMl: pour(1),
    secondG: pour(1, coefficientsOf(second).massG),
    composition,
    ingredient: toIngredient(composition, {
      id: `${first.id}-${second.id}-blend`,
      name: `${first.name} and ${second.name}`,
      role: first.role,
      cautions: cautionsOf([first, second]),
    }),
  };
}

/** Its strength moved by one standard uncertainty, toward less, where there is always room. */
const shifted = (i: Ingredient): Ingredient => ({
  ...i,
  abvPercent: { ...i.abvPercent, value: Math.max(0, i.abvPercent.value - i.abvPercent.sd) },
});

const together = (first: Ingredient, firstMl: number, second: Ingredient, secondMl: number) =>
  poured(inMl(first, firstMl), inMl(second, secondMl));

/** What a spirit was washed with or steeped on. */
export interface Wash {
  spirit: Ingredient;
  spiritMl: number;
  /** What went in, g. */
  addedG: number;
  /** Part of it that is water, 0..1: fruit 0.85, milk 0.88, butter 0.16. */
  waterShare: number;
  /** Part of it that is sugar, 0..1, if that is to be counted. */
  sugarShare?: number;
  /** How far its water and sugar have come into balance with the spirit, 0..1. */
  exchanged?: number;
  /** What was strained off in the end, mL. */
  recoveredMl?: number;
}

/** Usual exchange after a day or more (estimate), and its doubt: fruit seldom gives up all its water. */
const USUAL_EXCHANGE = { value: 0.85, sd: 0.12 } as const;

const plain = (id: string, gPerMl: number, sugarsGPer100Ml: Ingredient["sugarsGPer100Ml"]): Ingredient => ({
  id,
  name: id,
  role: "other",
  aliases: [],
  abvPercent: computed(0, 0),
  sugarsGPer100Ml,
  acidsGPer100Ml: {},
  densityGPerMl: computed(gPerMl, 0),
});
const WATER_OF_IT = plain("water-of-it", WATER_G_PER_ML, {});
/** Taken by volume, a gram a mL. */
const SUGAR_OF_IT = plain("sugar-of-it", 1, { sucrose: computed(100, 0) });

/**
 * Strength after fruit, milk or fat washing: the added water thins the spirit, what is held back in the solids
 * takes liquid of the same strength with it, so that straining costs volume and not strength. Fat takes aroma and
 * leaves the water it held. Measure the strength (distilled density) where it matters.
 *
 * @throws EngineError naming the field
 */
export function washSpirit(wash: Wash) {
  const { spirit, spiritMl, addedG, waterShare, sugarShare = 0, recoveredMl } = wash;
  positive(spiritMl, "/spiritMl", "mL of spirit");
  if (!(addedG >= 0 && Number.isFinite(addedG))) fail("/addedG", `${addedG} is not 0 or more`, "give grams");
  checkShare(waterShare, "/waterShare");
  checkShare(sugarShare, "/sugarShare");
  if (wash.exchanged !== undefined) checkShare(wash.exchanged, "/exchanged");
  const at = (exchanged: number) =>
    combine(
      poured(
        inMl(spirit, spiritMl),
        inMl(WATER_OF_IT, (exchanged * waterShare * addedG) / WATER_G_PER_ML),
        inMl(SUGAR_OF_IT, exchanged * sugarShare * addedG),
      ),
    );
  const composition = at(wash.exchanged ?? USUAL_EXCHANGE.value);
  const ethanolMl = coefficientsOf(spirit).ethanolMl * spiritMl;
  const other = wash.exchanged === undefined ? at(USUAL_EXCHANGE.value + USUAL_EXCHANGE.sd) : null;
  const widened = (pick: (c: Composition) => SourcedValue): SourcedValue => {
    const own = pick(composition);
    const shift = other ? pick(other).value - own.value : 0;
    return { ...own, sd: Math.hypot(own.sd, shift) };
  };
  const abvPercent = widened((c) => c.abvPercent);
  const sugarGPer100Ml = widened((c) => c.sugarGPer100Ml);
  const volumeMl =
    recoveredMl === undefined
      ? widened((c) => c.volumeMl)
      : computed(positive(recoveredMl, "/recoveredMl", "mL strained off"), JUG_SHARE * recoveredMl);
  return {
    abvPercent,
    sugarGPer100Ml,
    volumeMl,
    ingredient: {
      ...toIngredient(composition, {
        id: `${spirit.id}-washed`,
        name: `${spirit.name}, washed`,
        role: spirit.role,
        cautions: cautionsOf([spirit], "infusion"),
      }),
      abvPercent,
    },
    /** Part of the spirit's alcohol that stayed with what was strained out; null without a recovered volume. */
    lostShare:
      recoveredMl === undefined ? null : Math.max(0, 1 - (recoveredMl * abvPercent.value) / 100 / ethanolMl),
  };
}

/** What a liqueur is to be. */
export interface LiqueurRequest {
  base: Ingredient;
  /** Sugar or a syrup. */
  sweetener: Ingredient;
  water: Ingredient;
  abvPercent: number;
  sugarGPer100Ml: number;
  volumeMl: number;
}

/**
 * Spirit, sweetener and water for a liqueur of a given strength and sugar: contraction and the room that sugar takes
 * included.
 *
 * @throws EngineError when base and sweetener together cannot reach it (no room left for water)
 */
export function buildLiqueur(request: LiqueurRequest) {
  const { base, sweetener, water, abvPercent, sugarGPer100Ml, volumeMl } = request;
  positive(volumeMl, "/volumeMl", "mL of liqueur");
  positive(abvPercent, "/abvPercent", "the wanted strength");
  if (!(sugarGPer100Ml >= 0)) fail("/sugarGPer100Ml", `${sugarGPer100Ml} is not 0 or more`, "give g/100 mL");
  const [b, s] = [coefficientsOf(base), coefficientsOf(sweetener)];
  // Two equations linear in mL of base and of sweetener: alcohol and sugar.
  const det = b.ethanolMl * s.sugarG - s.ethanolMl * b.sugarG;
  const ethanolMl = (abvPercent * volumeMl) / 100;
  const sugarG = (sugarGPer100Ml * volumeMl) / 100;
  const baseMl = (ethanolMl * s.sugarG - sugarG * s.ethanolMl) / det;
  const sweetMl = (b.ethanolMl * sugarG - b.sugarG * ethanolMl) / det;
  if (!(det > 0 && baseMl > 0 && sweetMl >= 0)) {
    fail(
      "/sugarGPer100Ml",
      `${base.name} and ${sweetener.name} do not make ${abvPercent} % vol with ${sugarGPer100Ml} g/100 mL of sugar`,
      "choose a base with alcohol and a sweetener with more sugar than the base",
    );
  }
  const amounts = (waterMl: number) =>
    poured(inMl(base, baseMl), inG(sweetener, sweetMl * s.massG), inMl(water, waterMl));
  const filled = (waterMl: number) => mixtureOf(amounts(waterMl)).volumeMl;
  const dry = filled(0);
  if (dry > volumeMl) {
    fail(
      "/abvPercent",
      `base and sweetener alone already fill ${dry.toFixed(0)} mL of the ${volumeMl} mL`,
      "use a stronger base or a drier sweetener (sugar instead of syrup)",
    );
  }
  const waterMl = dry === volumeMl ? 0 : findRoot((ml) => filled(ml) - volumeMl, 0, 1.1 * volumeMl, 1e-6);
  const composition = combine(amounts(waterMl));
  return {
    baseMl: computed(baseMl, (baseMl * base.abvPercent.sd) / base.abvPercent.value),
    sweetenerG: computed(sweetMl * s.massG, composition.sugarGPer100Ml.sd * (volumeMl / 100)),
    waterG: computed(waterMl * WATER_G_PER_ML, JUG_SHARE * waterMl),
    composition,
    ingredient: toIngredient(composition, {
      id: `${base.id}-liqueur`,
      name: `${base.name} liqueur`,
      role: "liqueur",
      cautions: cautionsOf([base, sweetener]),
    }),
  };
}

const checkShare = (value: number, pointer: string) =>
  requireInRange(value, [0, 1], pointer, "give a share between 0 and 1");
