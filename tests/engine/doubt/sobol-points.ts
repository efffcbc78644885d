import type { AxisIndex } from "../../../engine/axes.ts";
import type { Vec3 } from "../../../engine/types.ts";

/** Direction numbers of the first three dimensions: (degree s, coefficient a, initial m). */
const DIMENSIONS: readonly { s: number; a: number; m: readonly number[] }[] = [
  { s: 0, a: 0, m: [] },
  { s: 1, a: 0, m: [1] },
  { s: 2, a: 1, m: [1, 3] },
];

const BITS = 32;

const DIRECTIONS: readonly Uint32Array[] = DIMENSIONS.map(({ s, a, m }) => {
  const v = new Uint32Array(BITS);
  for (let k = 0; k < BITS; k++) {
    if (s === 0) v[k] = 2 ** (BITS - 1 - k);
    else if (k < s) v[k] = m[k]! * 2 ** (BITS - 1 - k);
    else {
      let value = v[k - s]! ^ (v[k - s]! >>> s);
      for (let i = 1; i < s; i++) if ((a >> (s - 1 - i)) & 1) value ^= v[k - i]!;
      v[k] = value >>> 0;
    }
  }
  return v;
});

/**
 * The first `count` points of the three-dimensional Sobol sequence, each coordinate shifted digit by digit by
 * the 32-bit words in `shift` (I. M. Sobol, 1967; direction numbers of S. Joe and F. Kuo, SIAM J. Sci. Comput.
 * 30, 2008; the Gray-code order of I. Antonov and V. Saleev, 1979). Coordinates lie strictly inside (0, 1).
 */
export function sobolPoints(count: number, shift: readonly [number, number, number]): Vec3[] {
  const state = [0, 0, 0];
  return Array.from({ length: count }, (_, i): Vec3 => {
    if (i > 0) {
      // The lowest set bit of i names the digit in which consecutive Gray codes differ.
      const digit = 31 - Math.clz32(i & -i);
      for (let k = 0; k < 3; k++) state[k] = (state[k]! ^ DIRECTIONS[k]![digit]!) >>> 0;
    }
    const at = (k: AxisIndex) => (((state[k]! ^ shift[k]) >>> 0) + 0.5) / 2 ** BITS;
    return [at(0), at(1), at(2)];
  });
}
