import { type Finished, type MixModel, mixStageTotals, waterFromIceMl } from "../dilution/model.ts";
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
 * Differentiate the finished drink analytically. Only the energy balance's water, found by a root
 * finder, is differentiated by central differences.
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

  const change = (m: Totals, t: Totals): Response => {
    const waterMl = waterChangeMl(model, mix, m);
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
      return model.stages[line] === "mix" ? change(one, NONE) : change(NONE, one);
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

function waterChangeMl(model: MixModel, mix: Totals, change: Totals): number {
  const d = model.dilution;
  if (!(mix.pouredMl >= SMALLEST_POUR_ML)) {
    // Nothing is mixed yet: a first pour's water follows that pour's own strength.
    return change.pouredMl > 0 ? waterFromIceMl(d, change) : 0;
  }
  switch (d.kind) {
    case "constant":
      return d.ratio * change.pouredMl;
    case "quadratic": {
      const e = mix.ethanolMl / mix.pouredMl;
      return d.factor * ((2 * d.a2 * e + d.a1) * change.ethanolMl + (d.a0 - d.a2 * e * e) * change.pouredMl);
    }
    case "energy": {
      const h = 1e-4 * step(mix, change);
      if (h === 0) return 0;
      // What is not there cannot be taken away: a slope at nothing is one-sided.
      const up = canMove(mix, change, h) ? h : 0;
      const down = canMove(mix, change, -h) ? h : 0;
      if (up + down === 0) return 0;
      const water = (by: number) => waterFromIceMl(d, moved(mix, change, by));
      return (water(up) - water(-down)) / (up + down);
    }
  }
}

/** How many times the change would make up about the whole mix. */
function step(mix: Totals, change: Totals): number {
  const size =
    Math.abs(change.pouredMl) +
    Math.abs(change.ethanolG) +
    Math.abs(change.waterG) +
    Math.abs(change.sugarG) +
    Math.abs(change.acidG) +
    Math.abs(change.otherSolidsG);
  return size > 0 ? mix.massG / size : 0;
}

function canMove(mix: Totals, change: Totals, by: number): boolean {
  return (["ethanolG", "sugarG", "sucroseLikeG", "acidG"] as const).every(
    (key) => mix[key] + by * change[key] >= -1e-12 * mix.massG,
  );
}

function moved(mix: Totals, change: Totals, by: number): Totals {
  const sum = { ...mix };
  for (const key of Object.keys(sum) as (keyof Totals)[]) sum[key] += by * change[key];
  // Rounding may not leave ethanol, sugar or acid below nothing.
  sum.ethanolG = Math.max(0, sum.ethanolG);
  sum.sugarG = Math.max(0, sum.sugarG);
  sum.sucroseLikeG = Math.max(0, sum.sucroseLikeG);
  sum.acidG = Math.max(0, sum.acidG);
  return sum;
}
