import { AXIS_INDICES, perAxis } from "../axes.ts";
import { METHODS } from "../dilution/methods.ts";
import type { MixModel } from "../dilution/model.ts";
import { dot3, quadForm, scaled3 } from "../linalg.ts";
import { coefficientsOf } from "../mix/coefficients.ts";
import { type CompositionDoubt, compositionDoubts } from "../mix/composition-doubts.ts";
import { onceFor } from "../once.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { Affine } from "../solve/affine.ts";
import { isDrink } from "../solve/judge.ts";
import type { PourBox, SolveRequest } from "../solve/request.ts";
import { VolumeEnclosure } from "../solve/volume-bounds.ts";
import { normalCdf, normalQuantile } from "../stats.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { Vec3 } from "../types.ts";
import type { PouredDoubts } from "./poured-doubts.ts";

/** Kept back from every lower bound on a doubt, for rounding and for mixtures that expand by a trace. */
const SAFETY = 0.99;
/** mL by which a mixture may grow or shrink per gram of sugar, acid or ethanol that an ingredient errs by. */
const MOST_ML_PER_G = 0.2;
/** mL of finished drink that a gram of melt water adds, at least and at most: it takes less room beside spirit. */
const ML_PER_G_WATER = [0.9, 1.01] as const;
/** mL of finished drink that a mL of any ingredient adds by itself, at least and at most. */
const ML_PER_ML_POURED = [0.92, 1.03] as const;
/** From here on, mL, an amount is poured with the jigger or weighed, and its doubt grows with it. */
const PAST_SPOONS_ML = 10;
/** Two faces further apart than this many standard deviations, beyond the quantile, do not feel each other. */
const APART = 4;
/** Halvings of the search for the margin between two close faces, and widths that it is worked out for. */
const HALVINGS = 30;
const WIDTHS = 512;

/** One ingredient's doubts: what it holds per mL of each quantity, and one standard uncertainty of that. */
interface Part {
  /** What is poured of it, all its lines together. */
  poured: Affine;
  content: Vec3;
  sd: Vec3;
}

/** A face of the region, or a plane that touches it. */
interface Face {
  /** n·p on it. */
  offset: number;
  /** How far the region reaches from it, along its normal, to the other end. */
  width: number;
}

/** A line whose pour is in doubt. */
interface PourDoubt {
  /** Sugar, acid and ethanol per mL. */
  content: Vec3;
  /** mL that its pour errs by per mL of drink, at least. */
  sd: number;
  /** Finished mL that a mL of it adds, least and most. */
  grows: readonly [number, number];
}

/** Lower bounds on what pours err by. */
interface LeastDoubt {
  /** By axis: grams or mL per mL of drink, from what the ingredients are made of. */
  spread: Vec3;
  /** Share of the point that one standard uncertainty of the water from ice moves it by. */
  waterShare: number;
  pours: PourDoubt[];
}

/**
 * How far inside a face every drink that is inside with `chance` must lie, at least, in the face's own unit.
 *
 * Being inside is no likelier than being between a face n·p ≤ h and the region's far end along n, so the drink
 * is at least tσ inside, σ its doubt along n and t the quantile of the chance (more where the far end is near).
 * Lower bounds on σ that hold for every pour of a box, of independent errors added in squares:
 * - what the ingredients are made of: an ingredient's sugar, acid and ethanol err by d a mL, so Σ(xᵢdᵢ)² of what
 *   is poured at least; or, for a total A = Σ xᵢaᵢ of which the region asks at least so much, A²/Σ(aᵢ/dᵢ)²
 *   (Cauchy–Schwarz), whichever is more;
 * - the water from ice moves the point along itself: κ|n·p|;
 * - what a line is poured wrong by moves the point by its contents, less what its volume thins.
 */
export class HoldMargin {
  private readonly quantile: number;
  private readonly slab: (width: number) => number;
  private readonly parts: readonly Part[];
  /** Knows what is poured over the ice, and its ethanol. */
  private readonly mix: Pick<VolumeEnclosure, "mixPour" | "mixEthanol">;
  /** Least standard uncertainty of the ratio of ice water, whatever is poured. */
  private readonly leastWaterSd: number;
  private readonly mostRatio: number;
  /** Least doubt of the drink's sugar, acid and ethanol per mL of it, given that it holds what the region asks. */
  private readonly ofTotal: Vec3;
  private readonly ofAll: LeastDoubt;
  private last: { box: PourBox; doubt: LeastDoubt } | null = null;

  constructor(
    request: SolveRequest,
    private readonly doubts: PouredDoubts,
    private readonly target: CompiledTarget,
    chance: number,
  ) {
    this.quantile = normalQuantile(chance);
    this.slab = slabMargin(chance, this.quantile);
    this.parts = partsOf(doubts);
    this.mix = new VolumeEnclosure(doubts.model);
    this.leastWaterSd = leastWaterSd(request, doubts.model);
    this.mostRatio = mostRatio(doubts.model);
    const [least] = target.boundingBox;
    this.ofTotal = perAxis((k) => {
      const squares = this.parts.reduce((sum, { content, sd }) => {
        return content[k] > 0 ? sum + (content[k] / sd[k]) ** 2 : sum;
      }, 0);
      return squares > 0 ? Math.max(least[k], 0) / Math.sqrt(squares) / 100 : 0;
    });
    this.ofAll = this.doubtIn(undefined);
  }

  /** The margin for pours in a box; for all pours without one. */
  of(normal: Vec3, box?: PourBox): number {
    if (this.quantile <= 0) return 0;
    const face = this.faceOf(normal);
    return box === undefined ? face.forAll : this.marginOf(normal, face, this.leastDoubt(box));
  }

  private marginOf(normal: Vec3, { offset, width }: Face, doubt: LeastDoubt): number {
    /** For drinks at most `slack` inside the face. */
    const margin = (slack: number) => {
      const sigma = SAFETY * Math.sqrt(this.variance(normal, [offset - slack, offset], doubt));
      return sigma > 0 ? sigma * this.slab(width / sigma) : 0;
    };
    // A drink less far inside than the second figure has the doubt that the second figure asks for.
    return margin(margin(0));
  }

  /** Least variance along a normal of drinks whose n·p lies in a range. */
  private variance(normal: Vec3, [from, to]: readonly [number, number], doubt: LeastDoubt): number {
    const most = Math.max(Math.abs(from), Math.abs(to));
    const least = from * to > 0 ? Math.min(Math.abs(from), Math.abs(to)) : 0;
    let sum = (doubt.waterShare * least) ** 2;
    for (const k of AXIS_INDICES) {
      // 100·|n·d|, less what the volume may do meanwhile.
      const n = 100 * Math.abs(normal[k]) - MOST_ML_PER_G * most;
      if (n > 0) sum += (n * doubt.spread[k]) ** 2;
    }
    for (const { content, sd, grows } of doubt.pours) {
      const held = 100 * dot3(normal, content);
      const thinned = [from * grows[0], from * grows[1], to * grows[0], to * grows[1]];
      const moved = Math.max(held - Math.max(...thinned), Math.min(...thinned) - held, 0);
      sum += (moved * sd) ** 2;
    }
    return sum;
  }

  /** The face with a normal, and the margin for all pours. */
  private readonly faceOf = onceFor((normal: Vec3) => {
    const offset = this.reach(normal, normal);
    const face = { offset, width: offset + this.reach(normal, scaled3(-1, normal)) };
    return { ...face, forAll: this.marginOf(normal, face, this.ofAll) };
  });

  /**
   * How far the region reaches along a direction: exactly for its flat faces; for the many planes that touch its
   * curves no less than that, which is found at once.
   */
  private reach(normal: Vec3, direction: Vec3): number {
    const { halfSpaces, ellipsoids, boundingBox, isPolyhedral } = this.target;
    if (isPolyhedral || halfSpaces.some((half) => half.normal === normal)) {
      return dot3(direction, this.target.support(direction));
    }
    const inBox = AXIS_INDICES.reduce<number>(
      (sum, k) => sum + direction[k] * boundingBox[direction[k] < 0 ? 0 : 1][k],
      0,
    );
    return ellipsoids.reduce((least, { mean, covariance, radius }) => {
      return Math.min(least, dot3(direction, mean) + radius * Math.sqrt(quadForm(covariance, direction)));
    }, inBox);
  }

  /** The least doubts of pours in a box. Kept for the box last asked about. */
  private leastDoubt(box: PourBox): LeastDoubt {
    if (this.last?.box !== box) this.last = { box, doubt: this.doubtIn(box) };
    return this.last.doubt;
  }

  private doubtIn(box: PourBox | undefined): LeastDoubt {
    const { stages, dilution } = this.doubts.model;
    const isPlain = dilution.heat === null && !stages.includes("top");
    const share = isPlain ? 1 / (1 + this.mostRatio) : 0;
    const water = (of: number) => ML_PER_G_WATER[0] * WATER_G_PER_ML * this.leastWaterSd * of;
    const ofAll = { spread: this.ofTotal, waterShare: water(share), pours: [] };
    if (box === undefined) return ofAll;
    const high = Array.from(box.high);
    if (!isDrink(high)) return ofAll;
    // Every mL poured adds to the drink, so none of the box is larger than its top corner.
    const mostMl = this.doubts.model.finish(high).finishedVolumeMl;
    const spread = perAxis((k) => {
      const squares = this.parts.map(({ poured, sd }) => (sd[k] * poured.at(box.low)) ** 2);
      return Math.max(this.ofTotal[k], Math.sqrt(squares.reduce((sum, x) => sum + x, 0)) / mostMl);
    });
    const waterShare = water(Math.max(share, this.mix.mixPour.at(box.low) / mostMl));
    return { spread, waterShare, pours: this.poursIn(box, mostMl) };
  }

  /** Least doubt of each line's pour in a box, and what a mL more of it does to the drink's volume. */
  private poursIn(box: PourBox, mostMl: number): PourDoubt[] {
    const { stages, coeffs, dilution } = this.doubts.model;
    const [mixLow, mixHigh] = this.mix.mixPour.range(box);
    const [ethanolLow, ethanolHigh] = this.mix.mixEthanol.range(box);
    const strength = [
      mixHigh > 0 ? ethanolLow / mixHigh : 0,
      mixLow > 0 ? Math.min(1, ethanolHigh / mixLow) : 1,
    ];
    const { a2, a1, a0, heat } = dilution;
    if (heat !== null) return [];
    return coeffs.flatMap(({ sugarG, acidCitricEqG, ethanolMl }, i): PourDoubt[] => {
      const leastMl = box.low[i]!;
      const isExact = leastMl === box.high[i];
      const { doubt, ...of } = this.doubts.lineDoubt(i, isExact || leastMl >= PAST_SPOONS_ML ? leastMl : 0);
      const sdMl = isExact ? of.sdMl : of.handSdMl;
      if (doubt.kind !== "pour" || sdMl === 0) return [];
      // Water from ice per mL more of it, a quadratic in the mix's strength: bounded term by term.
      const slopes = strength.map((e) => (2 * a2 * e + a1) * ethanolMl);
      const bends = strength.map((e) => a0 - a2 * e * e);
      const [least, most] = [Math.min, Math.max].map((pick) => pick(...slopes) + pick(...bends));
      const isMixed = stages[i] === "mix";
      const grows = [
        ML_PER_ML_POURED[0] + (isMixed ? ML_PER_G_WATER[0] * Math.max(0, least ?? 0) : 0),
        ML_PER_ML_POURED[1] + (isMixed ? ML_PER_G_WATER[1] * Math.max(0, most ?? 0) : 0),
      ] as const;
      return [{ content: [sugarG, acidCitricEqG, ethanolMl], sd: sdMl / mostMl, grows }];
    });
  }
}

/**
 * Least margin, in standard deviations, from one of two faces so many deviations apart, for a drink that is between
 * them with a chance. It falls as they part; worked out once a width, at the next larger one of a list, so that it is
 * never overstated.
 */
function slabMargin(chance: number, quantile: number): (width: number) => number {
  /** Closer than this not even the middle has the chance. */
  const closest = 2 * normalQuantile((1 + chance) / 2);
  const step = Math.sqrt(Math.max(0, quantile + APART - closest)) / WIDTHS;
  /** At closest + (k·step)²: closest together the margin falls like a square root. */
  const known: number[] = [];
  const work = (width: number) => {
    let [low, high] = [quantile, width / 2];
    for (let n = 0; n < HALVINGS && low < high; n += 1) {
      const middle = (low + high) / 2;
      if (normalCdf(middle) + normalCdf(width - middle) - 1 >= chance) high = middle;
      else low = middle;
    }
    return Math.min(low, high);
  };
  return (width) => {
    if (width < closest) return width;
    const k = Math.ceil(Math.sqrt(width - closest) / step);
    if (k >= WIDTHS) return quantile;
    known[k] ??= work(closest + (k * step) ** 2);
    return known[k];
  };
}

/** Ingredients with what they hold per mL and how doubtful it is, on each axis. */
function partsOf({ model }: PouredDoubts): Part[] {
  return [...new Set(model.ingredients)].map((ingredient): Part => {
    const doubts = compositionDoubts(ingredient);
    const poured = new Affine(Float64Array.from(model.ingredients, (other) => Number(other === ingredient)));
    const sdOf = (kind: CompositionDoubt["source"]["kind"], what: keyof CompositionDoubt["change"]) =>
      Math.hypot(...doubts.filter((d) => d.source.kind === kind).map((d) => d.change[what]));
    const { sugarG, acidCitricEqG, ethanolMl } = coefficientsOf(ingredient);
    return {
      poured,
      content: [sugarG, acidCitricEqG, ethanolMl],
      sd: [sdOf("sugar", "sugarG"), sdOf("acid", "acidCitricEqG"), sdOf("abv", "ethanolMl")],
    };
  });
}

/** Least standard uncertainty of the ice water's ratio over all pours; 0 where none is sure. */
function leastWaterSd({ spec }: SolveRequest, { method }: MixModel): number {
  const { dilution } = spec;
  // A measured glass errs in mL, not in mL per mL poured, and a calibration in shares of the ratio.
  if (dilution?.model === "measured" || dilution?.calibration !== undefined) return 0;
  return METHODS[method].sd;
}

/** Most water from ice per mL poured into the mix, by the curve alone. */
function mostRatio({ dilution: { a2, a1, a0 } }: MixModel): number {
  const peak = a2 < 0 ? Math.min(Math.max(-a1 / (2 * a2), 0), 1) : 0;
  return Math.max(a0, (a2 * peak + a1) * peak + a0);
}
