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
  /** What is felt on an axis of each axis's excess, row by row. */
  cross: Float64Array;
  markNoise: number;
  /** Excess beyond which it is no longer just right, and beyond which it is much too much. */
  justRight: number;
  much: number;
  /** Chance that a mark or liking is set down at random. */
  lapse: number;
  likingSlope: number;
  likingNoise: number;
}

const OFF_DIAGONAL = [1, 2, 3, 5, 6, 7] as const;

/** How many standard normal numbers make one set of habits. */
export const HABIT_COUNT = OFF_DIAGONAL.length + 8;

/** What is left to the likings' own noise. */
const OWN_NOISE = Math.sqrt(1 - SHARED_NOISE ** 2);

const scaled = ({ median, logSd }: LogNormal, z: number) => median * Math.exp(logSd * z);

/** The habits that `z` stands for: HABIT_COUNT numbers, independent standard normals before anyone tastes. */
export function habitsOf(z: Float64Array): Habits {
  const cross = Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1);
  OFF_DIAGONAL.forEach((at, i) => {
    const { mean, sd } = CROSS[Math.floor(at / 3)]![at % 3]!;
    cross[at] = mean + sd * z[8 + i]!;
  });
  const justRight = scaled(JUST_RIGHT, z[3]!);
  return {
    width: scaled(PRIOR_WIDTH, z[0]!),
    tasterSpread: scaled(TASTER_SPREAD, z[1]!),
    cross,
    markNoise: scaled(MARK_NOISE, z[2]!),
    justRight,
    much: justRight + scaled(LITTLE, z[4]!),
    lapse: 1 / (1 + Math.exp(-LAPSE_LOG_ODDS.mean - LAPSE_LOG_ODDS.sd * z[5]!)),
    likingSlope: scaled(LIKING_SLOPE, z[6]!),
    likingNoise: scaled(LIKING_NOISE, SHARED_NOISE * z[2]! + OWN_NOISE * z[7]!),
  };
}
