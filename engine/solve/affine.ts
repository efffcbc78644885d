import { addTimes, product, setTimes } from "../vectors.ts";
import type { PourBox } from "./request.ts";

/** Σ perMl·x + fixed, of pours x (mL). */
export class Affine {
  constructor(
    readonly perMl: Float64Array,
    public fixed = 0,
  ) {}

  /** Become s times another. */
  set(s: number, other: Affine): this {
    setTimes(this.perMl, s, other.perMl);
    this.fixed = s * other.fixed;
    return this;
  }

  /** Add s times another. */
  add(s: number, other: Affine): this {
    addTimes(this.perMl, s, other.perMl);
    this.fixed += s * other.fixed;
    return this;
  }

  /** Read it from now on as a function of changes from some pours. */
  recentre(from: Float64Array): void {
    this.fixed += product(this.perMl, from);
  }

  /** Its value at some pours. */
  at(x: ArrayLike<number>): number {
    let sum = this.fixed;
    for (let i = 0; i < this.perMl.length; i += 1) sum += this.perMl[i]! * x[i]!;
    return sum;
  }

  /** Least and most over a box of pours. */
  range({ low, high }: PourBox): [least: number, most: number] {
    let least = this.fixed;
    let most = this.fixed;
    for (let i = 0; i < this.perMl.length; i += 1) {
      const k = this.perMl[i]!;
      const atLow = k * low[i]!;
      const atHigh = k * high[i]!;
      least += Math.min(atLow, atHigh);
      most += Math.max(atLow, atHigh);
    }
    return [least, most];
  }

  /** Its largest ratio to another on a box, by Dinkelbach's iteration (exact; +∞ if the other can vanish). */
  largestRatio(to: Affine, { low, high }: PourBox): number {
    let t = 0;
    for (let step = 0; step < 50; step += 1) {
      let top = this.fixed;
      let bottom = to.fixed;
      for (let i = 0; i < this.perMl.length; i += 1) {
        const a = this.perMl[i]!;
        const b = to.perMl[i]!;
        const x = a - t * b > 0 ? high[i]! : low[i]!;
        top += a * x;
        bottom += b * x;
      }
      if (bottom <= 1e-9) return top > 1e-12 ? Number.POSITIVE_INFINITY : t;
      const next = top / bottom;
      if (next <= t * (1 + 1e-13)) return Math.max(t, next);
      t = next;
    }
    return Number.POSITIVE_INFINITY;
  }
}
