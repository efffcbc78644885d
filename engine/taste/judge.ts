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
    ({ mean: this.mean, covariance: this.covariance } = weightedMoments(this.#ideals, this.#weights));
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
   * The ideals that none of these drinks is near enough to: their share, where to pour at for them, and the
   * chance that the ideal is one of them and near another drink.
   */
  unmetBy(drinks: readonly Vec3[]): { chance: number; aim: Vec3; chanceContent(at: Vec3): number } {
    const left = unmetWeights(this.#ideals, this.#weights, drinks);
    return {
      chance: left.reduce((a, b) => a + b, 0),
      aim: aimAt(this.#ideals, this.#weights, drinks),
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
function unmetWeights(
  ideals: readonly Vec3[],
  weights: readonly number[],
  drinks: readonly Vec3[],
): number[] {
  return ideals.map((p, i) => (drinks.some((at) => isNear(p, at)) ? 0 : weights[i]!));
}

/** Standard deviation of the haze a point stands for, spreads: a ball of CONTENT_DISTANCE, met by a ladder. */
const HAZE = 0.5;
/** Points the climb may set out from, heaviest first. */
const STARTS = 100;
const CLIMBING_STEPS = 12;

/**
 * Where to pour at: where the ideals that no drink is near (all, if none are left) lie closest together. Of the
 * heaviest points the one with most weight about it is climbed from to the top of the haze (mean shift:
 * K. Fukunaga and L. Hostetler, IEEE Trans. Inf. Theory 21, 1975). Their mean would do for one heap; but what is
 * left around a drink already poured is a shell, whose mean is that drink again.
 */
export function aimAt(ideals: readonly Vec3[], weights: readonly number[], drinks: readonly Vec3[]): Vec3 {
  const left = unmetWeights(ideals, weights, drinks);
  const counted = left.some((w) => w > 0) ? left : weights;
  const chosen = ideals.map((_, i) => i).filter((i) => counted[i]! > 0);
  const points = chosen.map((i) => ideals[i]!);
  const pullTo = ([x, y, z]: Vec3) =>
    points.map((p, i) => {
      const square = (p[0] - x) ** 2 + (p[1] - y) ** 2 + (p[2] - z) ** 2;
      return counted[chosen[i]!]! * Math.exp(-square / (2 * HAZE * HAZE));
    });
  const sumOf = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);
  const starts = [...chosen].sort((a, b) => counted[b]! - counted[a]!).slice(0, STARTS);
  const haze = starts.map((i) => sumOf(pullTo(ideals[i]!)));
  let top = ideals[starts[haze.indexOf(Math.max(...haze))]!]!;
  for (let step = 0; step < CLIMBING_STEPS; step++) {
    const pull = pullTo(top);
    const sum = sumOf(pull);
    const shares = pull.map((w) => w / sum);
    top = weightedMoments(points, shares).mean;
  }
  return top;
}
