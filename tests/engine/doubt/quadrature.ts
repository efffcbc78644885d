/** Nodes and weights of the 7-point Gauss and 15-point Kronrod rules (QUADPACK, Piessens et al., 1983). */
const NODES = [
  0.9914553711208126, 0.9491079123427585, 0.8648644233597691, 0.7415311855993945, 0.5860872354676911,
  0.4058451513773972, 0.2077849550078985, 0,
];
const KRONROD = [
  0.0229353220105292, 0.0630920926299786, 0.1047900103222502, 0.1406532597155259, 0.1690047266392679,
  0.1903505780647854, 0.2044329400752989, 0.2094821410847278,
];
const GAUSS = [0.1294849661688697, 0.2797053914892767, 0.3818300505051189, 0.4179591836734694];

const DEEPEST = 14;

/**
 * Integral of f over the intervals between consecutive `breaks` (ascending; where f may have kinks), by
 * adaptive Gauss-Kronrod. Each interval is walked with x = a + (b − a)t²(3 − 2t), which flattens square-root
 * ends such as the chord of a circle. `tolerance` is absolute, for the whole.
 */
export function integrate(
  f: (x: number) => number,
  breaks: readonly number[],
  tolerance: number,
): { value: number; error: number } {
  let value = 0;
  let error = 0;
  for (let i = 0; i + 1 < breaks.length; i++) {
    const a = breaks[i]!;
    const width = breaks[i + 1]! - a;
    if (!(width > 0)) continue;
    const smooth = (t: number) => f(a + width * t * t * (3 - 2 * t)) * width * 6 * t * (1 - t);
    const part = adapt(smooth, 0, 1, tolerance / (breaks.length - 1), 0);
    value += part.value;
    error += part.error;
  }
  return { value, error };
}

function adapt(
  f: (t: number) => number,
  a: number,
  b: number,
  tolerance: number,
  depth: number,
): { value: number; error: number } {
  const middle = 0.5 * (a + b);
  const half = 0.5 * (b - a);
  let kronrod = 0;
  let gauss = 0;
  NODES.forEach((node, k) => {
    const sum = node === 0 ? f(middle) : f(middle - half * node) + f(middle + half * node);
    kronrod += KRONROD[k]! * sum;
    if (k % 2 === 1) gauss += GAUSS[(k - 1) / 2]! * sum;
  });
  const error = Math.abs(kronrod - gauss) * half;
  if (error < tolerance || depth >= DEEPEST) return { value: kronrod * half, error };
  const left = adapt(f, a, middle, tolerance / 2, depth + 1);
  const right = adapt(f, middle, b, tolerance / 2, depth + 1);
  return { value: left.value + right.value, error: left.error + right.error };
}
