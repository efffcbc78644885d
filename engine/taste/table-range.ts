import { toPoint } from "../axes.ts";
import { fail } from "../errors.ts";
import { COVERAGE } from "../limits.ts";
import {
  addScaled3,
  addScaledMat3,
  invert3,
  mat3,
  outer3,
  quadForm,
  rescale3,
  subtract3,
} from "../linalg.ts";
import type { Mat3, Point, TargetSpec, Vec3 } from "../types.ts";
import { idealsOf, type LearnedTable } from "./learn.ts";
import { fromSpreads } from "./observations.ts";

/** Where some tasters' common ideal lies, and a region that holds it. */
export interface TableRange {
  /** A target like any other: holds the ideal with chance `coverage`. */
  target: TargetSpec & { kind: "ellipsoid" };
  coverage: number;
  /** The middle: the mean of the ideal. */
  ideal: Point;
  sd: Point;
  /** Axis units. */
  covariance: Mat3;
}

/** Share of chance that a table's range holds, unless the caller names another. */
export const TABLE_COVERAGE = 0.8;

/** Mean and covariance of points whose weights sum to 1. */
export function weightedMoments(
  points: readonly Vec3[],
  weights: readonly number[],
): { mean: Vec3; covariance: Mat3 } {
  const mean = points.reduce<Vec3>((sum, p, i) => addScaled3(sum, weights[i]!, p), [0, 0, 0]);
  const covariance = points.reduce(
    (sum, p, i) => addScaledMat3(sum, weights[i]!, outer3(subtract3(p, mean))),
    mat3(() => 0),
  );
  return { mean, covariance };
}

/**
 * The region where some tasters' (default: the whole table's) mean ideal lies with chance `coverage`: the
 * ellipsoid of the posterior's mean and covariance, sized to hold that share of it, so that a lopsided
 * posterior is not taken for a normal one.
 *
 * @throws EngineError for a coverage outside 0.05–0.99
 */
export function tableRange(
  learned: LearnedTable,
  options: { coverage?: number; tasters?: readonly number[] } = {},
): TableRange {
  const { coverage = TABLE_COVERAGE } = options;
  if (!(coverage >= COVERAGE.min && coverage <= COVERAGE.max)) {
    const remedy = "give a share such as 0.8";
    return fail("/coverage", `expected ${COVERAGE.min} to ${COVERAGE.max}, got ${coverage}`, remedy);
  }
  const weights = learned.posterior.draws.map((d) => d.weight);
  const ideals = idealsOf(learned, options.tasters);
  const { mean, covariance } = weightedMoments(ideals, weights);
  const inverse = invert3(covariance)!;
  const distances = ideals.map((p) => Math.sqrt(quadForm(inverse, subtract3(p, mean))));
  const radius = weightedQuantile(distances, weights, coverage);
  const centre = fromSpreads(learned.prior, mean);
  const inAxes = rescale3(covariance, learned.prior.spread);
  return {
    target: { kind: "ellipsoid", mean: centre, covariance: inAxes, radius },
    coverage,
    ideal: toPoint(centre),
    sd: toPoint([Math.sqrt(inAxes[0][0]), Math.sqrt(inAxes[1][1]), Math.sqrt(inAxes[2][2])]),
    covariance: inAxes,
  };
}

/** The value with `share` of the weight at or below it, linear between values. */
function weightedQuantile(values: readonly number[], weights: readonly number[], share: number): number {
  const ordered = values
    .map((value, i) => ({ value, weight: weights[i]! }))
    .sort((a, b) => a.value - b.value);
  let below = 0;
  let from = 0;
  for (const { value, weight } of ordered) {
    const next = below + weight;
    if (next >= share) return from + ((share - below) / weight) * (value - from);
    below = next;
    from = value;
  }
  return from;
}
