import type { MixModel } from "../dilution/model.ts";
import { solveLinear } from "../linalg.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { ethanolWaterVolumeMl, WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { sugarApparentVolumeMl } from "../physics/sucrose-water.ts";

/** Two affine functions of the pours x (mL) with lower ≤ finished volume ≤ upper on a box. */
export interface VolumeBounds {
  upper: Float64Array;
  upper0: number;
  lower: Float64Array;
  lower0: number;
}

/** Grid on which the two one-variable volume functions are tabulated. */
const GRID = 256;
/** Between grid points a function strays from its chord by at most its second difference / 8; half again for safety. */
const CURVATURE_SAFETY = 1.5;
/** Ratio ranges are widened by this share against rounding. */
const WIDEN = 1e-9;
/** Pours sampled to fit the energy balance's water, and the factor on the largest error found. */
const SAMPLES = 160;
const RESIDUAL_SAFETY = 2;

interface Tabulated {
  values: Float64Array;
  remainder: number;
}

function tabulate(f: (t: number) => number): Tabulated {
  const values = Float64Array.from({ length: GRID + 1 }, (_, k) => f(k / GRID));
  let bend = 0;
  for (let k = 1; k < GRID; k += 1) {
    bend = Math.max(bend, Math.abs(values[k - 1]! - 2 * values[k]! + values[k + 1]!));
  }
  return { values, remainder: (CURVATURE_SAFETY * bend) / 8 };
}

let tables: { ethanol: Tabulated; sugar: Tabulated } | null = null;

/**
 * Linear bounds on a finished drink's true volume.
 *
 * The volume is V = (mₑ+m_w)·g(p) + (mₛ+m_w)·F(w) + linear terms, with p the ethanol share of ethanol and
 * water by mass, w the sugar share of sugar and water, and m_w including the ice's water W. On a box of
 * pours p and w lie in ranges (a linear-fractional program each, solved exactly), on which g and F are
 * enclosed between parallel lines; times the mass these are linear. W = a₂E²/P + linear, and E²/P on
 * e₁ ≤ E/P ≤ e₂ lies between a tangent and the secant (it is the perspective of e²): linear again.
 * The energy balance's water has no closed form: it is fitted in the same shape and the largest error
 * on sampled pours, doubled, is added on both sides (`proved` is then false).
 */
export class VolumeEnclosure {
  readonly proved: boolean;
  /** True when the ratio of ice water depends on strength, so that cells of e = E/P pay. */
  readonly bent: boolean;
  readonly size: number;
  /** mL of ethanol per mL in the mix stage (0 for lines added after). */
  readonly mixEthanol: Float64Array;
  /** 1 in the mix stage, else 0. */
  readonly mixPour: Float64Array;

  private readonly ethanolG: Float64Array;
  private readonly waterG: Float64Array;
  private readonly sugarG: Float64Array;
  private readonly linearMl: Float64Array;
  private readonly a2: number;
  private readonly waterPerMl: Float64Array;
  private readonly water0: number;
  private readonly waterMargin: number;
  private readonly waterUp: Float64Array;
  private readonly waterDown: Float64Array;

  /**
   * @param lowMl,highMl range of each pour, mL (used to sample the energy balance)
   */
  constructor(model: MixModel, lowMl: ArrayLike<number>, highMl: ArrayLike<number>) {
    const n = model.coeffs.length;
    this.size = n;
    const column = (f: (i: number) => number) => Float64Array.from({ length: n }, (_, i) => f(i));
    const c = model.coeffs;
    const isMix = (i: number) => (model.stages[i] === "mix" ? 1 : 0);
    this.mixPour = column(isMix);
    this.mixEthanol = column((i) => isMix(i) * c[i]!.ethanolMl);
    this.ethanolG = column((i) => c[i]!.ethanolG);
    this.waterG = column((i) => c[i]!.waterG);
    this.sugarG = column((i) => c[i]!.sugarG);
    this.linearMl = column((i) => mixedVolumeMl({ ...c[i]!, ethanolG: 0, waterG: 0, sugarG: 0 }));
    this.waterUp = new Float64Array(n);
    this.waterDown = new Float64Array(n);
    const d = model.dilution;
    if (d.kind === "constant") {
      this.a2 = 0;
      this.waterPerMl = column((i) => d.ratio * isMix(i));
      this.water0 = 0;
      this.waterMargin = 0;
    } else if (d.kind === "quadratic") {
      this.a2 = d.factor * d.a2;
      this.waterPerMl = column((i) => isMix(i) * d.factor * (d.a1 * c[i]!.ethanolMl + d.a0));
      this.water0 = 0;
      this.waterMargin = 0;
    } else {
      const fit = fitWater(model, lowMl, highMl);
      this.a2 = fit.a2;
      this.waterPerMl = column(
        (i) => isMix(i) * (fit.a1 * c[i]!.ethanolMl + fit.a0 + fit.perSugarG * c[i]!.sugarG),
      );
      this.water0 = fit.constant;
      this.waterMargin = fit.margin;
    }
    this.proved = d.kind !== "energy";
    this.bent = this.a2 !== 0;
    tables ??= {
      ethanol: tabulate((p) => ethanolWaterVolumeMl(p, 1 - p)),
      sugar: tabulate((w) => sugarApparentVolumeMl(w, 1 - w)),
    };
  }

  /** Width of a cell of e on which the ice water is enclosed to within `share` of the mix. */
  cellWidth(share: number): number {
    return this.bent ? Math.sqrt((4 * share) / Math.abs(this.a2)) : Number.POSITIVE_INFINITY;
  }

  /** Range of e = E/P over a box of pours. */
  strengthRange(low: ArrayLike<number>, high: ArrayLike<number>): [number, number] {
    const [least, most] = ratioRange(this.mixEthanol, 0, this.mixPour, 0, this.mixPour, 0, low, high);
    return [Math.min(least, most), Math.min(1, most)];
  }

  /** Bounds valid for low ≤ x ≤ high and e₁ ≤ E/P ≤ e₂, written into `out`. */
  enclose(e1: number, e2: number, low: ArrayLike<number>, high: ArrayLike<number>, out: VolumeBounds): void {
    const { size: n, a2, waterUp, waterDown, waterMargin } = this;
    const middle = (e1 + e2) / 2;
    // E²/P: secant above, tangent below; a negative a₂ swaps them.
    const [upE, upP] = a2 < 0 ? [2 * middle, -middle * middle] : [e1 + e2, -e1 * e2];
    const [downE, downP] = a2 < 0 ? [e1 + e2, -e1 * e2] : [2 * middle, -middle * middle];
    for (let i = 0; i < n; i += 1) {
      const mix = this.mixPour[i]!;
      const e = this.mixEthanol[i]!;
      waterUp[i] = WATER_G_PER_ML * (this.waterPerMl[i]! + a2 * (upE * e + upP * mix) + waterMargin * mix);
      waterDown[i] =
        WATER_G_PER_ML * (this.waterPerMl[i]! + a2 * (downE * e + downP * mix) - waterMargin * mix);
    }
    const ice0 = WATER_G_PER_ML * this.water0;
    // From here waterUp and waterDown are all the water per mL, the ingredients' own included.
    for (let i = 0; i < n; i += 1) {
      waterUp[i] = waterUp[i]! + this.waterG[i]!;
      waterDown[i] = waterDown[i]! + this.waterG[i]!;
    }
    const ethanol = shareRange(this.ethanolG, waterDown, waterUp, ice0, low, high);
    const sugar = shareRange(this.sugarG, waterDown, waterUp, ice0, low, high);
    const g = chord(tables!.ethanol, ethanol[0], ethanol[1]);
    const f = chord(tables!.sugar, sugar[0], sugar[1]);
    for (let i = 0; i < n; i += 1) {
      const fixed = g.slope * this.ethanolG[i]! + f.slope * this.sugarG[i]! + this.linearMl[i]!;
      out.upper[i] =
        fixed + g.high * (this.ethanolG[i]! + waterUp[i]!) + f.high * (this.sugarG[i]! + waterUp[i]!);
      out.lower[i] =
        fixed + g.low * (this.ethanolG[i]! + waterDown[i]!) + f.low * (this.sugarG[i]! + waterDown[i]!);
    }
    out.upper0 = (g.high + f.high) * ice0;
    out.lower0 = (g.low + f.low) * ice0;
  }
}

/** Largest Σnum·x+num0 over Σden·x+den0 on a box, by Dinkelbach's iteration (exact; +∞ if den can vanish). */
function largestRatio(
  num: ArrayLike<number>,
  num0: number,
  den: ArrayLike<number>,
  den0: number,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
): number {
  let t = 0;
  for (let step = 0; step < 50; step += 1) {
    let top = num0;
    let bottom = den0;
    for (let i = 0; i < num.length; i += 1) {
      const x = num[i]! - t * den[i]! > 0 ? high[i]! : low[i]!;
      top += num[i]! * x;
      bottom += den[i]! * x;
    }
    if (bottom <= 1e-9) return top > 1e-12 ? Number.POSITIVE_INFINITY : t;
    const next = top / bottom;
    if (next <= t * (1 + 1e-13)) return Math.max(t, next);
    t = next;
  }
  return Number.POSITIVE_INFINITY;
}

function ratioRange(
  num: ArrayLike<number>,
  num0: number,
  denLow: ArrayLike<number>,
  denLow0: number,
  denHigh: ArrayLike<number>,
  denHigh0: number,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
): [number, number] {
  const most = largestRatio(num, num0, denLow, denLow0, low, high);
  const least = 1 / largestRatio(denHigh, denHigh0, num, num0, low, high);
  return [Math.max(0, least * (1 - WIDEN)), most * (1 + WIDEN)];
}

/** Range of m/(m + water) for a part m. */
function shareRange(
  part: ArrayLike<number>,
  waterDown: ArrayLike<number>,
  waterUp: ArrayLike<number>,
  water0: number,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
): [number, number] {
  const [least, most] = ratioRange(part, 0, waterDown, water0, waterUp, water0, low, high);
  return [least / (1 + least), most === Number.POSITIVE_INFINITY ? 1 : most / (1 + most)];
}

/** Parallel lines slope·t + low ≤ f(t) ≤ slope·t + high on [from, to], widened to the grid. */
function chord(table: Tabulated, from: number, to: number): { slope: number; low: number; high: number } {
  const { values, remainder } = table;
  const first = Math.max(0, Math.min(GRID - 1, Math.floor(from * GRID)));
  const last = Math.max(first + 1, Math.min(GRID, Math.ceil(to * GRID)));
  const slope = ((values[last]! - values[first]!) * GRID) / (last - first);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let k = first; k <= last; k += 1) {
    const off = values[k]! - (slope * k) / GRID;
    if (off < low) low = off;
    if (off > high) high = off;
  }
  return { slope, low: low - remainder, high: high + remainder };
}

/** Additive quasi-random step (powers of 1/φ_d, Roberts 2018, from memory): spreads samples evenly. */
function quasiRandom(index: number, dimension: number): number {
  const alpha = Math.sqrt(2 + 3 * dimension + (dimension % 7)) % 1;
  return (0.5 + (index + 1) * alpha) % 1;
}

/**
 * The energy balance's water per mL poured, fitted as a₂e² + a₁e + a₀ + sugar term + constant/P, with the
 * largest error on the samples, doubled, as margin.
 */
function fitWater(model: MixModel, lowMl: ArrayLike<number>, highMl: ArrayLike<number>) {
  const features: number[][] = [];
  const ratios: number[] = [];
  const n = model.coeffs.length;
  const x = new Array<number>(n);
  for (let s = 0; s < SAMPLES; s += 1) {
    let poured = 0;
    let ethanol = 0;
    let sugar = 0;
    for (let i = 0; i < n; i += 1) {
      // Most pours of a real drink are near zero or near one value: square to favour small ones.
      const u = quasiRandom(s, i);
      x[i] = lowMl[i]! + (highMl[i]! - lowMl[i]!) * u * u;
      if (model.stages[i] !== "mix") continue;
      poured += x[i]!;
      ethanol += model.coeffs[i]!.ethanolMl * x[i]!;
      sugar += model.coeffs[i]!.sugarG * x[i]!;
    }
    if (poured < 1) continue;
    const e = ethanol / poured;
    features.push([e * e, e, 1, sugar / poured, 1 / poured]);
    ratios.push(model.finish(x).ratio);
  }
  const k = 5;
  const normal = Array.from({ length: k }, (_, a) =>
    Array.from({ length: k }, (_, b) => features.reduce((sum, f) => sum + f[a]! * f[b]!, a === b ? 1e-9 : 0)),
  );
  const right = Array.from({ length: k }, (_, a) =>
    features.reduce((sum, f, s) => sum + f[a]! * ratios[s]!, 0),
  );
  const [a2 = 0, a1 = 0, a0 = 0, perSugarG = 0, constant = 0] = solveLinear(normal, right) ?? [];
  let worst = 0;
  features.forEach((f, s) => {
    const fitted = a2 * f[0]! + a1 * f[1]! + a0 + perSugarG * f[3]! + constant * f[4]!;
    worst = Math.max(worst, Math.abs(fitted - ratios[s]!));
  });
  return { a2, a1, a0, perSugarG, constant, margin: RESIDUAL_SAFETY * worst };
}
