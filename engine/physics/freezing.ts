import { tabulated } from "./tabulated.ts";

/**
 * Freezing-point depressions, °C against % by mass, from CRC Handbook of Chemistry and Physics,
 * 102nd ed. (2021), Concentrative Properties of Aqueous Solutions (A. V. Wolf's measurements),
 * read in a public transcription. Ethanol agrees with Melinder (2010) within 0.5 °C up to 40 %; J. A. Dean's
 * handbook table lies up to 1.5 °C warmer at 14–32 %, so the uncertainty carried is 1 °C.
 */
const ethanolDepression = tabulated(
  [0, 1, 5, 10, 15, 20, 24, 30, 40, 42, 50, 60],
  [0, 0.4, 2.09, 4.47, 7.36, 10.92, 14.47, 20.47, 29.26, 30.98, 37.67, 44.93],
);

const sucroseDepression = tabulated(
  [0, 1, 5, 10, 15, 20, 24, 30, 40, 42],
  [0, 0.06, 0.29, 0.63, 1.01, 1.47, 1.89, 2.64, 4.45, 4.93],
);

const citricDepression = tabulated(
  [0, 1, 5, 10, 14, 20, 24, 30],
  [0, 0.11, 0.54, 1.12, 1.66, 2.57, 3.21, 4.25],
);

/** Standard uncertainty of a freezing point from these tables, °C: the spread of the sources. */
export const FREEZING_SD_C = 1;

/**
 * Freezing point in °C of a drink: the depressions of ethanol, sugar and acid, each at its own
 * concentration in all of the water, added (straight lines beyond the tables' ends). That is
 * Ross's rule (the water activities multiply), and depression is nearly linear in the logarithm of water activity. K. D. Ross, Food
 * Technology 29(3) (1975) 26–34, from memory.
 *
 * @param sucroseLikeG sugar in grams of sucrose with the same number of molecules: freezing counts
 *   molecules, so a gram of glucose or fructose counts for 1.9 g (2 to 10 % too much above 10 % by
 *   mass, where sucrose departs more from ideal; small against the 1 °C above)
 */
export function freezingPointC(
  ethanolG: number,
  waterG: number,
  sucroseLikeG: number,
  acidG: number,
): number {
  const share = (g: number) => (g > 0 ? (100 * g) / (g + waterG) : 0);
  return -(
    ethanolDepression(share(ethanolG)) +
    sucroseDepression(share(sucroseLikeG)) +
    citricDepression(share(acidG))
  );
}
