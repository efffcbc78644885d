/**
 * Root of a continuous f on [lo, hi] where f(lo) and f(hi) differ in sign (or one is zero).
 *
 * Chandrupatla's bracketing method: inverse quadratic interpolation when the three last
 * points make it safe, bisection otherwise, so it can never leave the bracket nor stall.
 * Source: T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145–149
 * (citation from memory; the tests check the method against roots known in closed form).
 *
 * @param tolerance absolute tolerance on x; the machine spacing of x is added to it
 * @throws RangeError when the bracket holds no sign change: a caller's bug, not a user's input
 */
export function findRoot(f: (x: number) => number, lo: number, hi: number, tolerance = 1e-12): number {
  let b = lo;
  let a = hi;
  let fb = f(b);
  let fa = f(a);
  if (fb === 0) return b;
  if (fa === 0) return a;
  // Signs, not the product: that of two tiny values underflows to zero.
  if (!(Math.sign(fa) * Math.sign(fb) < 0)) {
    throw new RangeError(`findRoot needs a sign change: f(${lo}) = ${fb}, f(${hi}) = ${fa}`);
  }
  let t = 0.5;
  for (let step = 0; step < 200; step++) {
    const x = a + t * (b - a);
    const fx = f(x);
    let c: number;
    let fc: number;
    if (Math.sign(fx) === Math.sign(fa)) {
      c = a;
      fc = fa;
    } else {
      c = b;
      fc = fb;
      b = a;
      fb = fa;
    }
    a = x;
    fa = fx;
    const best = Math.abs(fa) < Math.abs(fb) ? a : b;
    const allowed = 2 * Number.EPSILON * Math.abs(best) + tolerance / 2;
    const tMin = allowed / Math.abs(b - a);
    if (fa === 0 || tMin > 0.5) return best;
    const xi = (a - b) / (c - b);
    const phi = (fa - fb) / (fc - fb);
    // Interpolate only where the inverse quadratic is monotone on the bracket.
    if (phi * phi < xi && (1 - phi) * (1 - phi) < 1 - xi) {
      t = (fa / (fb - fa)) * (fc / (fb - fc)) + (((c - a) / (b - a)) * (fa / (fc - fa)) * fb) / (fc - fb);
    } else {
      t = 0.5;
    }
    t = Math.min(1 - tMin, Math.max(tMin, t));
  }
  return Math.abs(fa) < Math.abs(fb) ? a : b;
}
