import { toPoint } from "../axes.ts";
import { fail } from "../errors.ts";
import { COVERAGE } from "../limits.ts";
import { addScaled3, invert3, mat3, quadForm, rescale3, subtract3 } from "../linalg.ts";
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
  let mean: Vec3 = [0, 0, 0];
  points.forEach((p, i) => {
    mean = addScaled3(mean, weights[i]!, p);
  });
  const sums = [0, 0, 0, 0, 0, 0];
  points.forEach((p, i) => {
    const w = weights[i]!;
    const [a, b, c] = subtract3(p, mean);
    [a * a, a * b, a * c, b * b, b * c, c * c].forEach((product, k) => {
      sums[k]! += w * product;
    });
  });
  const at = [
    [0, 1, 2],
    [1, 3, 4],
    [2, 4, 5],
  ];
  return { mean, covariance: mat3((i, j) => sums[at[i]![j]!]!) };
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
  const order = values.map((_, i) => i).sort((a, b) => values[a]! - values[b]!);
  let below = 0;
  let from = 0;
  for (const i of order) {
    const next = below + weights[i]!;
    if (next >= share) return from + ((share - below) / weights[i]!) * (values[i]! - from);
    below = next;
    from = values[i]!;
  }
  return from;
}
