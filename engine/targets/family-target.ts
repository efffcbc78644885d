import { AXES, AXIS_INDICES, fromScaled, perAxis, scaledDistance } from "../axes.ts";
import { fail, requireFinite } from "../errors.ts";
import { COVERAGE } from "../limits.ts";
import { mat3 } from "../linalg.ts";
import { fQuantile, meanVec3, tQuantile } from "../stats.ts";
import { FAMILY_SD_FLOOR } from "../tolerances.ts";
import type { Mat3, TargetSpec, Vec3 } from "../types.ts";
import { scatterOf } from "./scatter.ts";
import { familyMethod, familyNote } from "./words.ts";

/** Fewest drinks a family region is made from. */
export const SMALLEST_FAMILY = 6;

/** A member of a family: where it sits, and how much its own spec leaves open ("sugar syrup", "a bar spoon"). */
export interface FamilyMember {
  point: Vec3;
  /** Covariance of the point from what the spec leaves open; absent: it says all. Axis units. */
  doubt?: Mat3 | undefined;
}

/**
 * How drinks of one kind differ among bars, as a family of few is taken to until its own drinks say otherwise:
 * standard deviations as a share of the family's mean, and correlations; the middles over our families of
 * sours, rounded. It counts as much as `weight` drinks do: the weight at which drinks left out one at a time are
 * likeliest. tests/reference-data/families.test.ts works both out again.
 */
export const USUAL_SCATTER = {
  share: [0.2, 0.15, 0.11],
  correlation: [
    [1, 0.2, -0.3],
    [0.2, 1, -0.3],
    [-0.3, -0.3, 1],
  ],
  weight: 8,
} as const;

const FLOOR: Vec3 = fromScaled([FAMILY_SD_FLOOR, FAMILY_SD_FLOOR, FAMILY_SD_FLOOR]);

/** Two drinks closer than this, axis-scale units, are one point. */
const SAME_POINT = 1e-6;

/**
 * Region meant to hold the next drink of a family with probability `coverage` or more; what it was made from (drinks at
 * one point count once; the radius is the ellipsoid's, in standard deviations), and how, in words.
 *
 * The drinks are taken as normal about the family's mean, each seen through what its own spec leaves open; their
 * scatter starts from USUAL_SCATTER and is pulled to the family's own (inverse-Wishart prior with that mean). The
 * next drink then has a t distribution with w + n + 1 degrees, w the prior's weight, so that it lies in an ellipsoid
 * of radius² = 3·(w+n−1)/(w+n+1)·(1+1/n)·F(3, w+n+1) (A. Gelman and others, Bayesian Data Analysis, 3rd ed., 2013,
 * section 3.6). Hotelling's prediction region is what many drinks bring it to; with six it
 * would be seven standard deviations wide.
 *
 * With `ratio`, the ellipsoid is cut by a band of sugar to acid from the same model (log s/a, variance by the delta
 * method): the corners of an ellipsoid hold drinks of 17 to 1 that no bar would pour. Each part is then made for
 * half of what may be missed, so that both together miss no more than 1 − coverage. All of it stays convex. `ratio`
 * of the answer: its least and most; null where the two are not held together.
 *
 * Errors: EngineError for fewer than SMALLEST_FAMILY points, a non-finite point, coverage outside COVERAGE.
 */
export function familyTarget(
  members: readonly FamilyMember[],
  coverage: number,
  { ratio = false }: { ratio?: boolean } = {},
) {
  checkFamily(members, coverage);
  const distinct = members.filter(
    (m, i) => !members.slice(0, i).some((other) => scaledDistance(m.point, other.point) < SAME_POINT),
  );
  const n = distinct.length;
  const usual = usualCovariance(meanVec3(distinct.map((m) => m.point)));
  const { mean, covariance } = scatterOf(distinct, usual, USUAL_SCATTER.weight);
  const miss = ratio ? (1 - coverage) / 2 : 1 - coverage;
  const degrees = n + 1 + USUAL_SCATTER.weight;
  const next = ((degrees - 2) / degrees) * (1 + 1 / n);
  const radius = Math.sqrt(3 * next * fQuantile(1 - miss, 3, degrees));
  let target: TargetSpec = { kind: "ellipsoid", mean, covariance, radius };
  let band: readonly [number, number] | null = null;
  if (ratio) {
    const reach = tQuantile(1 - miss / 2, degrees) * Math.sqrt(next * logRatioVariance(mean, covariance));
    const middle = mean[0] / mean[1];
    band = [middle * Math.exp(-reach), middle * Math.exp(reach)];
    target = { kind: "intersection", parts: [target, { kind: "ratio", min: band[0], max: band[1] }] };
  }
  const [method, note] = [familyMethod(band !== null), familyNote(n, coverage, radius, band)];
  return { n, mean, covariance, radius, target, ratio: band, method, note };
}

/** The usual scatter about a mean, axis units. */
export function usualCovariance(mean: Vec3): Mat3 {
  const sd = perAxis((k) => Math.max(USUAL_SCATTER.share[k] * mean[k], FLOOR[k]));
  return mat3((i, j) => USUAL_SCATTER.correlation[i][j] * sd[i] * sd[j]);
}

/** Variance of log(sugar/acid), to first order. */
function logRatioVariance([s, a]: Vec3, c: Mat3): number {
  return c[0][0] / (s * s) + c[1][1] / (a * a) - (2 * c[0][1]) / (s * a);
}

function checkFamily(members: readonly FamilyMember[], coverage: number): void {
  requireFinite(coverage, "/coverage");
  const { min, max } = COVERAGE;
  if (coverage < min || coverage > max) {
    fail("/coverage", `expected ${min} to ${max}, got ${coverage}`, "give a share such as 0.8");
  }
  if (members.length < SMALLEST_FAMILY) {
    const detail = `a family region needs at least ${SMALLEST_FAMILY} drinks, got ${members.length}`;
    fail("/members", detail, "choose a broader family or a published band");
  }
  for (const [i, { point }] of members.entries()) {
    for (const k of AXIS_INDICES) requireFinite(point[k], `/members/${i}/point/${AXES[k].key}`);
  }
}
