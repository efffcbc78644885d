/**
 * A smooth function through a table: cubic Hermite pieces whose slope at each knot is that
 * of the parabola through it and its neighbours. Reproduces the table exactly, is C¹ (so that
 * finite differences and root finders behave), and continues in a straight line beyond the ends.
 *
 * @param xs strictly increasing, at least three
 */
export function tabulated(xs: readonly number[], ys: readonly number[]): (x: number) => number {
  const n = xs.length;
  if (n < 3 || ys.length !== n) throw new RangeError("tabulated needs three or more (x, y) pairs");
  const h: number[] = [];
  const chord: number[] = [];
  for (let i = 0; i < n - 1; i++) {
    h.push(xs[i + 1]! - xs[i]!);
    if (!(h[i]! > 0)) throw new RangeError("tabulated needs strictly increasing x");
    chord.push((ys[i + 1]! - ys[i]!) / h[i]!);
  }
  const slope: number[] = new Array<number>(n);
  for (let i = 1; i < n - 1; i++) {
    slope[i] = (chord[i - 1]! * h[i]! + chord[i]! * h[i - 1]!) / (h[i - 1]! + h[i]!);
  }
  slope[0] = 2 * chord[0]! - slope[1]!;
  slope[n - 1] = 2 * chord[n - 2]! - slope[n - 2]!;

  return (x) => {
    if (x <= xs[0]!) return ys[0]! + slope[0]! * (x - xs[0]!);
    if (x >= xs[n - 1]!) return ys[n - 1]! + slope[n - 1]! * (x - xs[n - 1]!);
    let i = 0;
    while (x > xs[i + 1]!) i++;
    const d = h[i]!;
    const u = (x - xs[i]!) / d;
    const v = 1 - u;
    return (
      v * v * ((1 + 2 * u) * ys[i]! + u * d * slope[i]!) +
      u * u * ((1 + 2 * v) * ys[i + 1]! - v * d * slope[i + 1]!)
    );
  };
}
