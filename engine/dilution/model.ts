import { fail } from "../errors.ts";
import { dot } from "../linalg.ts";
import { type Coefficients, coefficientsOf } from "../mix/coefficients.ts";
import { addTo, addWater, emptyTotals, SMALLEST_POUR_ML, type Totals, totalsOf } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import type { Calibration, DilutionChoice, Ingredient, Method, Stage, Vec3 } from "../types.ts";
import { type HeatCorrection, heatCorrection, type MixLine } from "./heat-correction.ts";
import { measuredWater } from "./measured.ts";
import { type DilutionQuadratic, METHODS, ratioAt, times } from "./methods.ts";

/**
 * How much water the ice adds, as a function of the pours alone: (a2 e² + a1 e + a0)·P, plus what the
 * conditions change, kept between the water that was on the ice and all of the ice. P is mL poured into the mix
 * stage, E the mL of ethanol in it (both additive), e = E/P. A measured drink has a0 only.
 */
export interface ResolvedDilution extends DilutionQuadratic {
  heat: HeatCorrection | null;
}

/** A finished drink. */
export interface Finished {
  /** Sugar g/100 mL, titratable acid g/100 mL, % vol. */
  point: Vec3;
  /** True volume at 20 °C. */
  finishedVolumeMl: number;
  /** Water from ice. */
  waterMl: number;
  /** waterMl / mL poured into the mix stage (0 when nothing was). */
  ratio: number;
  /** Everything in the glass, melt water included. */
  totals: Totals;
}

/** The map from pours to the finished drink, with ingredients, stages and dilution held fixed. */
export interface MixModel {
  readonly ingredients: readonly Ingredient[];
  readonly stages: readonly Stage[];
  readonly coeffs: readonly Readonly<Coefficients>[];
  readonly method: Method;
  readonly dilution: ResolvedDilution;
  /**
   * Place the pours (mL at 20 °C, one per ingredient, in order).
   *
   * @throws EngineError for a volume that is negative or not finite, or if all are zero
   */
  finish(volumesMl: readonly number[]): Finished;
}

/**
 * Build the map from pours to finished drink. Point and volumes scale as they should: multiplying all
 * pours leaves the point unchanged for the regression and constant kinds.
 *
 * @param items ingredients in line order; the same ingredient may appear more than once
 * @param dilution default: the method's regression
 * @param baseVolumesMl the pours that a measured drink was made from (needed for "measured" only);
 *   its water per mL poured is then kept for other pours
 * @throws EngineError for impossible compositions or dilution choices
 */
export function createMixModel(
  items: readonly MixLine[],
  method: Method,
  dilution: DilutionChoice = { model: "regression" },
  baseVolumesMl?: readonly number[],
): MixModel {
  const lines = items.map(({ ingredient, stage }, i) => ({ i, stage, coeffs: coefficientsOf(ingredient) }));
  const mixed = lines.filter(({ stage }) => stage === "mix");
  const topped = lines.filter(({ stage }) => stage === "top");
  const ingredients = items.map((item) => item.ingredient);
  const stages = lines.map((line) => line.stage);
  const coeffs = lines.map((line) => line.coeffs);
  const resolved = resolveDilution(method, dilution, items, baseVolumesMl);

  const finish = (volumesMl: readonly number[]): Finished => {
    const totals = emptyTotals();
    for (const line of mixed) addTo(totals, line.coeffs, checked(volumesMl, line.i));
    const waterMl = waterFromIceMl(resolved, totals, volumesMl);
    const mixMl = totals.pouredMl;
    for (const line of topped) addTo(totals, line.coeffs, checked(volumesMl, line.i));
    if (!(totals.pouredMl >= SMALLEST_POUR_ML))
      fail("/lines", "nothing is poured", "give at least one line an amount above zero");
    addWater(totals, waterMl * WATER_G_PER_ML);
    const finishedVolumeMl = mixedVolumeMl(totals);
    return {
      point: pointOf(totals, finishedVolumeMl),
      finishedVolumeMl,
      waterMl,
      ratio: mixMl >= SMALLEST_POUR_ML ? waterMl / mixMl : 0,
      totals,
    };
  };

  return { ingredients, stages, coeffs, method, dilution: resolved, finish };
}

/** Where what is in a glass sits: sugar g/100 mL, titratable acid g/100 mL, % vol. */
export function pointOf(totals: Totals, volumeMl: number): Vec3 {
  const per100 = 100 / volumeMl;
  return [totals.sugarG * per100, totals.acidCitricEqG * per100, totals.ethanolMl * per100];
}

/** Water from ice in mL for what is in the mix stage, `volumesMl` being the pours of all lines. */
export function waterFromIceMl(
  dilution: ResolvedDilution,
  mix: Pick<Totals, "pouredMl" | "ethanolMl">,
  volumesMl: readonly number[],
): number {
  const poured = mix.pouredMl;
  if (!(poured >= SMALLEST_POUR_ML)) return 0;
  const curveMl = ratioAt(dilution, mix.ethanolMl / poured) * poured;
  const { heat } = dilution;
  if (heat === null) return curveMl;
  const waterMl = curveMl + heat.fixedMl + dot(heat.perMl, volumesMl);
  return Math.min(heat.mostMl, Math.max(heat.leastMl, waterMl));
}

/** The part of a drink that is mixed with ice. */
export function mixStageTotals(
  coeffs: readonly Coefficients[],
  stages: readonly Stage[],
  volumesMl: readonly number[],
): Totals {
  const mix = emptyTotals();
  for (const [i, c] of coeffs.entries()) if (stages[i] === "mix") addTo(mix, c, volumesMl[i]!);
  return mix;
}

function resolveDilution(
  method: Method,
  choice: DilutionChoice,
  lines: readonly MixLine[],
  baseVolumesMl: readonly number[] | undefined,
): ResolvedDilution {
  switch (choice.model) {
    case "regression":
      return curve(method, factorOf(choice.calibration), null);
    case "energy": {
      const heat = heatCorrection(method, choice.conditions, lines);
      if (heat === null) {
        fail(
          "/dilution/model",
          `no heat balance applies to the method "${method}"`,
          'choose "regression", or measure the finished drink',
        );
      }
      return curve(method, factorOf(choice.calibration), heat);
    }
    case "measured": {
      if (baseVolumesMl === undefined) {
        fail(
          "/dilution",
          "a measured dilution needs the pours it was measured on",
          "give the spec's amounts with it",
        );
      }
      const coeffs = lines.map(({ ingredient }) => coefficientsOf(ingredient));
      const stages = lines.map(({ stage }) => stage);
      const mix = mixStageTotals(coeffs, stages, baseVolumesMl);
      const { waterMl } = measuredWater(totalsOf(coeffs, baseVolumesMl), choice);
      const isMixed = mix.pouredMl >= SMALLEST_POUR_ML;
      if (!isMixed && waterMl > 0)
        fail("/dilution", "water was measured but nothing was mixed with ice", "set a line's stage to mix");
      return { a2: 0, a1: 0, a0: isMixed ? waterMl / mix.pouredMl : 0, heat: null };
    }
    default:
      return fail(
        "/dilution/model",
        `"${String((choice as { model: unknown }).model)}" is not a dilution model`,
        "use regression, energy or measured",
      );
  }
}

function curve(method: Method, factor: number, heat: HeatCorrection | null): ResolvedDilution {
  const { a2, a1, a0 } = times(METHODS[method].regression, factor);
  const scaled = heat && {
    ...heat,
    perMl: heat.perMl.map((x) => factor * x),
    fixedMl: factor * heat.fixedMl,
  };
  return { a2, a1, a0, heat: scaled };
}

function factorOf(calibration: Calibration | undefined): number {
  if (calibration === undefined) return 1;
  if (!(calibration.factor > 0 && Number.isFinite(calibration.factor))) {
    fail(
      "/dilution/calibration/factor",
      `${calibration.factor} is not a number above 0`,
      "leave the calibration out, or measure again",
    );
  }
  return calibration.factor;
}

function checked(volumesMl: readonly number[], i: number): number {
  const v = volumesMl[i];
  if (!(v !== undefined && v >= 0 && v < Number.POSITIVE_INFINITY)) {
    fail(
      `/lines/${i}/amount`,
      `volume ${v} mL is not a finite number of at least 0`,
      "give an amount of zero or more",
    );
  }
  return v;
}
