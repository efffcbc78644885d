import type { Mat3, Vec3 } from "../types.ts";
import { idealsOf, type LearnedTable, likingsOf } from "./learn.ts";
import { CONTENT_DISTANCE } from "./settings.ts";
import { weightedMoments } from "./table-range.ts";

/** What a drink would be to some tasters, as far as the answers tell. */
export interface Outlook {
  /** Chance that the drink is within CONTENT_DISTANCE of their mean ideal. */
  chanceContent: number;
  /** Expected mean liking, 1–9. */
  liking: number;
}

/** Judges drinks (in spreads) for some tasters of a learned table. */
export class TableJudge {
  readonly mean: Vec3;
  readonly covariance: Mat3;
  readonly #ideals: readonly Vec3[];
  readonly #weights: readonly number[];

  constructor(
    readonly learned: LearnedTable,
    readonly tasters?: readonly number[],
  ) {
    this.#ideals = idealsOf(learned, tasters);
    this.#weights = learned.posterior.draws.map((d) => d.weight);
    const { mean, covariance } = weightedMoments(this.#ideals, this.#weights);
    this.mean = mean;
    this.covariance = covariance;
  }

  outlook(at: Vec3): Outlook {
    return {
      chanceContent: chanceNear(this.#ideals, this.#weights, at),
      liking: this.#expected(likingsOf(this.learned, at, this.tasters)),
    };
  }

  /** How a drink fares against another, averaged over the tasters. */
  against(at: Vec3, other: Vec3): { chancePreferred: number; gain: number } {
    const theirs = likingsOf(this.learned, other, this.tasters);
    const gains = likingsOf(this.learned, at, this.tasters).map((x, i) => x - theirs[i]!);
    return {
      chancePreferred: this.#expected(gains.map((g) => (g > 0 ? 1 : g < 0 ? 0 : 0.5))),
      gain: this.#expected(gains),
    };
  }

  /**
   * The ideals that none of these drinks is near enough to: their share, their mean (that of all, if no such
   * are left), and the chance that the ideal is one of them and near another drink.
   */
  unmetBy(drinks: readonly Vec3[]): { chance: number; mean: Vec3; chanceContent(at: Vec3): number } {
    const left = unmetWeights(this.#ideals, this.#weights, drinks);
    const chance = left.reduce((a, b) => a + b, 0);
    const shares = left.map((w) => w / chance);
    return {
      chance,
      mean: chance > 0 ? weightedMoments(this.#ideals, shares).mean : this.mean,
      chanceContent: (at) => chanceNear(this.#ideals, left, at),
    };
  }

  #expected(values: readonly number[]): number {
    return values.reduce((sum, x, i) => sum + this.#weights[i]! * x, 0);
  }
}

/** Whether a table with this ideal is content with this drink. */
export function isNear(ideal: Vec3, at: Vec3): boolean {
  const [x, y, z] = [ideal[0] - at[0], ideal[1] - at[1], ideal[2] - at[2]];
  return x * x + y * y + z * z <= CONTENT_DISTANCE * CONTENT_DISTANCE;
}

/** Weight of the ideals that a drink is near. */
export function chanceNear(ideals: readonly Vec3[], weights: readonly number[], at: Vec3): number {
  return ideals.reduce((sum, p, i) => (isNear(p, at) ? sum + weights[i]! : sum), 0);
}

/** The weights, 0 for ideals that one of the drinks is near. */
export function unmetWeights(
  ideals: readonly Vec3[],
  weights: readonly number[],
  drinks: readonly Vec3[],
): number[] {
  return ideals.map((p, i) => (drinks.some((at) => isNear(p, at)) ? 0 : weights[i]!));
}
