import type { HeatCorrection } from "../dilution/heat-correction.ts";
import type { MixModel } from "../dilution/model.ts";
import type { Coefficients } from "../mix/coefficients.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { Affine } from "./affine.ts";
import { chord, ETHANOL_VOLUME, SUGAR_VOLUME } from "./bent-volume.ts";
import type { PourBox } from "./request.ts";

/** Two affine functions of the pours x (mL) with lower ≤ finished volume ≤ upper on a box. */
export type VolumeBounds = ReturnType<typeof emptyBounds>;

/** Bounds for so many pours, still to be written. */
export const emptyBounds = (size: number) => ({
  upper: new Affine(new Float64Array(size)),
  lower: new Affine(new Float64Array(size)),
});

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
  /** mL of ethanol in the mix stage (lines added after have none). */
  readonly mixEthanol: Affine;
  /** mL in the mix stage. */
  readonly mixPour: Affine;

  private readonly ethanolG: Affine;
  private readonly waterG: Affine;
  private readonly sugarG: Affine;
  /** The part of the volume that is linear whatever else is poured. */
  private readonly linearMl: Affine;
  private readonly a2: number;
  /** Ice water but for a₂E²/P, and before it is held between its ends. */
  private readonly iceMl: Affine;
  private readonly heat: HeatCorrection | null;
  private readonly waterUp: Affine;
  private readonly waterDown: Affine;

  constructor({ coeffs, stages, dilution }: MixModel) {
    const { a2, a1, a0, heat } = dilution;
    const sum = (f: (c: Readonly<Coefficients>) => number) => new Affine(Float64Array.from(coeffs, f));
    const mixSum = (f: (c: Readonly<Coefficients>) => number) =>
      new Affine(Float64Array.from(coeffs, (c, i) => (stages[i] === "mix" ? f(c) : 0)));
    this.mixPour = mixSum(() => 1);
    this.mixEthanol = mixSum((c) => c.ethanolMl);
    this.ethanolG = sum((c) => c.ethanolG);
    this.waterG = sum((c) => c.waterG);
    this.sugarG = sum((c) => c.sugarG);
    this.linearMl = sum((c) => mixedVolumeMl({ ...c, ethanolG: 0, waterG: 0, sugarG: 0 }));
    this.iceMl = mixSum((c) => a1 * c.ethanolMl + a0);
    if (heat) this.iceMl.add(1, new Affine(Float64Array.from(heat.perMl), heat.fixedMl));
    this.a2 = a2;
    this.heat = heat;
    this.bent = a2 !== 0;
    ({ upper: this.waterUp, lower: this.waterDown } = emptyBounds(coeffs.length));
  }

  /** True when the ice water has ends at which it holds still, so that a narrower box of pours bounds it better. */
  get isHeld(): boolean {
    return this.heat !== null;
  }

  /** Width of a cell of e on which the ice water is enclosed to within `share` of the mix. */
  cellWidth(share: number): number {
    return this.bent ? Math.sqrt((4 * share) / Math.abs(this.a2)) : Number.POSITIVE_INFINITY;
  }

  /** Range of e = E/P over a box of pours. */
  strengthRange(box: PourBox): [number, number] {
    const [least, most] = ratioRange(this.mixEthanol, this.mixPour, this.mixPour, box);
    return [Math.min(least, most), Math.min(1, most)];
  }

  /** Bounds valid for pours in the box and e₁ ≤ E/P ≤ e₂, written into `out`. */
  enclose([e1, e2]: readonly [number, number], box: PourBox, out: VolumeBounds): void {
    const { a2, iceMl, mixEthanol, mixPour, ethanolG, sugarG, waterG, waterUp, waterDown } = this;
    const middle = (e1 + e2) / 2;
    // E²/P: secant above, tangent below; a negative a₂ swaps them.
    const [secant, tangent] = a2 < 0 ? [waterDown, waterUp] : [waterUp, waterDown];
    secant
      .set(1, iceMl)
      .add(a2 * (e1 + e2), mixEthanol)
      .add(-a2 * e1 * e2, mixPour);
    tangent
      .set(1, iceMl)
      .add(2 * a2 * middle, mixEthanol)
      .add(-a2 * middle * middle, mixPour);
    if (this.heat) this.hold(this.heat, box);
    // From here waterUp and waterDown are all the water in grams, the ingredients' own included.
    for (const water of [waterUp, waterDown]) water.set(WATER_G_PER_ML, water).add(1, waterG);
    const g = chord(ETHANOL_VOLUME, ...shareRange(ethanolG, waterDown, waterUp, box));
    const f = chord(SUGAR_VOLUME, ...shareRange(sugarG, waterDown, waterUp, box));
    const write = (bound: Affine, end: "low" | "high", water: Affine) =>
      bound
        .set(1, this.linearMl)
        .add(g.slope + g[end], ethanolG)
        .add(f.slope + f[end], sugarG)
        .add(g[end] + f[end], water);
    write(out.upper, "high", waterUp);
    write(out.lower, "low", waterDown);
  }

  /** Enclose the two ends at which the water from ice holds still: `waterUp` and `waterDown` are written anew. */
  private hold({ leastMl, mostMl }: HeatCorrection, box: PourBox): void {
    const { waterUp, waterDown, mixPour } = this;
    const up = heldAbove(waterUp.range(box), leastMl, mostMl);
    const down = heldBelow(waterDown.range(box), leastMl, mostMl);
    waterUp.set(up.slope, waterUp).fixed += up.offset;
    waterDown.set(down.slope, waterDown).fixed += down.offset;
    const [least, most] = mixPour.range(box);
    if (waterDown.fixed <= 0 || least >= SMALLEST_POUR_ML) return;
    // Nothing mixed melts nothing: lean the lower bound so that it starts from zero.
    if (most > 0) waterDown.add(waterDown.fixed / most, mixPour);
    waterDown.fixed = 0;
  }
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

/** A line below t held between `least` and `most`, for a ≤ t ≤ b: what is above −t, upside down. */
function heldBelow([a, b]: readonly [number, number], least: number, most: number): Line {
  const { slope, offset } = heldAbove([-b, -a], -most, -least);
  return { slope, offset: -offset };
}

/** Range over a box of one affine function over another that lies between two. */
function ratioRange(of: Affine, low: Affine, high: Affine, box: PourBox): [number, number] {
  const least = 1 / high.largestRatio(of, box);
  return [Math.max(0, least * (1 - WIDEN)), of.largestRatio(low, box) * (1 + WIDEN)];
}

/** Range of m/(m + water) for a part m. */
function shareRange(part: Affine, waterDown: Affine, waterUp: Affine, box: PourBox): [number, number] {
  const [least, most] = ratioRange(part, waterDown, waterUp, box);
  return [least / (1 + least), most === Number.POSITIVE_INFINITY ? 1 : most / (1 + most)];
}
