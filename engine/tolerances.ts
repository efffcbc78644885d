/**
 * Every epsilon of the engine's geometry and statistics, named, with its unit and the reason for its size.
 * Nothing here is a knob for passing tests: each is far below what a jigger or a titration can see.
 */

/**
 * Slack, in axis-scale units, within which a point on a target's edge counts as inside. 1e-9 of a step is
 * 2e-9 g/100 mL of sugar: above the rounding of the mixing arithmetic (about 1e-12), far below any pour.
 */
export const MEMBERSHIP_TOLERANCE = 1e-9;

/**
 * Slack, in axis-scale units, allowed when a candidate nearest point or vertex, found by solving a small
 * linear system, is checked against the faces it should satisfy. Rounding of such a solve grows with the
 * sharpness of the corner; faces meeting at one part in 1e4 still leave 1e-11.
 */
export const VERTEX_TOLERANCE = 1e-9;

/** Relative singular-value cut-off below which a direction counts as absent (rank, solvability). */
export const RANK_TOLERANCE = 1e-12;

/**
 * Largest allowed ratio of the longest to the shortest squared axis of a target ellipsoid, in axis-scale
 * units. Beyond it the region is a sheet or a needle, and rounding decides what is inside.
 */
export const MAX_ELLIPSOID_CONDITION = 1e10;

/** Largest relative asymmetry of a covariance that is still read as rounding and averaged away. */
export const SYMMETRY_TOLERANCE = 1e-9;

/**
 * A target must have room for a ball of this radius (axis-scale units) unless all its faces are flat.
 * A curved region thinner than this (2e-4 g/100 mL of sugar) is a touching point no pour can hit, and the
 * convex programs lose their digits in it.
 */
export const MIN_INTERIOR_RADIUS = 1e-4;

/** Duality gap (axis-scale units squared) at which the interior-point projection stops. */
export const DUALITY_GAP = 1e-13;

/** Upper limit on Newton and bisection steps: loops end even on inputs nobody foresaw. */
export const MAX_ITERATIONS = 200;

/** Relative change at which series, continued fractions and root searches stop: a few units in the last place. */
export const SERIES_TOLERANCE = 1e-15;

/** Largest gap (axis-scale units) between a drawn outline of a curved region and the true outline. */
export const OUTLINE_TOLERANCE = 2e-3;

/** Gaps below this share of the largest (in axis-scale units) are left out of the words for an outside point. */
export const WORDS_SHARE = 0.1;

/**
 * Smallest standard deviation, in axis-scale units, a family is given on an axis. Published specs are
 * rounded to pours of about 2.5 mL, so equal values in a handful of specs do not mean zero spread.
 */
export const FAMILY_SD_FLOOR = 0.1;

/** Volumes, mL, closer than this differ by rounding only: a millionth of a drop is 5e-8. */
export const POUR_TOLERANCE_ML = 1e-9;

/** Two volumes of one ingredient, mL, closer than this are the same pour; far below any rung of any tool. */
export const SAME_POUR_ML = 1e-6;

/** Relative difference below which two poured amounts are the same amount (parse and unit rounding). */
export const SAME_AMOUNT = 1e-9;

/** Variance, in axis-scale units squared, below which a direction of the doubt is treated as certain. */
export const NO_DOUBT_VARIANCE = 1e-18;

/** Standard normal distance beyond which mass is ignored: 2Φ(−6) is 2e-9, far below what a chance is given to. */
export const NORMAL_REACH = 6;

/**
 * Share of its standard deviation that a doubt keeps after it is measured: a bar's titration, refractometer or
 * jug reads to a few percent where the pantry's prior is ten to twenty (our estimate, no published source).
 */
export const MEASURED_RESIDUAL = 0.2;
