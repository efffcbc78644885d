import { fail } from "../errors.ts";
import { densityOf } from "../mix/coefficients.ts";
import { findRoot } from "../physics/find-root.ts";
import {
  citricSaturationPercent,
  GLUCOSE_PER_WATER,
  SATURATION_SD_PERCENT,
  sucroseSaturationBrix,
} from "../physics/solubility.ts";
import type { Ingredient, SourcedValue } from "../types.ts";
import {
  type Amount,
  combine,
  computed,
  figureOf,
  inG,
  lostShare,
  type Mixture,
  mixtureOf,
  poured,
  toIngredient,
} from "./combine.ts";
import { positive } from "./given.ts";
import type { Composition, CrystalRisk, Made, Prep } from "./types.ts";

/** How much sweetener to how much water. */
export type SyrupStrength =
  /** Parts of sweetener to one part of water: 2 is "2:1". */
  | { by: "mass" | "volume"; ratio: number }
  /** Dissolved solids, % by mass. */
  | { by: "brix"; brix: number };

/** How much of it is wanted. */
export type Wanted = { volumeMl: number } | { massG: number } | { sweetenerG: number };

export interface SyrupRequest extends Pick<Prep, "simmered"> {
  sweetener: Ingredient;
  water: Ingredient;
  strength: SyrupStrength;
  want: Wanted;
}

export interface Syrup extends Made {
  sweetenerG: SourcedValue;
  /** What the sweetener fills: for a powder, loosely poured. */
  sweetenerMl: SourcedValue;
  waterG: SourcedValue;
  crystals: CrystalRisk[];
}

/** A syrup as asked for, and the same words meant the other way. */
export interface SyrupAnswer extends Syrup {
  /** "3:1" by the other measure (weight for volume, volume for weight); null for a Brix. */
  otherWay: { by: "mass" | "volume"; syrup: Syrup } | null;
}

/**
 * A syrup of any sweetener and water: what to weigh, what it yields, and whether it will stay dissolved.
 *
 * "By volume" means level measures: a powder's own bulk density (sugar 200 g a US cup, by USDA), a liquid's density.
 * The same "3:1" of honey by volume and by weight are different syrups: both are given.
 *
 * @throws EngineError naming the field
 */
export function makeSyrup(request: SyrupRequest): SyrupAnswer {
  const { strength } = request;
  if (strength.by === "brix") return { ...one(request), otherWay: null };
  const by = strength.by === "mass" ? "volume" : "mass";
  const syrup = one({ ...request, strength: { by, ratio: strength.ratio } });
  return { ...one(request), otherWay: { by, syrup } };
}

function one(request: SyrupRequest): Syrup {
  const { sweetener, water, want, simmered } = request;
  const share = sweetenerShare(request);
  const recipe = (sweetenerG: number): [Amount[], number] => {
    const amounts = poured(inG(sweetener, sweetenerG), inG(water, (sweetenerG * (1 - share)) / share));
    // Weights before and after belong to a batch of any size: what leaves is a share of it.
    return [amounts, simmered ? lostShare(simmered) * (sweetenerG / share) : 0];
  };
  const sweetenerG = scaledTo(want, mixtureOf(...recipe(TRIAL_G)));
  const composition = combine(...recipe(sweetenerG));
  const density = sweetener.densityGPerMl ?? computed(densityOf(sweetener), 0);
  return {
    sweetenerG: computed(sweetenerG, composition.massG.sd * share),
    sweetenerMl: computed(sweetenerG / density.value, (sweetenerG * density.sd) / density.value ** 2),
    waterG: computed((sweetenerG * (1 - share)) / share, composition.massG.sd * (1 - share)),
    composition,
    ingredient: toIngredient(composition, {
      id: `${sweetener.id}-syrup`,
      name: `${sweetener.name} syrup`,
      role: "syrup",
      ...(sweetener.cautions && { cautions: sweetener.cautions }),
    }),
    crystals: crystalRisks(composition),
  };
}

/** Share of the sweetener in the whole by mass, before any simmering. */
function sweetenerShare({ sweetener, strength, simmered }: SyrupRequest): number {
  if (strength.by !== "brix") {
    positive(strength.ratio, "/strength/ratio", "parts of sweetener to one of water");
    const [sweetG, waterG] = strength.by === "mass" ? [1, 1] : [densityOf(sweetener), WATER_G_PER_LEVEL_ML];
    const mass = strength.ratio * sweetG;
    return mass / (mass + waterG);
  }
  const own = figureOf(mixtureOf([inG(sweetener, TRIAL_G)]), "solidsPercent");
  const least = simmered ? strength.brix * (1 - lostShare(simmered)) : strength.brix;
  if (!(strength.brix > 0 && least <= own)) {
    fail(
      "/strength/brix",
      `${strength.brix} °Bx is not above 0 and at most the sweetener's own ${own.toFixed(1)} °Bx`,
      "ask for less, or simmer water away",
    );
  }
  return least / own;
}

/** A level measure of water at 20 °C. */
const WATER_G_PER_LEVEL_ML = 0.9982;

/** Sweetener of the trial batch, g. */
const TRIAL_G = 1000;

/** Grams of sweetener for the wanted amount: everything is in proportion to it. */
function scaledTo(want: Wanted, trial: Mixture): number {
  if ("sweetenerG" in want) return positive(want.sweetenerG, "/want/sweetenerG", "grams of sweetener");
  return "massG" in want
    ? (TRIAL_G * positive(want.massG, "/want/massG", "grams of syrup")) / trial.massG
    : (TRIAL_G * positive(want.volumeMl, "/want/volumeMl", "mL of syrup")) / trial.volumeMl;
}

/** Temperatures a syrup is kept at, °C. */
const KEPT_AT = [
  { storedAt: "room", tempC: 20 },
  { storedAt: "fridge", tempC: 4 },
] as const;

/**
 * Whether what is dissolved stays so: sucrose against its solubility in the water there is; glucose by the honey
 * trade's rule of glucose to water. Between "none" and "will" lies the spread of the tables (for sucrose 0.4 % by mass,
 * taken twice on the safe side; a clean syrup may also stay over-full for weeks). Alcohol and other sugars lower what water holds: with them
 * the risk is higher than said.
 */
export function crystalRisks(composition: Composition): CrystalRisk[] {
  const { waterGPer100Ml: water, sugars, acids } = composition;
  if (!(water > 0)) return [];
  const per100GWater = (v: SourcedValue | undefined) => (100 * (v?.value ?? 0)) / water;
  return KEPT_AT.flatMap(({ storedAt, tempC }) =>
    [
      bySaturation("sucrose", per100GWater(sugars.sucrose), sucroseSaturationBrix(tempC)),
      bySaturation("citric", per100GWater(acids.citric), citricSaturationPercent(tempC)),
      glucoseRisk(per100GWater(sugars.glucose)),
    ]
      .filter(({ dissolvedGPer100GWater: g }) => g > WORTH_SAYING)
      .map((risk) => ({ ...risk, storedAt, tempC })),
  );
}

/** Less dissolved than this, g per 100 g of water, is far from any edge. */
const WORTH_SAYING = 50;

type Dissolved = Omit<CrystalRisk, "storedAt" | "tempC">;

function bySaturation(what: Dissolved["what"], dissolvedGPer100GWater: number, percent: number): Dissolved {
  const held = (100 * dissolvedGPer100GWater) / (100 + dissolvedGPer100GWater);
  const risk = riskOf(held, percent - 2 * SATURATION_SD_PERCENT, percent + SATURATION_SD_PERCENT);
  return { what, risk, dissolvedGPer100GWater, holdsGPer100GWater: (100 * percent) / (100 - percent) };
}

function glucoseRisk(dissolvedGPer100GWater: number): Dissolved {
  const { staysLiquid, grainsQuickly } = GLUCOSE_PER_WATER;
  const risk = riskOf(dissolvedGPer100GWater / 100, staysLiquid, grainsQuickly);
  return { what: "glucose", risk, dissolvedGPer100GWater, holdsGPer100GWater: 100 * staysLiquid };
}

function riskOf(value: number, clear: number, over: number): CrystalRisk["risk"] {
  return value < clear ? "none" : value > over ? "will" : "may";
}

/** What to thin a syrup to: dissolved solids, % by mass, or sugar, g/100 mL. */
export type ThinTo = { brix: number } | { sugarGPer100Ml: number };

/**
 * Water that thins a syrup.
 *
 * @param amountG of the syrup at hand
 * @throws EngineError when it is not stronger than what is wanted
 */
export function thinSyrup(
  syrup: Ingredient,
  water: Ingredient,
  amountG: number,
  to: ThinTo,
): Omit<Syrup, "sweetenerG" | "sweetenerMl"> {
  positive(amountG, "/amountG", "grams of the syrup at hand");
  const amounts = (waterG: number) => poured(inG(syrup, amountG), inG(water, waterG));
  const [figure, wanted] =
    "brix" in to ? (["solidsPercent", to.brix] as const) : (["sugarGPer100Ml", to.sugarGPer100Ml] as const);
  const over = (waterG: number) => figureOf(mixtureOf(amounts(waterG)), figure) - wanted;
  const now = over(0) + wanted;
  if (!(wanted > 0 && wanted <= now)) {
    fail(
      "brix" in to ? "/to/brix" : "/to/sugarGPer100Ml",
      `${wanted} is not above 0 and at most the syrup's own ${now.toFixed(1)}`,
      "ask for less",
    );
  }
  const waterG = now === wanted ? 0 : findRoot(over, 0, 2 * amountG * (now / wanted) + 1, 1e-6);
  const composition = combine(amounts(waterG));
  const { value, sd } = composition[figure];
  return {
    waterG: computed(waterG, ((amountG + waterG) * sd) / value),
    composition,
    ingredient: toIngredient(composition, {
      id: `${syrup.id}-thinned`,
      name: `${syrup.name}, thinned`,
      role: syrup.role,
      ...(syrup.cautions && { cautions: syrup.cautions }),
    }),
    crystals: crystalRisks(composition),
  };
}
