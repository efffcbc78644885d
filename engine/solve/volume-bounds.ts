import type { HeatCorrection } from "../dilution/heat-correction.ts";
import type { MixModel } from "../dilution/model.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { chord, ETHANOL_VOLUME, SUGAR_VOLUME } from "./bent-volume.ts";

/** Two affine functions of the pours x (mL) with lower ≤ finished volume ≤ upper on a box. */
export interface VolumeBounds {
  upper: Float64Array;
  upper0: number;
  lower: Float64Array;
  lower0: number;
}

/** Ratio ranges are widened by this share against rounding. */
const WIDEN = 1e-9;
/**
 * Linear bounds on a finished drink's true volume.
 *
 * The volume is V = (mₑ+m_w)·g(p) + (mₛ+m_w)·F(w) + linear terms, with p the ethanol share of ethanol and
 * water by mass, w the sugar share of sugar and water, and m_w including the ice's water W. On a box of
 * pours p and w lie in ranges (a linear-fractional program each, solved exactly), on which g and F are
 * enclosed between parallel lines; times the mass these are linear. W = a₂E²/P + linear, and E²/P on
 * e₁ ≤ E/P ≤ e₂ lies between a tangent and the secant (it is the perspective of e²): linear again.
 * What other conditions than the usual add to W is affine in the pours; where it ends at the water on the ice
 * or at all of the ice, the bend is enclosed by its chord.
 */
export class VolumeEnclosure {
  /** True when the ratio of ice water depends on strength, so that cells of e = E/P pay. */
  readonly bent: boolean;
  /** True when the ice water has ends at which it holds still, so that a narrower box of pours bounds it better. */
  readonly isHeld: boolean;
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
  private readonly heat: HeatCorrection | null;
  private readonly waterUp: Float64Array;
  private readonly waterDown: Float64Array;

  constructor(model: MixModel) {
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
    const { a2, a1, a0, heat } = model.dilution;
    this.a2 = a2;
    this.heat = heat;
    this.isHeld = heat !== null;
    this.waterPerMl = column((i) => isMix(i) * (a1 * c[i]!.ethanolMl + a0) + (heat?.perMl[i] ?? 0));
    this.bent = a2 !== 0;
  }

  /** Width of a cell of e on which the ice water is enclosed to within `share` of the mix. */
  cellWidth(share: number): number {
    return this.bent ? Math.sqrt((4 * share) / Math.abs(this.a2)) : Number.POSITIVE_INFINITY;
  }

  /** Least and most mL in the mix stage over a box of pours. */
  mixRange(low: ArrayLike<number>, high: ArrayLike<number>): [number, number] {
    let [least, most] = [0, 0];
    for (let i = 0; i < this.size; i += 1) {
      least += this.mixPour[i]! * low[i]!;
      most += this.mixPour[i]! * high[i]!;
    }
    return [least, most];
  }

  /** Range of e = E/P over a box of pours. */
  strengthRange(low: ArrayLike<number>, high: ArrayLike<number>): [number, number] {
    const [least, most] = ratioRange(this.mixEthanol, 0, this.mixPour, 0, this.mixPour, 0, low, high);
    return [Math.min(least, most), Math.min(1, most)];
  }

  /** Bounds valid for low ≤ x ≤ high and e₁ ≤ E/P ≤ e₂, written into `out`. */
  enclose(
    [e1, e2]: readonly [number, number],
    low: ArrayLike<number>,
    high: ArrayLike<number>,
    out: VolumeBounds,
  ): void {
    const { size: n, a2, waterUp, waterDown } = this;
    const middle = (e1 + e2) / 2;
    // E²/P: secant above, tangent below; a negative a₂ swaps them.
    const [upE, upP] = a2 < 0 ? [2 * middle, -middle * middle] : [e1 + e2, -e1 * e2];
    const [downE, downP] = a2 < 0 ? [e1 + e2, -e1 * e2] : [2 * middle, -middle * middle];
    for (let i = 0; i < n; i += 1) {
      const mix = this.mixPour[i]!;
      const e = this.mixEthanol[i]!;
      waterUp[i] = this.waterPerMl[i]! + a2 * (upE * e + upP * mix);
      waterDown[i] = this.waterPerMl[i]! + a2 * (downE * e + downP * mix);
    }
    const [up0, down0] = this.holdBetween(low, high).map((ml) => WATER_G_PER_ML * ml) as [number, number];
    // From here waterUp and waterDown are all the water per mL, the ingredients' own included.
    for (let i = 0; i < n; i += 1) {
      waterUp[i] = WATER_G_PER_ML * waterUp[i]! + this.waterG[i]!;
      waterDown[i] = WATER_G_PER_ML * waterDown[i]! + this.waterG[i]!;
    }
    const ethanol = shareRange(this.ethanolG, waterDown, down0, waterUp, up0, low, high);
    const sugar = shareRange(this.sugarG, waterDown, down0, waterUp, up0, low, high);
    const g = chord(ETHANOL_VOLUME, ethanol[0], ethanol[1]);
    const f = chord(SUGAR_VOLUME, sugar[0], sugar[1]);
    for (let i = 0; i < n; i += 1) {
      const fixed = g.slope * this.ethanolG[i]! + f.slope * this.sugarG[i]! + this.linearMl[i]!;
      out.upper[i] =
        fixed + g.high * (this.ethanolG[i]! + waterUp[i]!) + f.high * (this.sugarG[i]! + waterUp[i]!);
      out.lower[i] =
        fixed + g.low * (this.ethanolG[i]! + waterDown[i]!) + f.low * (this.sugarG[i]! + waterDown[i]!);
    }
    out.upper0 = (g.high + f.high) * up0;
    out.lower0 = (g.low + f.low) * down0;
  }

  /**
   * Add what the conditions give whatever is poured, and enclose the two ends at which the water holds still.
   * `waterUp` and `waterDown`, mL per mL, are scaled in place; returns what both are without any pour, mL.
   */
  private holdBetween(low: ArrayLike<number>, high: ArrayLike<number>): [up0: number, down0: number] {
    const { heat, size: n, waterUp, waterDown } = this;
    if (heat === null) return [0, 0];
    const { fixedMl, leastMl, mostMl } = heat;
    const up = heldAbove(rangeOf(waterUp, fixedMl, low, high), leastMl, mostMl);
    const down = heldBelow(rangeOf(waterDown, fixedMl, low, high), leastMl, mostMl);
    for (let i = 0; i < n; i += 1) {
      waterUp[i] = up.slope * waterUp[i]!;
      waterDown[i] = down.slope * waterDown[i]!;
    }
    const up0 = up.slope * fixedMl + up.offset;
    const down0 = down.slope * fixedMl + down.offset;
    const [least, most] = this.mixRange(low, high);
    if (down0 <= 0 || least >= SMALLEST_POUR_ML) return [up0, down0];
    // Nothing mixed melts nothing: lean the lower bound so that it starts from zero.
    for (let i = 0; i < n && most > 0; i += 1) {
      waterDown[i] = waterDown[i]! + (down0 / most) * this.mixPour[i]!;
    }
    return [up0, 0];
  }
}

/** Range of Σ perMl·x + constant over a box. */
function rangeOf(
  perMl: ArrayLike<number>,
  constant: number,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
): [number, number] {
  let [least, most] = [constant, constant];
  for (let i = 0; i < perMl.length; i += 1) {
    const k = perMl[i]!;
    least += k * (k > 0 ? low[i]! : high[i]!);
    most += k * (k > 0 ? high[i]! : low[i]!);
  }
  return [least, most];
}

interface Line {
  slope: number;
  offset: number;
}

/** A line above t held between `least` and `most`, for a ≤ t ≤ b. */
function heldAbove([a, b]: readonly [number, number], least: number, most: number): Line {
  if (b <= least) return { slope: 0, offset: least };
  if (a + b >= 2 * most) return { slope: 0, offset: most };
  if (a >= least) return { slope: 1, offset: 0 };
  const slope = (b - least) / (b - a);
  return { slope, offset: least - slope * a };
}

/** A line below t held between `least` and `most`, for a ≤ t ≤ b. */
function heldBelow([a, b]: readonly [number, number], least: number, most: number): Line {
  if (a >= most) return { slope: 0, offset: most };
  if (a + b <= 2 * least) return { slope: 0, offset: least };
  if (b <= most) return { slope: 1, offset: 0 };
  const slope = (most - a) / (b - a);
  return { slope, offset: a - slope * a };
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
  down0: number,
  waterUp: ArrayLike<number>,
  up0: number,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
): [number, number] {
  const [least, most] = ratioRange(part, 0, waterDown, down0, waterUp, up0, low, high);
  return [least / (1 + least), most === Number.POSITIVE_INFINITY ? 1 : most / (1 + most)];
}
