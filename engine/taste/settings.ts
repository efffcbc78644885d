/**
 * Every number the table's model assumes before anyone has tasted. Lengths are in spreads: one standard
 * deviation of the family's classics on an axis (about 1.1 g sugar, 0.15 g acid per 100 mL and 1.4 % vol for
 * the sours), which is close to what a practised taster can just tell. Except where a docstring says
 * otherwise these are our estimates, no published source; each is wide and is learned from the marks.
 */

/** A positive quantity known up to a factor: median, and the standard deviation of its logarithm. */
export interface LogNormal {
  median: number;
  logSd: number;
}

/** A quantity known up to a normal error. */
export interface Normal {
  mean: number;
  sd: number;
}

/**
 * How far from the classics a table's ideal may lie, as a multiple of their spread. A drink is developed
 * because the classics are not quite it, so the middle is above 1; the long upper tail is what widens when
 * marks contradict the classics.
 */
export const PRIOR_WIDTH: LogNormal = { median: 1.2, logSd: 0.6 };

/** How far tasters' ideals lie from their common one, on each axis. */
export const TASTER_SPREAD: LogNormal = { median: 0.5, logSd: 0.6 };

type OnEachAxis<T> = readonly [T, T, T];

function about(mean: number, sd: number): Normal {
  return { mean, sd };
}

/**
 * How much of one axis's excess is felt on another, `CROSS[felt][in the drink]`; 1 on the diagonal by
 * definition. Sugar hides acid and acid hides sugar (masking: the direction is textbook knowledge, the size
 * is ours), sugar softens strength; the rest may be either way.
 */
export const CROSS: OnEachAxis<OnEachAxis<Normal>> = [
  [about(1, 0), about(-0.25, 0.2), about(0, 0.15)],
  [about(-0.25, 0.2), about(1, 0), about(0, 0.15)],
  [about(-0.15, 0.15), about(0, 0.15), about(1, 0)],
];

/**
 * Standard deviation of what is felt about what is there, one taster, one sip, one axis. A practised table is
 * steady to under half a spread, a loud room late in the evening to one and a half: both lie one deviation out. Where
 * it is taken too small the range is too sure, and three rounds of marks are too few to say otherwise.
 */
export const MARK_NOISE: LogNormal = { median: 0.8, logSd: 0.6 };

/** Excess at which "just about right" gives way to "a little too much". */
export const JUST_RIGHT: LogNormal = { median: 0.5, logSd: 0.25 };

/** Further excess at which "a little" gives way to "much". */
export const LITTLE: LogNormal = { median: 1, logSd: 0.25 };

/** Log odds of a mark or liking set down at random: another glass, a slip, no attention. One in ten, or a quarter. */
export const LAPSE_LOG_ODDS: Normal = { mean: -2.2, sd: 1.2 };

/** Points of liking lost one spread from the ideal (quadratic near it, straight further out), times 1.2. */
export const LIKING_SLOPE: LogNormal = { median: 0.8, logSd: 0.5 };

/** Standard deviation of a taster's liking for the same drink, points of the 9-point scale. */
export const LIKING_NOISE: LogNormal = { median: 1.4, logSd: 0.5 };

/**
 * Correlation of the logarithms of the two noises: who is tired or distracted is so for marks and likings alike,
 * so that marks which contradict one another make the likings doubtful too, and the other way round.
 */
export const SHARED_NOISE = 0.7;

/** A taster's liking of their own ideal drink, points. */
export const LIKING_PEAK: Normal = { mean: 7.3, sd: 0.8 };

/** Difference of two likings below which "no preference" is the usual answer, as a share of its noise. */
export const TIE_SHARE = 0.4;

/**
 * A drink this close to the table's ideal, in spreads of the family, leaves the table content: less than
 * most tasters can tell.
 */
export const CONTENT_DISTANCE = 0.7;

/** Chance of a content table at which a round counts as settled. */
export const SETTLED_CHANCE = 0.8;
