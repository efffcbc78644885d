import { fail, requireInRange } from "../errors.ts";
import { titratableAcidityGPer100Ml } from "../mix/coefficients.ts";
import { mixedVolumeMl, type Parts } from "../mix/volume.ts";
import { titratableAcidityFromTitre } from "../physics/acids.ts";
import {
  abvPercentToMassFraction,
  ETHANOL_G_PER_ML,
  ethanolWaterDensityKgPerM3,
  massFractionToAbvPercent,
} from "../physics/ethanol-water.ts";
import { findRoot } from "../physics/find-root.ts";
import { brixReading, brixTemperatureCorrection, refractiveIndex } from "../physics/refractive-index.ts";
import { sucroseDensityKgPerM3 } from "../physics/sucrose-water.ts";
import type { Ingredient, SourcedValue } from "../types.ts";
import type { Reading } from "./types.ts";

/** Key of the source of what the user measured. */
export const MEASURED = "own-measurement";

/**
 * Usual standard uncertainties of bar instruments (estimates): a hand refractometer reads to 0.2 °Bx, a
 * hydrometer to 0.001, a pH meter to 0.05, a thermometer to 1 °C; a titration to 1.5 % (burette 0.05 mL, solution
 * 1 %, pipette 1 %); a distillate's density to 0.0003 g/mL; a weighed volume to 1 %; a label's strength to ± 0.3 %
 * vol as a rectangle (27 CFR 19.356).
 */
export const USUAL_SD = {
  brix: 0.2,
  specificGravity: 0.001,
  ph: 0.05,
  tempC: 1,
  titrationShare: 0.015,
  distillateGPerMl: 0.0003,
  weighedShare: 0.01,
  labelPercent: 0.17,
} as const;

/** What a kelvin moves a reading by, °Bx. */
const BRIX_PER_K = 0.07;

/** What the rule for three things together may be out by, °Bx per % vol of alcohol (spread of brewers' triplets). */
const TERNARY_BRIX_PER_ABV = 0.01;

/** A measurement with its uncertainty. */
export function own(value: number, sd: number): SourcedValue {
  return { value, sd, source: MEASURED };
}

const checkReading = (value: number, range: readonly [number, number], pointer: string, unit = "") =>
  requireInRange(value, range, pointer, "check the reading and its unit", { unit });

/** Most sugar that is looked for, g/100 mL: a syrup at 85 °Bx. */
const MOST_SUGAR = 125;

/** A refractometer's reading taken apart. */
export type BrixReading = ReturnType<typeof sugarFromBrix>;

/**
 * Sugar from a refractometer, with alcohol and acid taken into account.
 *
 * All that is dissolved bends light. A plain spirit of 40 % vol reads 15 °Bx; citric acid reads 0.87 °Bx per
 * per cent, where the table of the juice trade (Stevens and Baier 1939: + 0.20 °Bx per % of acid) brings a reading to
 * what a hydrometer would show, not to what is dissolved. Here the sugar is that which, with the known strength,
 * acid and other solids, gives the index read. The doubts of strength, acid and instrument go into it.
 *
 * @throws EngineError when no sugar explains the reading
 */
export function sugarFromBrix(ingredient: Ingredient, m: Reading<"refractometer">) {
  checkReading(m.readingBrix, [0, 90], "/readingBrix", "°Bx");
  if (m.sampleTempC !== undefined) checkReading(m.sampleTempC, [5, 40], "/sampleTempC", "°C");
  const temperatureBrix = temperatureBrixOf(m);
  const correctedBrix = m.readingBrix + temperatureBrix;
  const abv = ingredient.abvPercent;
  const acid = acidsG(ingredient);
  const known = hundredOf(ingredient);
  const solve = (brix: number, change: Partial<Hundred> = {}): number =>
    sugarWhere((sugarG) => readingOf({ ...known, ...change, sugarG }) - brix) ??
    fail(
      "/readingBrix",
      `no sugar explains ${m.readingBrix} °Bx beside ${abv.value.toFixed(1)} % vol of alcohol and the acid (without any it would read ${readingOf(known).toFixed(1)})`,
      "check the strength and the reading; take off froth and pulp, and wipe the prism",
    );
  const value = solve(correctedBrix);
  const tempSd = m.sampleTempC === undefined ? 0 : USUAL_SD.tempC * BRIX_PER_K;
  const brixSd = Math.hypot(m.sd ?? USUAL_SD.brix, tempSd, TERNARY_BRIX_PER_ABV * abv.value);
  const less = (x: { value: number; sd: number }) => Math.max(0, x.value - x.sd);
  const sd = Math.hypot(
    solve(correctedBrix + brixSd) - value,
    solve(correctedBrix, { abvPercent: less(abv) }) - value,
    solve(correctedBrix, { acidG: less(acid) }) - value,
  );
  const nothing: Hundred = { abvPercent: 0, sugarG: 0, acidG: 0, otherSolidsG: 0 };
  const acidPercent = titratableAcidityGPer100Ml(ingredient.acidsGPer100Ml);
  return {
    /** At 20 °C. */
    correctedBrix,
    temperatureBrix,
    /** What the alcohol and the acid alone would show. */
    alcoholBrix: readingOf({ ...nothing, abvPercent: abv.value }),
    acidBrix: readingOf({ ...nothing, acidG: acid.value }),
    /** Sugar that explains the rest. */
    sugarGPer100Ml: own(value, sd),
    /** The reading as the juice trade corrects it for acid: what a hydrometer would show. */
    tradeBrix: correctedBrix + TRADE_BRIX_PER_ACID * acidPercent,
  };
}

/** What brings a reading to 20 °C, °Bx; nothing where the instrument does so itself. */
const temperatureBrixOf = ({ readingBrix, sampleTempC }: Reading<"refractometer">) =>
  sampleTempC === undefined ? 0 : brixTemperatureCorrection(readingBrix, sampleTempC);

/** Sugar, up to the most looked for, at which a figure that grows with it is 0; null where there is none. */
function sugarWhere(off: (sugarG: number) => number): number | null {
  return off(0) > 0 || off(MOST_SUGAR) < 0 ? null : findRoot(off, 0, MOST_SUGAR, 1e-7);
}

/**
 * The juice trade's correction of a refractometer's reading for acid, °Bx per % by mass of anhydrous citric acid:
 * the mean slope of the printed table to 8 % (two copies read; Stevens and Baier 1939).
 */
const TRADE_BRIX_PER_ACID = 0.194;

/** 100 mL of a liquid by the mixing rule: what is named, and water for the rest. */
type Hundred = Record<"abvPercent" | "sugarG" | "acidG" | "otherSolidsG", number>;

function filledWithWater({ abvPercent, ...dry }: Hundred): Parts {
  const parts = (waterG: number): Parts => ({
    ...dry,
    ethanolG: abvPercent * ETHANOL_G_PER_ML,
    waterG,
    extraMl: 0,
  });
  const room = (waterG: number) => mixedVolumeMl(parts(waterG)) - 100;
  return parts(room(0) >= 0 ? 0 : findRoot(room, 0, 101, 1e-9));
}

/** What a refractometer shows of it, °Bx at 20 °C. */
function readingOf(hundred: Hundred): number {
  return brixReading(refractiveIndex(filledWithWater(hundred), 100));
}

/** Its density at 20 °C, g/mL. */
function densityOf(hundred: Hundred): number {
  const p = filledWithWater(hundred);
  return (p.ethanolG + p.waterG + p.sugarG + p.acidG + p.otherSolidsG) / 100;
}

function hundredOf(ingredient: Ingredient): Hundred {
  return {
    abvPercent: ingredient.abvPercent.value,
    sugarG: 0,
    acidG: acidsG(ingredient).value,
    otherSolidsG: ingredient.otherSolidsGPer100Ml?.value ?? 0,
  };
}

function acidsG(ingredient: Ingredient): { value: number; sd: number } {
  const acids = Object.values(ingredient.acidsGPer100Ml);
  return {
    value: acids.reduce((s, a) => s + (a?.value ?? 0), 0),
    sd: Math.hypot(...acids.map((a) => a?.sd ?? 0)),
  };
}

/** Expansion of a glass hydrometer, per K (from memory). */
const GLASS_PER_K = 25e-6;

/**
 * Density at 20 °C, g/mL, from a hydrometer at another temperature: buoyancy against water at its reference
 * temperature, the glass's own expansion, and the liquid's (that of sugar by ICUMSA, of alcohol by OIML R 22, taken
 * together as factors on water's).
 */
export function densityFromHydrometer(m: Reading<"hydrometer">, abvPercent: number): SourcedValue {
  const reference = m.referenceTempC ?? 20;
  checkReading(m.specificGravity, [0.78, 1.5], "/specificGravity");
  checkReading(m.sampleTempC, [0, 40], "/sampleTempC", "°C");
  checkReading(reference, [4, 25], "/referenceTempC", "°C");
  const water = (t: number) => sucroseDensityKgPerM3(0, t) / 1000;
  const at = m.specificGravity * water(reference) * (1 - GLASS_PER_K * (m.sampleTempC - reference));
  const alcohol = abvPercentToMassFraction(abvPercent);
  const ofAlcohol = (t: number) => ethanolWaterDensityKgPerM3(alcohol, t) / 1000 / water(t);
  const alcoholFactor = ofAlcohol(20) / ofAlcohol(m.sampleTempC);
  // Without its alcohol it would be a sugar solution of this density.
  const sugary = at / ofAlcohol(m.sampleTempC);
  const lightest = water(m.sampleTempC);
  const share =
    sugary <= lightest
      ? 0
      : findRoot((w) => sucroseDensityKgPerM3(w, m.sampleTempC) / 1000 - sugary, 0, 0.99, 1e-10);
  const sugarFactor = sucroseDensityKgPerM3(share, 20) / sucroseDensityKgPerM3(share, m.sampleTempC);
  const value = at * sugarFactor * alcoholFactor;
  return own(value, Math.hypot(m.sd ?? USUAL_SD.specificGravity, 0.0003 * USUAL_SD.tempC));
}

/** Sugar, g/100 mL, that brings a liquid of known strength, acid and solids to a density at 20 °C. */
export function sugarFromDensity(ingredient: Ingredient, density: SourcedValue): SourcedValue {
  const abv = ingredient.abvPercent;
  const known = hundredOf(ingredient);
  const value = sugarAt(known, density.value);
  const sd = Math.hypot(
    sugarAt(known, density.value + density.sd) - value,
    sugarAt({ ...known, abvPercent: abv.value + abv.sd }, density.value) - value,
  );
  return own(value, sd);
}

function sugarAt(known: Hundred, gPerMl: number): number {
  return (
    sugarWhere((sugarG) => densityOf({ ...known, sugarG }) - gPerMl) ??
    fail(
      "/densityGPerMl",
      `no sugar explains ${gPerMl.toFixed(4)} g/mL at ${known.abvPercent.toFixed(1)} % vol`,
      "check the strength and the reading",
    )
  );
}

/** Strength, % vol at 20 °C, from the density of a distillate (ethanol and water only), by OIML R 22. */
export function abvFromDistillate(m: Reading<"distilled-density">): SourcedValue {
  checkReading(m.sampleTempC, [-20, 40], "/sampleTempC", "°C");
  const weighs = (massFraction: number) => ethanolWaterDensityKgPerM3(massFraction, m.sampleTempC) / 1000;
  if (weighs(0) < m.densityGPerMl || weighs(1) > m.densityGPerMl) {
    fail(
      "/densityGPerMl",
      `${m.densityGPerMl} g/mL is no mixture of ethanol and water at ${m.sampleTempC} °C`,
      "check the density and the temperature",
    );
  }
  const at = (gPerMl: number) => massFractionToAbvPercent(findRoot((p) => weighs(p) - gPerMl, 0, 1, 1e-12));
  const sd = m.sd ?? USUAL_SD.distillateGPerMl;
  const value = at(m.densityGPerMl);
  // Toward more alcohol there is always room.
  return own(value, Math.abs(at(Math.max(m.densityGPerMl - sd, weighs(1))) - value));
}

/** Titratable acidity, g/100 mL as anhydrous citric acid, from a titration to pH 8.2 (AOAC 942.15). */
export function acidityFromTitration(m: Reading<"titration">): SourcedValue {
  checkReading(m.titreMl, [0, 1000], "/titreMl", "mL");
  checkReading(m.normality, [0.001, 5], "/normality", "mol/L");
  checkReading(m.sampleMl, [0.05, 1000], "/sampleMl", "mL");
  const value = titratableAcidityFromTitre(m.titreMl, m.normality, m.sampleMl);
  return own(value, m.sd ?? USUAL_SD.titrationShare * value);
}

/**
 * Strength and sugar together from density and refractometer: alcohol lightens a liquid and bends light, sugar
 * weighs it down and bends light, so two readings tell the two apart.
 *
 * @param density at 20 °C, g/mL
 */
export function strengthFromBoth(
  ingredient: Ingredient,
  density: SourcedValue,
  m: Reading<"refractometer">,
): { abvPercent: SourcedValue; sugarGPer100Ml: SourcedValue } {
  const known = hundredOf(ingredient);
  const solve = (gPerMl: number, brix: number, slack: number): { abv: number; sugar: number } => {
    // Between the strength that needs no sugar to weigh so little and the one that needs the most.
    const weakest = strengthWith({ ...known, sugarG: 0 }, gPerMl) + NUDGE;
    const strongest = strengthWith({ ...known, sugarG: MOST_SUGAR }, gPerMl) - NUDGE;
    const sugar = (abvPercent: number) => sugarAt({ ...known, abvPercent }, gPerMl);
    const off = (abvPercent: number) => readingOf({ ...known, abvPercent, sugarG: sugar(abvPercent) }) - brix;
    if (!(weakest < strongest) || off(weakest) > slack || off(strongest) < -slack) {
      fail(
        "/readingBrix",
        `${gPerMl.toFixed(4)} g/mL and ${brix.toFixed(1)} °Bx fit no alcohol and sugar together`,
        "check both readings; degas, filter, and bring the sample to room temperature",
      );
    }
    // Readings a little past either end are read as that end.
    const abv =
      off(weakest) >= 0 ? weakest : off(strongest) <= 0 ? strongest : findRoot(off, weakest, strongest, 1e-7);
    return { abv, sugar: sugar(abv) };
  };
  const brix = m.readingBrix + temperatureBrixOf(m);
  const instrument = m.sd ?? USUAL_SD.brix;
  const { abv, sugar } = solve(density.value, brix, WITHIN_SDS * instrument);
  const brixSd = Math.hypot(instrument, TERNARY_BRIX_PER_ABV * abv);
  const heavier = solve(density.value + density.sd, brix, Number.POSITIVE_INFINITY);
  const brighter = solve(density.value, brix + brixSd, Number.POSITIVE_INFINITY);
  return {
    abvPercent: own(abv, Math.hypot(heavier.abv - abv, brighter.abv - abv)),
    sugarGPer100Ml: own(sugar, Math.hypot(heavier.sugar - sugar, brighter.sugar - sugar)),
  };
}

/** Strongest liquid the two readings are told apart for, % vol; beyond it ethanol's own index turns over. */
const MOST_STRENGTH = 70;
/** Instrument uncertainties by which two readings may miss each other. */
const WITHIN_SDS = 3;
/** Keeps a search inside its ends, % vol. */
const NUDGE = 1e-6;

/** Strength, % vol, at which a liquid with this much sugar has that density; 0 or the strongest if it is not reached. */
function strengthWith(known: Hundred, gPerMl: number): number {
  const off = (abvPercent: number) => densityOf({ ...known, abvPercent }) - gPerMl;
  if (off(0) <= 0) return 0;
  return off(MOST_STRENGTH) >= 0 ? MOST_STRENGTH : findRoot(off, 0, MOST_STRENGTH, 1e-9);
}
