import { mat3 } from "../linalg.ts";
import type { Mat3 } from "../types.ts";
import {
  CROSS,
  JUST_RIGHT,
  LAPSE_LOG_ODDS,
  LIKING_NOISE,
  LIKING_SLOPE,
  LITTLE,
  type LogNormal,
  MARK_NOISE,
  PRIOR_WIDTH,
  SHARED_NOISE,
  TASTER_SPREAD,
} from "./settings.ts";

/** How this table tastes and marks, whatever it likes: the unknowns that are not ideals. Lengths in spreads. */
export interface Habits {
  /** How far from the classics the common ideal may lie, as a multiple of their spread. */
  width: number;
  /** How far tasters' ideals lie from the common one, on each axis. */
  tasterSpread: number;
  /** What is felt on an axis (row) of each axis's excess. */
  cross: Mat3;
  markNoise: number;
  /** Excess beyond which it is no longer just right, and beyond which it is much too much. */
  justRight: number;
  much: number;
  /** Chance that a mark or liking is set down at random. */
  lapse: number;
  likingSlope: number;
  likingNoise: number;
}

/** How many standard normal numbers make one set of habits: one for each, and six for `cross`. */
export const HABIT_COUNT = 14;

/** What is left to the likings' own noise. */
const OWN_NOISE = Math.sqrt(1 - SHARED_NOISE ** 2);

const scaled = ({ median, logSd }: LogNormal, z: number) => median * Math.exp(logSd * z);

/**
 * The habits that HABIT_COUNT numbers stand for, independent standard normals before anyone tastes. Those left
 * out are 0: none at all are the usual habits.
 */
export function habitsOf(numbers: readonly number[]): Habits {
  const [width = 0, apart = 0, noise = 0, right = 0, little = 0, slips = 0, slope = 0, own = 0, ...masking] =
    numbers;
  const justRight = scaled(JUST_RIGHT, right);
  return {
    width: scaled(PRIOR_WIDTH, width),
    tasterSpread: scaled(TASTER_SPREAD, apart),
    cross: mat3((i, j) => {
      const { mean, sd } = CROSS[i][j];
      return i === j ? 1 : mean + sd * (masking[2 * i + (j < i ? j : j - 1)] ?? 0);
    }),
    markNoise: scaled(MARK_NOISE, noise),
    justRight,
    much: justRight + scaled(LITTLE, little),
    lapse: 1 / (1 + Math.exp(-LAPSE_LOG_ODDS.mean - LAPSE_LOG_ODDS.sd * slips)),
    likingSlope: scaled(LIKING_SLOPE, slope),
    likingNoise: scaled(LIKING_NOISE, SHARED_NOISE * noise + OWN_NOISE * own),
  };
}
