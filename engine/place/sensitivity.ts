import { type Finished, type MixModel, mixStageTotals } from "../dilution/model.ts";
import type { Coefficients } from "../mix/coefficients.ts";
import { addTo, emptyTotals, SMALLEST_POUR_ML, type Totals } from "../mix/totals.ts";
import { mixedVolumeGradient, volumeChangeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";

/** Change of sugar (g/100 mL), acid (g/100 mL), ABV (% vol) and finished volume (mL). */
export type Response = readonly [sugar: number, acid: number, abv: number, volumeMl: number];

/** First-order behaviour of a finished drink about given pours. */
export interface Sensitivity {
  finished: Finished;
  /** Per mL more of line i. */
  pour(line: number): Response;
  /** For a change of what the mix stage holds and of what is topped (`pouredMl` of the change included). */
  change(mix: Totals, topped: Totals): Response;
  /** Per unit of dilution ratio (mL water per mL poured into the mix). */
  ratio: Response;
}

/**
 * Differentiate the finished drink analytically. Where no ice melts or all of it does, its water stands still.
 */
export function sensitivityOf(model: MixModel, volumesMl: readonly number[]): Sensitivity {
  const finished = model.finish(volumesMl);
  const mix = mixStageTotals(model.coeffs, model.stages, volumesMl);
  const gradient = mixedVolumeGradient(finished.totals);
  const [sugar, acid, abv] = finished.point;
  const per100 = 100 / finished.finishedVolumeMl;

  const respond = (sugarG: number, acidG: number, ethanolMl: number, volumeMl: number): Response => [
    per100 * sugarG - (sugar * volumeMl) / finished.finishedVolumeMl,
    per100 * acidG - (acid * volumeMl) / finished.finishedVolumeMl,
    per100 * ethanolMl - (abv * volumeMl) / finished.finishedVolumeMl,
    volumeMl,
  ];

  const held = mix.pouredMl >= SMALLEST_POUR_ML && isHeld(model, finished.waterMl);
  const change = (m: Totals, t: Totals, heatMl = 0): Response => {
    const waterMl = waterChangeMl(model, mix, held, m, heatMl);
    const volumeMl =
      volumeChangeMl(gradient, m) + volumeChangeMl(gradient, t) + gradient.waterG * waterMl * WATER_G_PER_ML;
    return respond(
      m.sugarG + t.sugarG,
      m.acidCitricEqG + t.acidCitricEqG,
      m.ethanolMl + t.ethanolMl,
      volumeMl,
    );
  };

  return {
    finished,
    change,
    pour: (line) => {
      const one: Totals = { ...model.coeffs[line]!, pouredMl: 1 };
      const heatMl = model.dilution.heat?.perMl[line] ?? 0;
      return model.stages[line] === "mix" ? change(one, NONE, heatMl) : change(NONE, one);
    },
    ratio: respond(0, 0, 0, gradient.waterG * mix.pouredMl * WATER_G_PER_ML),
  };
}

/** A change of composition (per mL of ingredient) seen by `volumeMl` of it; the pour itself does not change. */
export function scaledChange(change: Coefficients, volumeMl: number): Totals {
  const sum = emptyTotals();
  addTo(sum, change, volumeMl);
  sum.pouredMl = 0;
  return sum;
}

const NONE: Readonly<Totals> = emptyTotals();

/** Water from ice for a change of the mix; `heatMl` is what the conditions add to it on their own. */
function waterChangeMl(
  { dilution: d }: MixModel,
  mix: Totals,
  held: boolean,
  change: Totals,
  heatMl: number,
): number {
  if (held) return 0;
  // Nothing is mixed yet: a first pour's water follows that pour's own strength.
  const at = mix.pouredMl >= SMALLEST_POUR_ML ? mix : change;
  const e = at.pouredMl > 0 ? at.ethanolMl / at.pouredMl : 0;
  return (2 * d.a2 * e + d.a1) * change.ethanolMl + (d.a0 - d.a2 * e * e) * change.pouredMl + heatMl;
}

/** True where no ice melts, or all of it does, so that a little more of anything changes nothing. */
function isHeld({ dilution: { heat } }: MixModel, waterMl: number): boolean {
  return heat !== null && (waterMl <= heat.leastMl || waterMl >= heat.mostMl);
}
