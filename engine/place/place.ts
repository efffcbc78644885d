import { toPoint } from "../axes.ts";
import type { MixModel } from "../dilution/model.ts";
import { requireAtLeast0 } from "../errors.ts";
import type { CautionId, Glass, LinePlacement, Pantry, Placement, Spec } from "../types.ts";
import { clashes } from "./clashes.ts";
import { pointCovariance } from "./covariance.ts";
import { dilutionReport } from "./dilution-report.ts";
import { sdOf } from "./doubted-point.ts";
import { energyKcal, standardDrinks } from "./nourishment.ts";
import { type PrepareOptions, prepareSpec } from "./prepare-spec.ts";
import { placementWarnings } from "./warnings.ts";
import { washLineFit } from "./wash-line.ts";

export interface PlaceOptions extends PrepareOptions {
  /** Glasses to look `spec.glass` up in; without them no wash-line fit is given. */
  glasses?: readonly Glass[];
  /** Price per litre by ingredient id, any currency. */
  prices?: ReadonlyMap<string, number>;
  /** Include the list of doubts (the covariance is always given). Default true. */
  doubts?: boolean;
}

/** A drink above this strength, % vol, carries the alcohol caution whatever its ingredients say. */
const ALCOHOL_CAUTION_ABV = 0.5;

/** Acid in g/100 mL below which a drink has none to set sugar against. */
const TRACE_ACID = 1e-6;

/**
 * Place a spec: where the finished drink sits, how sure that is, and everything else a bar asks of it.
 *
 * Sugar, acid and ABV are per finished volume at 20 °C, melt water included.
 *
 * @throws EngineError naming each bad field and its remedy
 */
export function place(spec: Spec, pantry: Pantry, options: PlaceOptions = {}): Placement {
  const prepared = prepareSpec(spec, pantry, options);
  const { model, volumesMl } = prepared;
  const finished = model.finish(volumesMl);
  const { totals, finishedVolumeMl } = finished;
  const dilution = dilutionReport(model, volumesMl, finished, spec.dilution);
  const uncertainty = pointCovariance(prepared, dilution.ratioSd, finished);
  const lines = linePlacements(model, volumesMl, finishedVolumeMl, options.prices);
  const [sugar, acid, abv] = finished.point;
  const { covariance } = uncertainty;
  return {
    point: toPoint(finished.point),
    sd: sdOf(covariance),
    covariance,
    sugarAcidRatio: acid >= TRACE_ACID ? sugar / acid : null,
    initialVolumeMl: totals.pouredMl,
    initialAbvPercent: (100 * totals.ethanolMl) / totals.pouredMl,
    finishedVolumeMl,
    finishedVolumeSdMl: uncertainty.finishedVolumeSdMl,
    finishedMassG: totals.massG,
    dilution,
    washLine:
      spec.glass !== undefined && options.glasses !== undefined
        ? washLineFit({ ...spec, glass: spec.glass }, options.glasses, finishedVolumeMl)
        : null,
    energyKcal: energyKcal(totals),
    ethanolG: totals.ethanolG,
    standardDrinks: standardDrinks(totals),
    lines,
    doubts: options.doubts === false ? [] : uncertainty.doubts(),
    cost: lines.every((l) => l.cost !== null) ? lines.reduce((s, l) => s + l.cost!, 0) : null,
    cautions: cautionsOf(model, volumesMl, abv),
    warnings: placementWarnings(model, volumesMl, finished, dilution),
  };
}

function linePlacements(
  model: MixModel,
  volumesMl: readonly number[],
  finishedVolumeMl: number,
  prices: PlaceOptions["prices"],
): LinePlacement[] {
  const lines = model.ingredients.map((ingredient, i): LinePlacement => {
    const c = model.coeffs[i]!;
    const volumeMl = volumesMl[i]!;
    const price = prices?.get(ingredient.id);
    if (price !== undefined) {
      requireAtLeast0(price, `/prices/${ingredient.id}`, "give the price of a litre");
    }
    return {
      ingredient: ingredient.id,
      name: ingredient.name,
      volumeMl,
      massG: c.massG * volumeMl,
      shareOfFinishedPercent: (100 * volumeMl) / finishedVolumeMl,
      sugarG: c.sugarG * volumeMl,
      acidG: c.acidCitricEqG * volumeMl,
      ethanolMl: c.ethanolMl * volumeMl,
      sugarSharePercent: 0,
      acidSharePercent: 0,
      ethanolSharePercent: 0,
      cost: price === undefined ? null : (price * volumeMl) / 1000,
    };
  });
  let [sugarG, acidG, ethanolMl] = [0, 0, 0];
  for (const line of lines) {
    sugarG += line.sugarG;
    acidG += line.acidG;
    ethanolMl += line.ethanolMl;
  }
  // Written out, as it runs for every drink placed.
  for (const line of lines) {
    if (sugarG > 0) line.sugarSharePercent = 100 * (line.sugarG / sugarG);
    if (acidG > 0) line.acidSharePercent = 100 * (line.acidG / acidG);
    if (ethanolMl > 0) line.ethanolSharePercent = 100 * (line.ethanolMl / ethanolMl);
  }
  return lines;
}

function cautionsOf(model: MixModel, volumesMl: readonly number[], abvPercent: number): CautionId[] {
  const ids = new Set<CautionId>(abvPercent > ALCOHOL_CAUTION_ABV ? ["alcohol"] : []);
  model.ingredients.forEach((ingredient, i) => {
    if (volumesMl[i]! > 0) for (const id of ingredient.cautions ?? []) ids.add(id);
  });
  for (const id of clashes(model, volumesMl)) ids.add(id);
  return [...ids];
}
