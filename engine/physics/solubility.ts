import { tabulated } from "./tabulated.ts";

/**
 * Sucrose in a saturated solution, g per 100 g of water against °C: F. Mohos, Confectionery and Chocolate
 * Engineering (Wiley, 2010), Table A2.2 (after Antokolskaya 1964), read. Other tables read differ by 0.3–0.4 % of
 * the solution's mass at 20 °C.
 */
const sucrose = tabulated(
  [0, 5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100],
  [179.2, 184.7, 190.5, 197.0, 203.9, 211.4, 219.9, 238.1, 260.4, 287.3, 320.5, 362.1, 415.7, 487.2],
);

/** Standard uncertainty of a saturation from that table, % by mass of the solution: the spread of the tables. */
export const SATURATION_SD_PERCENT = 0.4;

/** °Brix of a saturated sucrose solution. @param tempC 0..100 */
export function sucroseSaturationBrix(tempC: number): number {
  const g = sucrose(tempC);
  return (100 * g) / (100 + g);
}

/**
 * Grams of glucose per gram of water below which a honey or glucose syrup stays liquid for long, and above which
 * it grains quickly (a rule of the honey trade after J. W. White's survey of 504 samples, read in texts quoting it).
 */
export const GLUCOSE_PER_WATER = { staysLiquid: 1.7, grainsQuickly: 2.1 } as const;

/**
 * Most citric acid a solution holds, % by mass as anhydrous, against °C (10..100): a handbook quoted on the web for
 * 10–30 °C, from memory above.
 */
export const citricSaturationPercent = tabulated([10, 20, 30, 40, 60, 100], [54, 59.2, 64.3, 68.6, 73.5, 84]);
