import { normalCdf, normalDensity } from "../stats.ts";
import type { Vec3 } from "../types.ts";
import type { Habits } from "./habits.ts";
import { TIE_SHARE } from "./settings.ts";
import type { Mark } from "./types.ts";

/** One answer of one taster. Drinks are in spreads from the classics' centre; `taster` counts from 0. */
export type Observation = { taster: number; at: Vec3 } & (
  | { kind: "mark"; axis: 0 | 1 | 2; mark: Mark }
  | { kind: "liking"; liking: number }
  /** `at` was preferred to `other`, or neither was. */
  | { kind: "comparison"; other: Vec3; tie: boolean }
  /** A word said of the drink: too far along `direction` (unit length, felt axes). */
  | { kind: "word"; direction: Vec3 }
);

/** What a taster is: ideal (3), then liking of it. */
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
  slope: Float64Array;
}

/** A `Felt` to be written over. */
export function blankFelt(): Felt {
  return { value: 0, low: 0, high: 0, noise: 1, share: 1, slope: new Float64Array(PER_TASTER) };
}

/** What `o` says about a taster whose latent numbers start at `a` in `v`; written into `out`. */
export function feel(o: Observation, v: Float64Array, a: number, h: Habits, out: Felt): void {
  const { slope } = out;
  switch (o.kind) {
    case "mark": {
      const row = 3 * o.axis;
      out.value = 0;
      for (let k = 0; k < 3; k++) {
        out.value += h.cross[row + k]! * (o.at[k]! - v[a + k]!);
        slope[k] = -h.cross[row + k]!;
      }
      slope[3] = 0;
      out.noise = h.markNoise;
      out.low = o.mark === -2 ? -Infinity : edge(h, o.mark, -0.5);
      out.high = o.mark === 2 ? Infinity : edge(h, o.mark, 0.5);
      out.share = 1 / 5;
      return;
    }
    case "word":
      out.value = 0;
      slope.fill(0);
      for (let i = 0; i < 3; i++) {
        for (let k = 0; k < 3; k++) {
          const c = o.direction[i]! * h.cross[3 * i + k]!;
          out.value += c * (o.at[k]! - v[a + k]!);
          slope[k]! -= c;
        }
      }
      out.noise = h.markNoise;
      out.low = h.justRight;
      out.high = Infinity;
      out.share = 1 / 2;
      return;
    case "liking":
      slope.fill(0);
      out.value = v[a + 3]! + addLoss(o.at, 1, v, a, h, slope);
      slope[3] = 1;
      out.noise = h.likingNoise;
      out.low = o.liking <= 1 ? -Infinity : o.liking - 0.5;
      out.high = o.liking >= 9 ? Infinity : o.liking + 0.5;
      out.share = 1 / 9;
      return;
    case "comparison": {
      slope.fill(0);
      out.value = addLoss(o.at, 1, v, a, h, slope) + addLoss(o.other, -1, v, a, h, slope);
      out.noise = h.likingNoise * Math.SQRT2;
      const even = TIE_SHARE * out.noise;
      out.low = o.tie ? -even : even;
      out.high = o.tie ? even : Infinity;
      out.share = 1 / 3;
    }
  }
}

/** The edge half a mark above or below `mark`. */
function edge(h: Habits, mark: number, side: -0.5 | 0.5): number {
  const at = mark + side;
  const size = Math.abs(at) < 1 ? h.justRight : h.much;
  return at < 0 ? -size : size;
}

/**
 * −(liking lost at `at`) times `sign`, its slope added to `slope`. Quadratic near the ideal and straight
 * further out, so that one far drink does not outvote the near ones.
 */
function addLoss(at: Vec3, sign: 1 | -1, v: Float64Array, a: number, h: Habits, slope: Float64Array): number {
  const d0 = at[0] - v[a]!;
  const d1 = at[1] - v[a + 1]!;
  const d2 = at[2] - v[a + 2]!;
  const far = Math.sqrt(1 + d0 * d0 + d1 * d1 + d2 * d2);
  const s = (sign * 2 * h.likingSlope) / far;
  slope[0]! += s * d0;
  slope[1]! += s * d1;
  slope[2]! += s * d2;
  return -sign * 2 * h.likingSlope * (far - 1);
}

/** Expected liking of a drink by a taster, points; may leave 1–9 far from the ideal. */
export function expectedLiking(at: Vec3, v: Float64Array, a: number, h: Habits): number {
  const far = Math.sqrt(1 + (at[0] - v[a]!) ** 2 + (at[1] - v[a + 1]!) ** 2 + (at[2] - v[a + 2]!) ** 2);
  return v[a + 3]! - 2 * h.likingSlope * (far - 1);
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
