import { ETHANOL_WATER_DENSITY_20C, ethanolWaterVolumeMl } from "../physics/ethanol-water.ts";
import { derivative, polynomial } from "../physics/polynomial.ts";
import { SUCROSE_DENSITY_20C, sugarApparentVolumeMl } from "../physics/sucrose-water.ts";

/** Grid on which the two volume functions of one share by mass are tabulated. */
const GRID = 256;
/** Evaluating a density and its inverse errs by less than this share (terms up to 1e6, doubles to 1e-16). */
const ROUNDING = 1e-11;

/** A volume per gram as a function of a share by mass, enclosed. */
export interface BentVolume {
  /** At k/GRID. */
  values: Float64Array;
  /** By how much the function strays from its chord between k/GRID and (k+1)/GRID, at most. */
  strays: Float64Array;
}

/** mL per gram of ethanol and water, by the ethanol's share. */
export const ETHANOL_VOLUME = tabulate((p) => ethanolWaterVolumeMl(p, 1 - p), ETHANOL_WATER_DENSITY_20C);
/** mL that sugar adds per gram of sugar and water, by the sugar's share. */
export const SUGAR_VOLUME = tabulate((w) => sugarApparentVolumeMl(w, 1 - w), SUCROSE_DENSITY_20C);

/**
 * Tabulate f(t) = 1000/ρ(t) + a linear part. On an interval of length h, f strays from its chord by at most
 * h²/8·max|f″|, and f″ = 1000·(2ρ′² − ρρ″)/ρ³. ρ is a polynomial, so about the interval's middle c each derivative
 * is a finite Taylor sum, |ρ⁽ʲ⁾(t) − ρ⁽ʲ⁾(c)| ≤ Σ_{m≥1} |ρ⁽ʲ⁺ᵐ⁾(c)|·(h/2)ᵐ/m!: a bound for every t, not a sample.
 */
function tabulate(f: (t: number) => number, density: readonly number[]): BentVolume {
  const half = 0.5 / GRID;
  const strays = Float64Array.from({ length: GRID }, (_, k) => {
    const [rho, slope, bend] = rangesAbout(density, (k + 0.5) / GRID, half);
    const squares = [slope[0] ** 2, slope[1] ** 2];
    const products = rho.flatMap((r) => bend.map((b) => r * b));
    const ends = [
      2 * (slope[0] < 0 && slope[1] > 0 ? 0 : Math.min(...squares)) - Math.max(...products),
      2 * Math.max(...squares) - Math.min(...products),
    ];
    const most = (1000 * Math.max(...ends.map(Math.abs))) / rho[0] ** 3;
    return (most * (2 * half) ** 2) / 8 + (ROUNDING * 2000) / rho[0];
  });
  return { values: Float64Array.from({ length: GRID + 1 }, (_, k) => f(k / GRID)), strays };
}

type Range = [least: number, most: number];

/** Ranges of a polynomial (coefficients from the constant up) and of its first two derivatives within `half` of c. */
function rangesAbout(coefficients: readonly number[], c: number, half: number): [Range, Range, Range] {
  const at: number[] = [];
  for (let rest = coefficients; rest.length > 0; rest = derivative(rest)) {
    at.push(polynomial(rest, c));
  }
  const range = (order: number): Range => {
    let [off, step] = [0, 1];
    for (const [m, value] of at.slice(order + 1).entries()) {
      step *= half / (m + 1);
      off += Math.abs(value) * step;
    }
    const middle = at[order] ?? 0;
    return [middle - off, middle + off];
  };
  return [range(0), range(1), range(2)];
}

/** Parallel lines slope·t + low ≤ f(t) ≤ slope·t + high on [from, to], widened to the grid. */
export function chord(
  { values, strays }: BentVolume,
  from: number,
  to: number,
): { slope: number; low: number; high: number } {
  const first = Math.max(0, Math.min(GRID - 1, Math.floor(from * GRID)));
  const last = Math.max(first + 1, Math.min(GRID, Math.ceil(to * GRID)));
  const [start = 0, end = 0] = [values[first], values[last]];
  const slope = ((end - start) * GRID) / (last - first);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  let stray = 0;
  for (let k = first; k <= last; k += 1) {
    const off = (values[k] ?? 0) - (slope * k) / GRID;
    if (off < low) low = off;
    if (off > high) high = off;
    const own = k < last ? (strays[k] ?? 0) : 0;
    if (own > stray) stray = own;
  }
  return { slope, low: low - stray, high: high + stray };
}
