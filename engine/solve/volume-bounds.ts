import type { MixModel } from "../dilution/model.ts";
import { solveLinear } from "../linalg.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { ethanolWaterVolumeMl, WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { sugarApparentVolumeMl } from "../physics/sucrose-water.ts";
import { seededRandom } from "../seeded-random.ts";

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
/** Pours sampled per cell to fit the energy balance's water, and the factor on the largest error. */
const SAMPLES = 80;
const LEAST_SAMPLES = 18;
const RESIDUAL_SAFETY = 3;
/** And this share of the water's spread on the box, for the bends that samples step over. */
const SPREAD_SHARE = 0.02;
/** A fit is kept on a smaller box until strength or volume has shrunk to this share. */
const WORTH_REFITTING = 0.7;
/** Bend of the energy balance's water with strength that its cells are cut for: about that of the regression. */
const ENERGY_BEND = 1.5;
/** Edges between cells of the mix's volume, mL: the vessel weighs on small mixes, and the ice runs out on large ones. */
const MIX_EDGES_ML = [8, 25, 60, 100, 150, 220, 320];

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
 * The energy balance's water has no closed form: on each cell and box it is fitted in the same shape, and
 * three times the largest error on pours sampled there is the margin on both sides (`proved` is then false).
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
  private a2 = 0;
  private waterPerMl: Float64Array;
  /** Water without any pour, above and below, mL. */
  private up0 = 0;
  private down0 = 0;
  private readonly fitted: MixModel | null;
  /** Where the present fit holds. */
  private last: {
    strength: readonly [number, number];
    band: readonly [number, number];
    low: Float64Array;
    high: Float64Array;
  } | null = null;
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
    const d = model.dilution;
    this.waterPerMl = new Float64Array(n);
    if (d.kind === "constant") this.waterPerMl = column((i) => d.ratio * isMix(i));
    else if (d.kind === "quadratic") {
      this.a2 = d.factor * d.a2;
      this.waterPerMl = column((i) => isMix(i) * d.factor * (d.a1 * c[i]!.ethanolMl + d.a0));
    }
    this.fitted = d.kind === "energy" ? model : null;
    this.proved = this.fitted === null;
    this.bent = this.a2 !== 0 || this.fitted !== null;
    tables ??= {
      ethanol: tabulate((p) => ethanolWaterVolumeMl(p, 1 - p)),
      sugar: tabulate((w) => sugarApparentVolumeMl(w, 1 - w)),
    };
  }

  /** Width of a cell of e on which the ice water is enclosed to within `share` of the mix. */
  cellWidth(share: number): number {
    const bend = this.fitted ? ENERGY_BEND : Math.abs(this.a2);
    return bend > 0 ? Math.sqrt((4 * share) / bend) : Number.POSITIVE_INFINITY;
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

  /** The mix's volume cut into bands on which the ice water is nearly quadratic: one, but for the energy balance. */
  mixBands(low: ArrayLike<number>, high: ArrayLike<number>): [number, number][] {
    const [least, most] = this.mixRange(low, high);
    const edges = this.fitted ? MIX_EDGES_ML.filter((p) => p > least * 1.1 && p < most / 1.1) : [];
    return [...edges, most].map((to, k) => [k === 0 ? least : edges[k - 1]!, to]);
  }

  /** Range of e = E/P over a box of pours. */
  strengthRange(low: ArrayLike<number>, high: ArrayLike<number>): [number, number] {
    const [least, most] = ratioRange(this.mixEthanol, 0, this.mixPour, 0, this.mixPour, 0, low, high);
    return [Math.min(least, most), Math.min(1, most)];
  }

  /** Bounds valid for low ≤ x ≤ high, e₁ ≤ E/P ≤ e₂ and p₁ ≤ P ≤ p₂, written into `out`. */
  enclose(
    [e1, e2]: readonly [number, number],
    band: readonly [number, number],
    low: ArrayLike<number>,
    high: ArrayLike<number>,
    out: VolumeBounds,
  ): void {
    if (this.fitted) this.fitWater(this.fitted, [e1, e2], band, low, high);
    const { size: n, a2, waterUp, waterDown } = this;
    const middle = (e1 + e2) / 2;
    // E²/P: secant above, tangent below; a negative a₂ swaps them.
    const [upE, upP] = a2 < 0 ? [2 * middle, -middle * middle] : [e1 + e2, -e1 * e2];
    const [downE, downP] = a2 < 0 ? [e1 + e2, -e1 * e2] : [2 * middle, -middle * middle];
    for (let i = 0; i < n; i += 1) {
      const mix = this.mixPour[i]!;
      const e = this.mixEthanol[i]!;
      waterUp[i] = WATER_G_PER_ML * (this.waterPerMl[i]! + a2 * (upE * e + upP * mix));
      waterDown[i] = WATER_G_PER_ML * (this.waterPerMl[i]! + a2 * (downE * e + downP * mix));
    }
    const up0 = WATER_G_PER_ML * this.up0;
    let down0 = WATER_G_PER_ML * this.down0;
    if (down0 > 0 && band[0] < SMALLEST_POUR_ML) {
      // Nothing mixed melts nothing: lean the lower bound so that it starts from zero.
      for (let i = 0; i < n; i += 1) waterDown[i] = waterDown[i]! + (down0 / band[1]) * this.mixPour[i]!;
      down0 = 0;
    }
    // From here waterUp and waterDown are all the water per mL, the ingredients' own included.
    for (let i = 0; i < n; i += 1) {
      waterUp[i] = waterUp[i]! + this.waterG[i]!;
      waterDown[i] = waterDown[i]! + this.waterG[i]!;
    }
    const ethanol = shareRange(this.ethanolG, waterDown, down0, waterUp, up0, low, high);
    const sugar = shareRange(this.sugarG, waterDown, down0, waterUp, up0, low, high);
    const g = chord(tables!.ethanol, ethanol[0], ethanol[1]);
    const f = chord(tables!.sugar, sugar[0], sugar[1]);
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
   * The energy balance's water in mL, fitted as a₂E²/P + a₁E + a₀P + sugar + acid + constant on pours of the
   * box: its corners that lie in the cell, and others moved until strength and volume do. Where too few
   * are found, all that is said is that no more ice melts than there is.
   */
  private fitWater(
    model: MixModel,
    [e1, e2]: readonly [number, number],
    [p1, p2]: readonly [number, number],
    low: ArrayLike<number>,
    high: ArrayLike<number>,
  ): void {
    const n = this.size;
    const c = model.coeffs;
    const { last } = this;
    const inside = ([a, b]: readonly [number, number], [from, to]: readonly [number, number]) =>
      a >= from && b <= to && b - a >= WORTH_REFITTING * (to - from);
    if (
      last !== null &&
      inside([e1, e2], last.strength) &&
      inside([p1, p2], last.band) &&
      last.low.every((x, i) => low[i]! >= x && high[i]! <= last.high[i]!)
    ) {
      return;
    }
    this.last = {
      strength: [e1, e2],
      band: [p1, p2],
      low: Float64Array.from(low),
      high: Float64Array.from(high),
    };
    const features: number[][] = [];
    const water: number[] = [];
    const x = new Float64Array(n);
    const { uniform } = seededRandom(1);
    const totals = () => {
      let [mixed, ethanol] = [0, 0];
      for (let i = 0; i < n; i += 1) {
        mixed += this.mixPour[i]! * x[i]!;
        ethanol += this.mixEthanol[i]! * x[i]!;
      }
      return { mixed, ethanol };
    };
    /** Move towards a corner of the box until a linear quantity, now `from`, is `to`; it is `there` at the corner. */
    const move = (corner: (i: number) => number, from: number, to: number, there: number) => {
      const t = Math.abs(there - from) > 1e-12 ? Math.min(1, Math.max(0, (to - from) / (there - from))) : 0;
      for (let i = 0; i < n; i += 1) x[i] = x[i]! + t * (corner(i) - x[i]!);
    };
    const [least, most] = this.mixRange(low, high);
    const known = new Set<string>();
    const take = () => {
      const { mixed, ethanol } = totals();
      if (mixed < SMALLEST_POUR_ML || mixed < p1 * 0.999 || mixed > p2 * 1.001) return;
      if (Math.abs(ethanol / mixed - (e1 + e2) / 2) > 0.6 * (e2 - e1) + 1e-9) return;
      let [sugar, acid] = [0, 0];
      for (let i = 0; i < n; i += 1) {
        sugar += this.mixPour[i]! * c[i]!.sugarG * x[i]!;
        acid += this.mixPour[i]! * c[i]!.acidG * x[i]!;
      }
      const key = `${mixed.toFixed(4)} ${ethanol.toFixed(4)} ${sugar.toFixed(4)}`;
      if (known.has(key)) return;
      known.add(key);
      features.push([(ethanol * ethanol) / mixed, ethanol, mixed, sugar, acid, 1]);
      water.push(model.finish([...x]).waterMl);
    };
    const atCorner = (share: number) => {
      for (let i = 0; i < n; i += 1) x[i] = uniform() < share ? high[i]! : low[i]!;
    };
    // Corners of the box that lie in the cell: there the composition is most extreme.
    for (let s = 0; s < 6 * SAMPLES && features.length < SAMPLES / 2; s += 1) {
      atCorner(uniform());
      take();
    }
    for (let s = 0; s < 3 * SAMPLES && features.length < SAMPLES; s += 1) {
      if (s % 2 === 0) atCorner(uniform());
      else for (let i = 0; i < n; i += 1) x[i] = low[i]! + (high[i]! - low[i]!) * uniform();
      const [u, v] = [uniform(), uniform()];
      const e = e1 + (e2 - e1) * (s % 3 === 0 ? Math.round(u) : u);
      const p = p1 + (p2 - p1) * (s % 5 < 2 ? Math.round(v) : v);
      for (let round = 0; round < 4; round += 1) {
        const { mixed, ethanol } = totals();
        const up = ethanol < e * mixed;
        const stronger = (i: number) => this.mixEthanol[i]! > e * this.mixPour[i]! === up;
        const corner = (i: number) => (this.mixPour[i]! > 0 ? (stronger(i) ? high[i]! : low[i]!) : x[i]!);
        let there = 0;
        for (let i = 0; i < n; i += 1) there += (this.mixEthanol[i]! - e * this.mixPour[i]!) * corner(i);
        move(corner, ethanol - e * mixed, 0, there);
        const now = totals().mixed;
        if (now > p) move((i) => low[i]!, now, p, least);
        else move((i) => high[i]!, now, p, most);
      }
      take();
    }
    if (features.length < LEAST_SAMPLES) {
      this.a2 = 0;
      this.waterPerMl.fill(0);
      this.down0 = 0;
      this.up0 =
        model.dilution.kind === "energy"
          ? (model.dilution.factor * model.dilution.conditions.iceMassG) / WATER_G_PER_ML
          : 0;
      return;
    }
    const [a2 = 0, a1 = 0, a0 = 0, perSugarG = 0, perAcidG = 0, constant = 0] = leastSquares(features, water);
    let worst = 0;
    features.forEach((f, s) => {
      const fitted = a2 * f[0]! + a1 * f[1]! + a0 * f[2]! + perSugarG * f[3]! + perAcidG * f[4]! + constant;
      worst = Math.max(worst, Math.abs(fitted - water[s]!));
    });
    this.a2 = a2;
    for (let i = 0; i < n; i += 1) {
      const perMl = a1 * c[i]!.ethanolMl + a0 + perSugarG * c[i]!.sugarG + perAcidG * c[i]!.acidG;
      this.waterPerMl[i] = this.mixPour[i]! * perMl;
    }
    const margin = RESIDUAL_SAFETY * worst + SPREAD_SHARE * (Math.max(...water) - Math.min(...water));
    this.up0 = constant + margin;
    this.down0 = constant - margin;
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
  down0: number,
  waterUp: ArrayLike<number>,
  up0: number,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
): [number, number] {
  const [least, most] = ratioRange(part, 0, waterDown, down0, waterUp, up0, low, high);
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

/** Least squares with each column scaled to length one and a trace of ridge, so that absent columns get 0. */
function leastSquares(rows: readonly number[][], right: readonly number[]): number[] {
  const k = rows[0]?.length ?? 0;
  const columns = Array.from({ length: k }, (_, a) => a);
  const length = columns.map((a) => Math.sqrt(rows.reduce((sum, f) => sum + f[a]! * f[a]!, 0)) || 1);
  const normal = columns.map((a) =>
    columns.map(
      (b) =>
        rows.reduce((sum, f) => sum + f[a]! * f[b]!, 0) / (length[a]! * length[b]!) + (a === b ? 1e-9 : 0),
    ),
  );
  const projected = columns.map((a) => rows.reduce((sum, f, s) => sum + f[a]! * right[s]!, 0) / length[a]!);
  return (solveLinear(normal, projected) ?? columns.map(() => 0)).map((v, a) => v / length[a]!);
}
