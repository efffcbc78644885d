import { requireInRange } from "../errors.ts";
import { derivative, polynomial } from "./polynomial.ts";

/**
 * Density of sucrose–water mixtures: ICUMSA Specification and Standard SPS-4 (1998),
 * Densitometry and tables, after Bettin, Emmerich, Spieweck and Toth. The coefficients were read
 * in public transcriptions of the formula; the standard's number and title are from memory.
 * Two transcriptions differ in the fourth coefficient (−3.9643, −3.9646): under 0.0003 kg/m³.
 *
 * ρ(w,t) = ρ_water(t) + Σᵢ Tⁱ Σₖ cᵢₖ w^k,  T = (t − 20)/100
 */
const C = [
  [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.289],
  [-46.272, -7.172, 1.1597, 5.1126, 17.5254],
  [59.7712, 7.2491, 12.363, -35.4791],
  [-47.2207, -21.6977, 27.6301],
  [18.3184, 12.3081],
] as const;

/** Temperatures the formula is used at here. It was fitted above freezing; colder is extrapolation. */
export const SUCROSE_TEMPERATURE_RANGE_C = [-10, 80] as const;

/** ρ_water(t), kg/m³, the water term of the ICUMSA formula (Kell's rational form). */
function waterDensityKgPerM3(t: number): number {
  return (
    (999.83952 +
      t * (16.952577 + t * (-7.9905127e-3 + t * (-46.241757e-6 + t * (105.84601e-9 - t * 281.03006e-12))))) /
    (1 + 16.887236e-3 * t)
  );
}

/** Σ cₖ w^k, k from 1. */
function series(c: readonly number[], w: number): number {
  return w * polynomial(c, w);
}

/**
 * Density in kg/m³ of a sucrose solution.
 *
 * @param massFraction sucrose by mass, 0..1 (measured up to about 0.75; above that the formula
 *   runs on smoothly to 1552 kg/m³, near that of glassy sucrose)
 * @param tempC −10..80 °C
 * @throws EngineError outside either range
 */
export function sucroseDensityKgPerM3(massFraction: number, tempC = 20): number {
  const remedy = "give grams of sugar per gram of solution (°Brix / 100)";
  requireInRange(massFraction, [0, 1], "/massFraction", remedy, { name: "sucrose mass fraction" });
  const within = "use a temperature within the range";
  requireInRange(tempC, SUCROSE_TEMPERATURE_RANGE_C, "/tempC", within, { unit: "°C" });
  const T = (tempC - 20) / 100;
  const water = waterDensityKgPerM3(tempC);
  if (T === 0) return water + series(C[0], massFraction);
  const byPower = C.map((row) => series(row, massFraction));
  return water + polynomial(byPower, T);
}

const WATER_20 = waterDensityKgPerM3(20);

/** Coefficients of the density at 20 °C, kg/m³, in powers of the sucrose's share by mass, from the constant up. */
export const SUCROSE_DENSITY_20C: readonly number[] = [WATER_20, ...C[0]];

const SLOPE = derivative(SUCROSE_DENSITY_20C);

/**
 * Volume that `sugarG` adds to `waterG` of water at 20 °C, mL: the solution's volume by ICUMSA
 * less the water's own. Between 0.615 mL/g (dilute) and 0.630 mL/g (2:1 syrup). Homogeneous.
 */
export function sugarApparentVolumeMl(sugarG: number, waterG: number): number {
  const m = sugarG + waterG;
  if (!(m > 0) || sugarG === 0) return 0;
  return 1000 * (m / (WATER_20 + series(C[0], sugarG / m)) - waterG / WATER_20);
}

/** The same with its two partial derivatives (mL per g). */
export function sugarApparentVolume(sugarG: number, waterG: number) {
  const m = sugarG + waterG;
  const w = m > 0 ? sugarG / m : 0;
  const rho = WATER_20 + series(C[0], w);
  const slope = polynomial(SLOPE, w);
  return {
    ml: 1000 * (m / rho - waterG / WATER_20),
    perSugarG: 1000 * (1 / rho - (slope * (1 - w)) / (rho * rho)),
    perWaterG: 1000 * (1 / rho + (slope * w) / (rho * rho) - 1 / WATER_20),
  };
}

/** Grams of sucrose in 100 mL of solution of the given °Brix (% by mass). */
export function sucroseGPer100Ml(brix: number, tempC = 20): number {
  return (brix * sucroseDensityKgPerM3(brix / 100, tempC)) / 1000;
}
