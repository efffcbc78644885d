import { findRoot } from "./find-root.ts";
import { sucroseDensityKgPerM3 } from "./sucrose-water.ts";

/**
 * Specific refractions, mL/g, in the rule of Lorentz and Lorenz, (n²−1)/(n²+2)·V = Σ mᵢrᵢ, at 20 °C and 589 nm.
 * Water from n = 1.33299. Sugar, ethanol and acid: a straight line each in the substance's share of itself and
 * water, fitted by us to published indices: sucrose ICUMSA 10–75 % (five decimals, from memory; they agree with
 * the CRC Handbook's four), within 0.00004 (0.03 °Bx); ethanol CRC 5–70 %, within 0.00015 (0.1 °Bx); citric acid
 * CRC 1–20 %, within 0.00006. No standard covers ethanol and sugar together: with the volume of the mixing rule,
 * each pair comes out right and the three together are compared with brewers' measured triplets in the tests.
 * Glucose and fructose read up to 1.7 % lower than sucrose at 40 % (CRC); they are taken as sucrose.
 */
const WATER_ML_PER_G = 0.206061;
const SUGAR = { at0: 0.20699, slope: -0.0028 } as const;
const ETHANOL = { at0: 0.277073, slope: 0.003697 } as const;
const ACID = { at0: 0.193114, slope: -0.007925 } as const;

/** Grams of what bends light in a liquid; other dissolved solids count as sugar. */
export interface Refracting {
  ethanolG: number;
  waterG: number;
  sugarG: number;
  acidG: number;
  otherSolidsG: number;
}

/** Refractive index of a mixture at 20 °C, 589 nm, from its parts and its true volume. */
export function refractiveIndex(parts: Refracting, volumeMl: number): number {
  const { waterG } = parts;
  const share = (g: number) => (g > 0 ? g / (g + waterG) : 0);
  const solids = parts.sugarG + parts.otherSolidsG;
  const refraction = (g: number, { at0, slope }: typeof SUGAR | typeof ETHANOL | typeof ACID) =>
    g * (at0 + slope * share(g));
  const sum =
    WATER_ML_PER_G * waterG +
    refraction(solids, SUGAR) +
    refraction(parts.ethanolG, ETHANOL) +
    refraction(parts.acidG, ACID);
  const f = sum / volumeMl;
  return Math.sqrt((1 + 2 * f) / (1 - f));
}

const MOST_BRIX = 99;

/**
 * What a refractometer shows, °Bx at 20 °C, for a refractive index: the sucrose solution that bends light as much,
 * held between 0 and 99.
 */
export function brixReading(index: number): number {
  const of = (brix: number) => {
    const [sugarG, waterG] = [brix, 100 - brix];
    const volumeMl = 100_000 / sucroseDensityKgPerM3(brix / 100);
    return refractiveIndex({ ethanolG: 0, acidG: 0, otherSolidsG: 0, sugarG, waterG }, volumeMl);
  };
  if (of(0) >= index) return 0;
  return of(MOST_BRIX) <= index ? MOST_BRIX : findRoot((brix) => of(brix) - index, 0, MOST_BRIX, 1e-9);
}

/**
 * Degrees to add to a refractometer's reading taken at `tempC` by an instrument without its own correction.
 *
 * A polynomial fitted by us to the two tables read: OIV-MA-AS2-02, Table I (5–17 °C, 10–75 %), and the older
 * international table of 1936 as a Russian standard carries it (10–22 °C, 0–70 %); to water's own index at 30 °C.
 * Within 0.03 °Bx of every cell (the two tables differ by up to 0.04). At 25 and 30 °C it gives 0.34–0.40 and
 * 0.73–0.81, as those tables do from memory.
 *
 * @param readingBrix 0..80
 * @param tempC 5..35 (above 30 it runs on)
 */
export function brixTemperatureCorrection(readingBrix: number, tempC: number): number {
  const d = tempC - 20;
  const s = readingBrix / 100;
  return d * (0.062168 + s * (0.058754 - 0.055228 * s)) + d * d * (0.00104811 - 0.00149512 * s);
}
