import { type Finished, type MixModel, mixStageTotals } from "../dilution/model.ts";
import type { Coefficients } from "../mix/coefficients.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import { mixedVolumeGradient, volumeChangeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";

/** Change of sugar (g/100 mL), acid (g/100 mL), ABV (% vol) and finished volume (mL). */
export type Response = readonly [sugar: number, acid: number, abv: number, volumeMl: number];

/** First-order behaviour of a finished drink about given pours. */
export interface Sensitivity {
  finished: Finished;
  /** Per mL more of line i. */
  pour(line: number): Response;
  /** For a change of what each of `mixMl` mL over the ice and `topMl` mL after it hold, the pours staying. */
  composition(perMl: Readonly<Coefficients>, mixMl: number, topMl: number): Response;
  /** Per unit of dilution ratio (mL water per mL poured into the mix). */
  ratio: Response;
}

/**
 * Differentiate the finished drink analytically. Where no ice melts or all of it does, its water stands still.
 *
 * @param finished what the model makes of these pours, where that is known already
 */
export function sensitivityOf(
  model: MixModel,
  volumesMl: readonly number[],
  finished: Finished = model.finish(volumesMl),
): Sensitivity {
  const { dilution } = model;
  const mix = mixStageTotals(model.coeffs, model.stages, volumesMl);
  const gradient = mixedVolumeGradient(finished.totals);
  const [sugar, acid, abv] = finished.point;
  const per100 = 100 / finished.finishedVolumeMl;
  const mlPerMlWater = gradient.waterG * WATER_G_PER_ML;

  const respond = (sugarG: number, acidG: number, ethanolMl: number, volumeMl: number): Response => {
    const share = volumeMl / finished.finishedVolumeMl;
    return [
      per100 * sugarG - sugar * share,
      per100 * acidG - acid * share,
      per100 * ethanolMl - abv * share,
      volumeMl,
    ];
  };
  /** `perMl` more of each of `ml` mL, with the ice water that comes of it. */
  const change = (perMl: Readonly<Coefficients>, ml: number, waterMl: number): Response =>
    respond(
      perMl.sugarG * ml,
      perMl.acidCitricEqG * ml,
      perMl.ethanolMl * ml,
      volumeChangeMl(gradient, perMl) * ml + mlPerMlWater * waterMl,
    );

  const isMixed = mix.pouredMl >= SMALLEST_POUR_ML;
  const held = isMixed && isHeld(model, finished.waterMl);
  /** Ice water for so much more ethanol and pour over the ice, the mix having strength `e` (share of volume). */
  const iceWaterMl = (e: number, ethanolMl: number, pouredMl: number): number =>
    held
      ? 0
      : (2 * dilution.a2 * e + dilution.a1) * ethanolMl + (dilution.a0 - dilution.a2 * e * e) * pouredMl;
  const strength = isMixed ? mix.ethanolMl / mix.pouredMl : 0;

  return {
    finished,
    composition: (perMl, mixMl, topMl) =>
      change(perMl, mixMl + topMl, iceWaterMl(strength, perMl.ethanolMl * mixMl, 0)),
    pour: (line) => {
      const perMl = model.coeffs[line]!;
      if (model.stages[line] !== "mix") return change(perMl, 1, 0);
      // Nothing is mixed yet: a first pour's water follows that pour's own strength.
      const water = iceWaterMl(isMixed ? strength : perMl.ethanolMl, perMl.ethanolMl, 1);
      return change(perMl, 1, water + (held ? 0 : (dilution.heat?.perMl[line] ?? 0)));
    },
    ratio: respond(0, 0, 0, mlPerMlWater * mix.pouredMl),
  };
}

/** True where no ice melts, or all of it does, so that a little more of anything changes nothing. */
function isHeld({ dilution: { heat } }: MixModel, waterMl: number): boolean {
  return heat !== null && (waterMl <= heat.leastMl || waterMl >= heat.mostMl);
}
