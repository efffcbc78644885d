import { AXIS_INDICES, toVec } from "../axes.ts";
import { addScaledMat3, eigenSymmetric3, mat3, outer3 } from "../linalg.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import { MEASURED_RESIDUAL } from "../tolerances.ts";
import type { DoubtShare, DoubtSource, Mat3, Placement, Vec3 } from "../types.ts";
import { linearShares, ownCovariance } from "./linear-shares.ts";
import { probabilityInside } from "./probability-inside.ts";
import { adviceText, canBeMeasured } from "./words.ts";

/** One thing worth measuring, with the chances that say so. */
export interface MeasuringAdvice extends DoubtSource {
  /** The doubt it settles (DoubtShare id). */
  doubt: string;
  /** Its share of the variance toward the nearest edge, 0–1. */
  share: number;
  chanceNow: number;
  /** Measured, with the pours corrected to keep the drink at the same point. */
  chanceMeasured: number;
  /** Not measured, but re-poured to the better of the target's middle and `pouredChance`. */
  chancePoured: number;
  text: string;
}

/** Advice needs the chance to rise by this much, and to pass what pouring gives by as much. */
const WORTH_WHILE = 0.02;

/** Advice is not given for a doubt with less than this share. */
const LEAST_SHARE = 0.1;

/**
 * What to measure, best first, and only where measuring beats pouring. Measuring alone moves no drink: what it
 * buys is that the pours can be corrected for what was found, so the drink stays where it is with less doubt
 * (the measured doubt keeps MEASURED_RESIDUAL of its standard deviation). That chance is compared with the
 * chance of re-pouring to the middle of the target with the doubt as it is, or with `pouredChance`, the best
 * chance among known proposals, when that is higher. Both numbers are given.
 */
export function adviseMeasuring(
  placement: Pick<Placement, "point" | "covariance" | "doubts">,
  target: CompiledTarget,
  nameOf: (ingredient: string) => string,
  options: { pouredChance?: number } = {},
): MeasuringAdvice[] {
  const mean = toVec(placement.point);
  const { covariance, doubts } = placement;
  const chance = (at: Vec3, c: Mat3) => probabilityInside(target, at, c);
  const chanceNow = chance(mean, covariance);
  // Outside, the doubt is what makes a hit possible at all: measuring it cannot raise the chance.
  if (!target.contains(mean) || 1 - chanceNow < WORTH_WHILE) return [];
  const shares = linearShares(doubts, target, mean);
  const candidates = doubts
    .map((doubt, i) => ({ doubt, share: shares[i]! }))
    .filter(({ doubt, share }) => share >= LEAST_SHARE && canBeMeasured(doubt));
  if (candidates.length === 0) return [];
  const chancePoured = Math.max(chance(target.centre, covariance), chanceNow, options.pouredChance ?? 0);
  return candidates
    .map(({ doubt, share }): MeasuringAdvice => {
      const chanceMeasured = chance(mean, lessDoubt(covariance, doubt));
      const chances = { chanceNow, chanceMeasured, chancePoured };
      const { id, kind, ingredient, unit } = doubt;
      return {
        doubt: id,
        kind,
        ingredient,
        unit,
        share,
        ...chances,
        text: adviceText(doubt, nameOf(ingredient ?? ""), share, chances),
      };
    })
    .filter(
      ({ chanceMeasured }) =>
        chanceMeasured >= chanceNow + WORTH_WHILE && chanceMeasured >= chancePoured + WORTH_WHILE,
    )
    .sort((a, b) => b.chanceMeasured - a.chanceMeasured);
}

/** The covariance with one doubt's standard deviation cut to MEASURED_RESIDUAL. */
function lessDoubt(covariance: Mat3, doubt: DoubtShare): Mat3 {
  const less = addScaledMat3(covariance, MEASURED_RESIDUAL ** 2 - 1, ownCovariance(doubt));
  // Without its own covariances a doubt may take more than there is along some direction: stop at nothing.
  const { values, vectors } = eigenSymmetric3(less);
  return AXIS_INDICES.reduce(
    (kept, k) => addScaledMat3(kept, Math.max(values[k], 0), outer3(vectors[k])),
    mat3(() => 0),
  );
}
