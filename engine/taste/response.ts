import type { AxisIndex } from "../axes.ts";
import { addScaled3, dot3, scaled3, subtract3 } from "../linalg.ts";
import { normalCdf, normalDensity } from "../stats.ts";
import type { Vec3 } from "../types.ts";
import type { Habits } from "./habits.ts";
import { TIE_SHARE } from "./settings.ts";
import type { Mark } from "./types.ts";

/** One answer of one taster. Drinks are in spreads from the classics' centre; `taster` counts from 0. */
export type Observation = { taster: number; at: Vec3 } & (
  | { kind: "mark"; axis: AxisIndex; mark: Mark }
  | { kind: "liking"; liking: number }
  /** `at` was preferred to `other`, or neither was. */
  | { kind: "comparison"; other: Vec3; tie: boolean }
  /** A word said of the drink: too far along `direction` (unit length, felt axes). */
  | { kind: "word"; direction: Vec3 }
);

/** What a taster is. */
export interface Taster {
  /** In spreads. */
  ideal: Vec3;
  /** Liking of it. */
  peak: number;
}

/** How many numbers a taster is: ideal, then peak. */
export const PER_TASTER = 4;

/**
 * An answer as an interval that a felt quantity fell in: `value` plus normal noise of standard deviation
 * `noise` lay between `low` and `high`; at random, this answer is given with chance `share`.
 */
export interface Felt {
  value: number;
  low: number;
  high: number;
  noise: number;
  share: number;
  /** Change of `value` with the taster's ideal (3) and peak. */
  slope: readonly number[];
}

/** What `o` says about its taster. */
export function feel(o: Observation, taster: Taster, h: Habits): Felt {
  switch (o.kind) {
    case "mark": {
      const row = h.cross[o.axis];
      return {
        value: dot3(row, subtract3(o.at, taster.ideal)),
        slope: slopeOf(scaled3(-1, row), 0),
        low: o.mark === -2 ? -Infinity : edge(h, o.mark, -0.5),
        high: o.mark === 2 ? Infinity : edge(h, o.mark, 0.5),
        noise: h.markNoise,
        share: 1 / 5,
      };
    }
    case "word": {
      const [x, y, z] = o.direction;
      const row = addScaled3(addScaled3(scaled3(x, h.cross[0]), y, h.cross[1]), z, h.cross[2]);
      return {
        value: dot3(row, subtract3(o.at, taster.ideal)),
        slope: slopeOf(scaled3(-1, row), 0),
        low: h.justRight,
        high: Infinity,
        noise: h.markNoise,
        share: 1 / 2,
      };
    }
    case "liking": {
      const { value, slope } = loss(o.at, taster, h);
      return {
        value: taster.peak - value,
        slope: slopeOf(scaled3(-1, slope), 1),
        low: o.liking <= 1 ? -Infinity : o.liking - 0.5,
        high: o.liking >= 9 ? Infinity : o.liking + 0.5,
        noise: h.likingNoise,
        share: 1 / 9,
      };
    }
    case "comparison": {
      const [one, other] = [loss(o.at, taster, h), loss(o.other, taster, h)];
      const noise = h.likingNoise * Math.SQRT2;
      const even = TIE_SHARE * noise;
      return {
        value: other.value - one.value,
        slope: slopeOf(subtract3(other.slope, one.slope), 0),
        low: o.tie ? -even : even,
        high: o.tie ? even : Infinity,
        noise,
        share: 1 / 3,
      };
    }
  }
}

const slopeOf = ([x, y, z]: Vec3, peak: number): Felt["slope"] => [x, y, z, peak];

/** What is felt of a drink on an axis. */
export function feltOn(axis: AxisIndex, at: Vec3, { ideal }: Taster, h: Habits): number {
  return dot3(h.cross[axis], subtract3(at, ideal));
}

/** The edge half a mark above or below `mark`. */
function edge(h: Habits, mark: number, side: -0.5 | 0.5): number {
  const at = mark + side;
  const size = Math.abs(at) < 1 ? h.justRight : h.much;
  return at < 0 ? -size : size;
}

/**
 * Liking lost at a drink, and its change with the ideal. Quadratic near the ideal and straight further out, so
 * that one far drink does not outvote the near ones.
 */
function loss(at: Vec3, { ideal }: Taster, h: Habits): { value: number; slope: Vec3 } {
  const away = subtract3(at, ideal);
  const far = Math.sqrt(1 + dot3(away, away));
  const steep = 2 * h.likingSlope;
  return { value: steep * (far - 1), slope: scaled3(-steep / far, away) };
}

/** Expected liking of a drink by a taster, points; may leave 1–9 far from the ideal. */
export function expectedLiking(at: Vec3, taster: Taster, h: Habits): number {
  return taster.peak - loss(at, taster, h).value;
}

/** Φ(high) − Φ(low), without losing the digits of a far tail on either side. */
function between(low: number, high: number): number {
  if (low > 0) return between(-high, -low);
  const upper = high === Infinity ? 1 : normalCdf(high);
  return low === -Infinity ? upper : Math.max(upper - normalCdf(low), 0);
}

/** Log chance of the answer. Finite: a lapse can always give it. */
export function logChance({ value, low, high, noise, share }: Felt, lapse: number): number {
  return Math.log((1 - lapse) * between((low - value) / noise, (high - value) / noise) + lapse * share);
}

/** First derivative of the log chance by `value`, and minus the second, held to 0 or more. */
export function curvature({ value, low, high, noise, share }: Felt, lapse: number): [number, number] {
  const up = (high - value) / noise;
  const down = (low - value) / noise;
  const densityUp = high === Infinity ? 0 : normalDensity(up);
  const densityDown = low === -Infinity ? 0 : normalDensity(down);
  const chance = (1 - lapse) * between(down, up) + lapse * share;
  const first = ((1 - lapse) * (densityDown - densityUp)) / (noise * chance);
  const bent = (densityDown === 0 ? 0 : down * densityDown) - (densityUp === 0 ? 0 : up * densityUp);
  const second = ((1 - lapse) * bent) / (noise * noise * chance);
  return [first, Math.max(0, first * first - second)];
}
