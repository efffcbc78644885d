/** Σ cₖ x^k, k from 0, by Horner's rule. */
export function polynomial(c: readonly number[], x: number): number {
  let sum = 0;
  for (let k = c.length - 1; k >= 0; k--) sum = sum * x + c[k]!;
  return sum;
}

/** The coefficients of a polynomial's slope. */
export function derivative(c: readonly number[]): number[] {
  return c.slice(1).map((a, k) => a * (k + 1));
}
