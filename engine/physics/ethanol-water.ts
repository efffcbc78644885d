import { fail, requireInRange } from "../errors.ts";
import { findRoot } from "./find-root.ts";
import { derivative, polynomial } from "./polynomial.ts";

/**
 * Density of ethanol–water mixtures: OIML International Recommendation R 22, International
 * Alcoholometric Tables (1973), §4 general formula; the same formula and coefficients are the
 * Annex of Council Directive 76/766/EEC (OJ L 262, 1976, p. 149). Underlying measurements:
 * H. Wagenbreth and W. Blanke, PTB-Mitteilungen 81 (1971) 412–415.
 *
 * ρ(p,t) = A₁ + Σ Aₖ p^(k−1) + Σ Bₖ (t−20)^k + Σᵢ Σₖ Cᵢₖ p^k (t−20)^i
 */
const A = [
  998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042, -613838.1234,
  747017.2998, -547846.1354, 223446.0334, -39032.85426,
] as const;

/** Coefficients of the density at 20 °C, kg/m³, in powers of the ethanol's share by mass, from the constant up. */
export const ETHANOL_WATER_DENSITY_20C: readonly number[] = A;

const B = [-0.20618513, -0.0052682542, 3.6130013e-5, -3.8957702e-7, 7.169354e-9, -9.9739231e-11] as const;

const C = [
  [
    0.1693443461530087, -10.46914743455169, 71.96353469546523, -704.7478054272792, 3924.090430035045,
    -12101.64659068747, 22486.46550400788, -26055.62982188164, 18523.73922069467, -7420.201433430137,
    1285.617841998974,
  ],
  [
    -0.0119301300505701, 0.2517399633803461, -2.170575700536993, 13.53034988843029, -50.29988758547014,
    109.635566657757, -142.2753946421155, 108.043594285623, -44.14153236817392, 7.442971530188783,
  ],
  [
    -0.0006802995733503803, 0.01876837790289664, -0.2002561813734156, 1.02299296671922, -2.895696483903638,
    4.810060584300675, -4.672147440794683, 2.458043105903461, -0.5411227621436812,
  ],
  [4.075376675622027e-6, -8.76305857347111e-6, 6.515031360099368e-6, -1.51578483698721e-6],
  [-2.788074354782409e-8, 1.345612883493354e-8],
] as const;

/** Range of the OIML formula in °C; outside it the formula is not defined. */
export const OIML_TEMPERATURE_RANGE_C = [-20, 40] as const;

/**
 * Density in kg/m³ of an ethanol–water mixture.
 *
 * @param massFraction ethanol / (ethanol + water) by mass, 0..1
 * @param tempC −20..40 °C (the range of the formula)
 * @throws EngineError outside either range
 */
export function ethanolWaterDensityKgPerM3(massFraction: number, tempC = 20): number {
  const remedy = "give grams of ethanol per gram of ethanol and water";
  requireInRange(massFraction, [0, 1], "/massFraction", remedy, { name: "ethanol mass fraction" });
  const within = "use a temperature within the range of OIML R 22";
  requireInRange(tempC, OIML_TEMPERATURE_RANGE_C, "/tempC", within, { unit: "°C" });
  const dt = tempC - 20;
  let rho = polynomial(A, massFraction);
  if (dt !== 0) {
    rho += dt * polynomial(B, dt);
    let power = 1;
    for (const row of C) {
      power *= dt;
      rho += power * massFraction * polynomial(row, massFraction);
    }
  }
  return rho;
}

/** Density in kg/m³ at 20 °C without range checks, for inner loops. */
export function ethanolWaterDensity20KgPerM3(massFraction: number): number {
  return polynomial(A, massFraction);
}

const A_DERIVATIVE = derivative(A);

/** d(density)/d(mass fraction) at 20 °C, kg/m³. */
export function ethanolWaterDensitySlope20KgPerM3(massFraction: number): number {
  return polynomial(A_DERIVATIVE, massFraction);
}

/** ρ(1, 20 °C) by the formula, 789.239 kg/m³; R 22 prints it as 789.24. */
export const ETHANOL_DENSITY_20C_KG_PER_M3 = polynomial(A, 1);

/** ρ(0, 20 °C) by the formula. */
export const WATER_DENSITY_20C_KG_PER_M3: number = A[0];

/** Grams of ethanol in one mL of pure ethanol at 20 °C. */
export const ETHANOL_G_PER_ML = ETHANOL_DENSITY_20C_KG_PER_M3 / 1000;

/** Grams in one mL of water at 20 °C: what a mL of melt water counts for. */
export const WATER_G_PER_ML = WATER_DENSITY_20C_KG_PER_M3 / 1000;

/** Alcoholic strength by volume (% vol at 20 °C) of an ethanol–water mixture: R 22's q = p ρ(p)/ρ(1). */
export function massFractionToAbvPercent(massFraction: number): number {
  return (100 * massFraction * ethanolWaterDensityKgPerM3(massFraction)) / ETHANOL_DENSITY_20C_KG_PER_M3;
}

/**
 * Ethanol mass fraction of an ethanol–water mixture of the given strength; the inverse of
 * `massFractionToAbvPercent`, which is strictly increasing on 0..1, to full precision.
 *
 * @param abvPercent 0..100 % vol at 20 °C
 * @throws EngineError outside 0..100
 */
export function abvPercentToMassFraction(abvPercent: number): number {
  const remedy = "give the strength in per cent by volume";
  requireInRange(abvPercent, [0, 100], "/abvPercent", remedy, { unit: "% vol" });
  return findRoot((p) => massFractionToAbvPercent(p) - abvPercent, 0, 1, 1e-15);
}

/**
 * Volume in mL at 20 °C of ethanol and water mixed, contraction (or expansion) included.
 * Homogeneous: doubling both doubles it. Zero for nothing.
 */
export function ethanolWaterVolumeMl(ethanolG: number, waterG: number): number {
  const m = ethanolG + waterG;
  return m > 0 ? (1000 * m) / ethanolWaterDensity20KgPerM3(ethanolG / m) : 0;
}

/**
 * mL of water needed to bring `volumeMl` of an ethanol–water mixture from one strength to a
 * lower one. By definition of % vol the final volume is volumeMl × from / to exactly; mass
 * balance then gives the water.
 *
 * @throws EngineError when `toAbvPercent` is not in (0, fromAbvPercent]
 */
export function dilutionWaterMl(volumeMl: number, fromAbvPercent: number, toAbvPercent: number): number {
  if (!(toAbvPercent > 0 && toAbvPercent <= fromAbvPercent)) {
    const detail = `${toAbvPercent} % vol is not between 0 and ${fromAbvPercent} % vol`;
    fail("/toAbvPercent", detail, "choose a strength below the starting one");
  }
  const massG = (ml: number, abv: number) =>
    (ml * ethanolWaterDensityKgPerM3(abvPercentToMassFraction(abv))) / 1000;
  const finalMl = (volumeMl * fromAbvPercent) / toAbvPercent;
  return (massG(finalMl, toAbvPercent) - massG(volumeMl, fromAbvPercent)) / WATER_G_PER_ML;
}
