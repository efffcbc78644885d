/** A repeatable stream of random numbers: the same seed, the same stream, on every machine. */
export type SeededRandom = ReturnType<typeof seededRandom>;

/**
 * Start a stream. A counter in steps of the golden ratio of 2³², mixed by the 32-bit finaliser of MurmurHash3
 * (A. Appleby, public domain); ample for a few hundred thousand draws, not for cryptography.
 */
export function seededRandom(seed: number) {
  let state = seed >>> 0;
  const spare: number[] = [];
  /** Uniform unsigned 32-bit integer. */
  const bits = () => {
    state = (state + 0x9e3779b9) >>> 0;
    let h = state;
    h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
    h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
    return (h ^ (h >>> 16)) >>> 0;
  };
  /** Uniform on [0, 1), 32 bits fine. */
  const uniform = () => bits() / 2 ** 32;
  /** Standard normal (Marsaglia's polar method). */
  const normal = (): number => {
    const left = spare.pop();
    if (left !== undefined) return left;
    for (;;) {
      const a = 2 * uniform() - 1;
      const b = 2 * uniform() - 1;
      const s = a * a + b * b;
      if (s >= 1 || s === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(s)) / s);
      spare.push(b * factor);
      return a * factor;
    }
  };
  return { uniform, bits, normal };
}
