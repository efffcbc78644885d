import { polynomial } from "./polynomial.ts";
import { tabulated } from "./tabulated.ts";

/** Latent heat of fusion of ice at 0 °C, J/g. TEOS-10, latent heat of melting at zero salinity and pressure. */
export const ICE_LATENT_HEAT_J_PER_G = 333.4265;

/** Heat capacity of ice at 0 °C, J/(g·K), from an appendix of thermodynamic properties of water and ice; 4 % less at −13 °C. */
export const ICE_HEAT_CAPACITY_J_PER_G_K = 2.101;

/** Heat capacity of water at 0–20 °C, J/(g·K): 4.218 at 0 °C, 4.182 (CRC, from memory) at 20 °C; the mean. */
export const WATER_HEAT_CAPACITY_J_PER_G_K = 4.2;

/**
 * Heat capacity of ethanol–water, J/(g·K), at 0 and 20 °C against % by mass: A. Melinder,
 * Properties of Secondary Working Fluids for Indirect Systems (IIR 2010), values computed from
 * the published polynomial, 5–50 %. The 60 % and 100 % points are from Perry's Handbook
 * (Table 2-205; printed at 3 and 23 °C, used at 0 and 20). Perry agrees within 2 % below that.
 */
const PERCENT = [0, 5, 10, 15, 20, 25, 30, 40, 50, 60, 100];
const at0 = tabulated(PERCENT, [4.218, 4.334, 4.402, 4.413, 4.369, 4.282, 4.163, 3.893, 3.634, 3.368, 2.259]);
const at20 = tabulated(
  PERCENT,
  [4.182, 4.241, 4.303, 4.335, 4.329, 4.287, 4.216, 4.029, 3.824, 3.598, 2.414],
);

/** Heat capacity of ethanol–water, J/(g·K); straight line in temperature through 0 and 20 °C. */
export function ethanolWaterHeatCapacityJPerGK(massFraction: number, tempC: number): number {
  const cold = at0(100 * massFraction);
  return cold + (at20(100 * massFraction) - cold) * (tempC / 20);
}

/**
 * Heat capacity of a whole drink, J/K. A sucrose solution's, 4.184 − 2.971 w + 0.460 w P + 0.0075 w t J/(g·K)
 * with purity P = 1 (a sugar-technology formula cited to Llano 2005, read in a public transcription), is linear
 * in the sugar's mass, so a gram of sugar contributes 1.673 + 0.0075 t J/K whatever else is there; acid and other
 * solids are counted like sugar (estimate).
 */
export function drinkHeatCapacityJPerK(
  ethanolG: number,
  waterG: number,
  solidsG: number,
  tempC: number,
): number {
  const pair = ethanolG + waterG;
  const liquid = pair > 0 ? pair * ethanolWaterHeatCapacityJPerGK(ethanolG / pair, tempC) : 0;
  return liquid + solidsG * (1.673 + 0.0075 * tempC);
}

const ETHANOL_MOLAR_MASS_G = 46.068;
const WATER_MOLAR_MASS_G = 18.015;

/**
 * Excess enthalpy of ethanol–water, J per mole of mixture: J. A. Larkin, Journal of Chemical
 * Thermodynamics 7 (1975) 137–148, H = x(1−x) Σ aₘ x^m, aₘ = b + cT + dT². Reference and form
 * read; coefficients read in a text quoting them. Minimum −810 J/mol near x = 0.15 at 25 °C.
 *
 * @param moleFraction of ethanol, 0..1
 * @param tempK 298.15..383.15, the range of the fit (not checked; the engine uses 298.15 only)
 */
export function excessEnthalpyJPerMol(moleFraction: number, tempK = ENGINE_TEMP_K): number {
  const x = moleFraction;
  const { whole, halves } = tempK === ENGINE_TEMP_K ? AT_ENGINE_TEMP : larkinAt(tempK);
  return x * (1 - x) * (whole + Math.sqrt(x) * polynomial(halves, x));
}

/** In powers of the temperature: of x⁰, and of x^½, x^1½ and so on. */
const LARKIN_WHOLE = [-3.63868e5, 1.83829e3, -2.32763];
const LARKIN_HALVES = [
  [9.25982e5, -4.83586e3, 6.37228],
  [-14.04894e5, 7.51661e3, -10.1128],
  [10.91318e5, -5.89498e3, 7.98868],
  [],
  [-2.79986e5, 1.50557e3, -2.03127],
];

const ENGINE_TEMP_K = 298.15;

const larkinAt = (tempK: number) => ({
  whole: polynomial(LARKIN_WHOLE, tempK),
  halves: LARKIN_HALVES.map((c) => polynomial(c, tempK)),
});

/** The coefficients where the engine uses them: the ice balance asks tens of thousands of times a second. */
const AT_ENGINE_TEMP = larkinAt(ENGINE_TEMP_K);

/**
 * Heat content of mixing held by ethanol and water together, J at 25 °C (negative: mixing gives
 * off heat). Mixing two liquids releases the sum of theirs less the mixture's. Homogeneous.
 */
export function excessEnthalpyJ(ethanolG: number, waterG: number): number {
  const ethanolMol = ethanolG / ETHANOL_MOLAR_MASS_G;
  const waterMol = waterG / WATER_MOLAR_MASS_G;
  const mol = ethanolMol + waterMol;
  return ethanolMol > 0 ? mol * excessEnthalpyJPerMol(ethanolMol / mol) : 0;
}
